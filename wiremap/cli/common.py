"""What every command shares: plain output, colour only on a terminal, JSON with a known first key."""

from __future__ import annotations

import argparse
import json
import math
import os
import sys
from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, TextIO

if TYPE_CHECKING:
    from wiremap.base import Finding

OK, HOLDS, UNREAD, OUR_BUG, INTERRUPTED = 0, 1, 2, 70, 130


def say(text: str = "", *, to: TextIO | None = None) -> None:
    """Print a line of result; nothing in it can steer a terminal."""
    from wiremap.base import visible  # not needed for the help page, which should come at once

    print(visible(text, keep="\n"), file=to or sys.stdout)


def note(text: str) -> None:
    """Print a line of diagnosis on stderr."""
    say(text, to=sys.stderr)


def unread(
    as_json: bool,
    command: str,
    findings: Iterable[Finding],
    *,
    empty: Mapping[str, Any] = MappingProxyType({}),
    lead: str = "",
    mend: str = "",
) -> int:
    """Say what could not be read or done (where, what, how to mend it), as JSON too if asked; the exit code of unread input.

    `empty` is the rest of the command's JSON shape; `lead` stands before what has no place, `mend` before the cure.
    """
    found = list(findings)
    if as_json:
        emit_json(command, {**empty, "findings": [f.as_dict() for f in found]})
    for f in found:
        note(f"{f.place}: {f.message}" if f.place else f"{lead}{f.message}")
        if f.fix:
            note(f"  {mend}{f.fix}")
    return UNREAD


def tell_withdrawn(*papers: Any) -> None:
    """Say on stderr, loudly, that a job or pinout (or a pinout that a job rests on) has been withdrawn, and why."""
    from wiremap.model import withdrawals

    for paper in papers:
        for each in withdrawals(paper):
            note(f"WITHDRAWN: {each.path}: {each.withdrawn or 'no reason given'}")


def coloured(stream: TextIO) -> bool:
    """Whether colour may be used: a terminal, `NO_COLOR` unset, not a dumb one."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def emit_json(command: str, body: Mapping[str, Any]) -> None:
    """Print a result as JSON whose first key names the command and the version of its shape."""
    json.dump(
        {"wiremap": f"{command}/1", **_plain(body)},
        sys.stdout,
        indent=2,
        ensure_ascii=True,
        allow_nan=False,
    )
    print()


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(k): _plain(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(v) for v in value]
    if isinstance(value, float) and not math.isfinite(value):
        return "open" if value > 0 else None
    return value


def json_flag(parser: argparse.ArgumentParser) -> None:
    """Add `--json`, which every command has."""
    parser.add_argument(
        "--json", action="store_true", help="print the result as JSON on standard output"
    )
