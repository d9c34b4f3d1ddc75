"""What every command shares: plain output, colour only on a terminal, JSON, exit codes."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any, TextIO

from wiremap.base import Finding, visible
from wiremap.reports.as_json import json_pieces
from wiremap.reports.screen import fitted

OK, HOLDS, UNREAD = 0, 1, 2  # exit codes; `guard` has those of a command that did not end


def say(line: str = "") -> None:
    """Print one line of result, wrapped to the screen; nothing in it can steer a terminal or begin
    a line of its own.
    """
    for row in fitted(visible(line)):
        print(row)


def say_lines(lines: Iterable[str]) -> None:
    """Print lines of result, each by itself."""
    for line in lines:
        say(line)


def say_whole(line: str) -> None:
    """Print one line that is given back to a command as it stands: it is never wrapped."""
    print(visible(line))


def say_text(text: str) -> None:
    """Print a text of several lines: a file, a page."""
    print(visible(text.rstrip("\n"), keep="\n"))


def note(line: str) -> None:
    """Print one line of diagnosis on stderr, wrapped to the screen."""
    for row in fitted(visible(line)):
        print(row, file=sys.stderr)


def emit_json(command: str, body: Mapping[str, Any]) -> None:
    """Print a result as JSON."""
    sys.stdout.writelines(json_pieces(command, body))
    print()


def json_flag(parser: argparse.ArgumentParser) -> None:
    """Add `--json`, which every command has."""
    parser.add_argument("--json", action="store_true", help="print JSON")


def unread(
    command: str,
    findings: Iterable[Finding],
    *,
    as_json: bool,
    empty: Mapping[str, Any] = MappingProxyType({}),
    lead: str = "",
    mend: str = "",
) -> int:
    """Say what could not be read or done: where, what, how to mend it, as JSON too if asked.

    `empty` is the rest of the command's JSON shape; `lead` stands before what has no place, `mend`
    before the cure.  Gives the exit code of unread input.
    """
    listed = list(findings)
    if as_json:
        emit_json(command, {**empty, "findings": [each.as_dict() for each in listed]})
    for each in listed:
        start = f"{each.place}: " if each.place else lead
        note(f"{start}{each.message}")
        if each.fix:
            note(f"  {mend}{each.fix}")
    return UNREAD


def or_force(finding: Finding) -> Finding:
    """Why a file was not written; where one is there already, with `--force` as the cure."""
    if finding.rule != "file-exists":
        return finding
    return replace(finding, fix="Give another name, or add --force to write over it.")


def coloured(stream: TextIO) -> bool:
    """Whether colour may be used: a terminal, `NO_COLOR` unset, not a dumb one."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
