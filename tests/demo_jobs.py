"""The demo as tests begin with it: where it lies, its job as its files say it, copies of it to work in."""

from __future__ import annotations

import shutil
from dataclasses import replace
from functools import cache
from pathlib import Path

from wiremap.evidence import alone, settle
from wiremap.files import load_job, load_pinout
from wiremap.model import Entry, Job, Notebook

ROOT = Path(__file__).resolve().parents[1]
DEMO = ROOT / "pinouts_demo"
DEMO_JOB = DEMO / "job.yaml"


@cache
def filed_demo() -> Job:
    """The demo's job as its files say it, nothing of its notebook laid over."""
    job = load_job(DEMO_JOB).value
    assert job is not None
    return job


@cache
def settled_demo() -> Job:
    """The demo's job with its notebook's answers laid over."""
    return settle(filed_demo())


@cache
def unread_demo() -> Job:
    """The demo's job before anybody wrote into a notebook."""
    return replace(filed_demo(), notebooks=())


@cache
def loom_drawing() -> Job:
    """The old unit's drawing as it came, by itself: 12 says speed, 13 says level."""
    pinout = load_pinout(DEMO / "papers" / "series1-loom.yaml").value
    assert pinout is not None
    return alone(pinout)


def noted(job: Job, *entries: Entry) -> Job:
    """A job with one more notebook, which holds these entries."""
    return replace(job, notebooks=(*job.notebooks, Notebook("more.yaml", entries)))


def copied_demo(folder: Path, *unsaid: str) -> Path:
    """The job file of a copy of the demo, its notebook without the lines in which one of these words stands."""
    shutil.copytree(DEMO, folder)
    notebook = folder / "notebook.yaml"
    lines = notebook.read_text(encoding="utf-8").splitlines(keepends=True)
    kept = [line for line in lines if not any(word in line for word in unsaid)]
    notebook.write_text("".join(kept), encoding="utf-8")
    return folder / "job.yaml"


def variant(folder: Path, **edits: list[tuple[str, str]]) -> Path:
    """The demo with pieces of its files replaced; a piece that is not there is an error of the test."""
    for name in ("job", "series1-loom", "series2-donor", "gateway", "socket16", "notebook"):
        text = (DEMO / f"{name}.yaml").read_text(encoding="utf-8")
        for old, new in edits.get(name.replace("-", "_"), ()):
            assert old in text, (name, old)
            text = text.replace(old, new)
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    return folder / "job.yaml"
