"""Designs low-voltage harness adapters and splices and checks them before power-up.

What the commands do can be called from here; each name is fetched when it is first asked for, so
that importing the package costs nothing.  `load_*` give a `Loaded` (value, findings, texts): faults
in a file are findings, not exceptions.
"""

from __future__ import annotations

from importlib import import_module
from types import MappingProxyType

TYPE_CHECKING = False  # as `typing` has it, whose import is a sixth of the help page's time
if TYPE_CHECKING:
    from typing import Any

    from wiremap.check import Checked, Report, check_job
    from wiremap.check import check as check_files
    from wiremap.diagnose.judge import judge_ringout
    from wiremap.diagnose.judgement import Judgement
    from wiremap.diagnose.turn import Turn
    from wiremap.diagnose.walk import Walk
    from wiremap.evidence import settle
    from wiremap.files import Loaded, load_any, load_job, load_notebook, load_pinout
    from wiremap.graph import Harness
    from wiremap.propose import as_job, propose_map
    from wiremap.ringout.plan import Plan
    from wiremap.ringout.plan import plan as plan_ringout
    from wiremap.sheet import sheet_pdf
    from wiremap.sizing.job import size_job
    from wiremap.slips import slips as find_slips

# each name with the module that has it, and behind a colon what it is called there if otherwise
_HOME = MappingProxyType(
    {
        "Loaded": "files",
        "load_any": "files",
        "load_job": "files",
        "load_notebook": "files",
        "load_pinout": "files",
        "Harness": "graph",
        "settle": "evidence",
        "size_job": "sizing.job",
        "propose_map": "propose",
        "as_job": "propose",
        "find_slips": "slips:slips",
        "plan_ringout": "ringout.plan:plan",
        "Plan": "ringout.plan",
        "judge_ringout": "diagnose.judge",
        "Judgement": "diagnose.judgement",
        "Walk": "diagnose.walk",
        "Turn": "diagnose.turn",
        "check_files": "check:check",
        "check_job": "check",
        "Checked": "check",
        "Report": "check",
        "sheet_pdf": "sheet",
    }
)

__all__ = [
    "Checked",
    "Harness",
    "Judgement",
    "Loaded",
    "Plan",
    "Report",
    "Turn",
    "Walk",
    "as_job",
    "check_files",
    "check_job",
    "find_slips",
    "judge_ringout",
    "load_any",
    "load_job",
    "load_notebook",
    "load_pinout",
    "plan_ringout",
    "propose_map",
    "settle",
    "sheet_pdf",
    "size_job",
]


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module 'wiremap' has no attribute {name!r}")
    module, _, own_name = _HOME[name].partition(":")
    return getattr(import_module(f"wiremap.{module}"), own_name or name)


def __dir__() -> list[str]:
    return sorted(__all__)
