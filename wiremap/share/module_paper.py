"""The paper of an in-line module: one of ours where nobody has it, and what is told beside."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from wiremap.entries.numbers import decimal
from wiremap.files.dump import cavity_text
from wiremap.files.yamltext import cells, flow, key
from wiremap.propose.inline import CanPair, OwnFuse
from wiremap.share.beginning import ToldPinout, pinout_of_text
from wiremap.sizing.fuse_limits import BLADE, FAMILIES, LARGE_BLADE

SEGMENTS = ("a", "b")  # names of the two ports in `segments`
BY_ROLE = """wiremap: pinout/1
title: {title}
# Its contacts are called by what they do, until its leaflet tells their numbers.
cavities:
  a-high: {{signal: port A high, function: can-high, pair: port A}}
  a-low: {{signal: port A low, function: can-low, pair: port A}}
  b-high: {{signal: port B high, function: can-high, pair: port B}}
  b-low: {{signal: port B low, function: can-low, pair: port B}}
  supply: {{signal: supply, function: permanent-supply}}
  ground: {{signal: ground, function: power-ground}}
"""
REMARK = "   # "  # what a cavity's line of ours has before its remark
AMPS_FIRST = re.compile(r"^(\d{1,4}(?:[.,]\d{1,3})?)\s*[aA]?\s+([^\W\d]{2}[^\d]*)$")
HOLDERS = frozenset({"in", "line", "inline", "fuse", "holder", "type", "plug", "sealed", "a"})
FUSE = re.compile(r"([^\W\d][^\d.,:]*?)(?:\s+(\d{1,4}(?:[.,]\d{1,3})?)\s*[aA]?)?")


def own_fuse(answer: str) -> OwnFuse | None:
    """A fuse in words: `blade 2`, `blade 2 A`, `3 A in-line blade`; None where no form is told.

    Of a blade fuse the words that only say how it is held are left out.
    """
    said = AMPS_FIRST.sub(r"\2 \1", answer.strip())
    match = FUSE.fullmatch(said)
    if match is None:
        return None
    form = _plain_form(match[1])
    return OwnFuse(form=form, amps=decimal(match[2]) if match[2] else None)


def is_tabled(fuse: OwnFuse) -> bool:
    """Whether the opening limits of a fuse of this form are known."""
    return fuse.form in FAMILIES


def _plain_form(words: str) -> str:
    """The family that words name; the words themselves where they name none."""
    told = set(words.casefold().replace("-", " ").split()) - HOLDERS
    if told == {"blade"}:
        return BLADE
    return LARGE_BLADE if told in ({"large", "blade"}, {"maxi", "blade"}) else words


def pinout_by_role(title: str) -> ToldPinout:
    """A module of which nobody has a paper: two ports, a supply, a ground."""
    return pinout_of_text(BY_ROLE.format(title=title))


def with_ports(paper: ToldPinout, ports: Sequence[CanPair]) -> ToldPinout:
    """The paper with its two ports as segments that it bridges, unless it tells segments itself."""
    if paper.pinout is None or paper.pinout.segments:
        return paper
    members = zip(SEGMENTS, ports, strict=True)
    segments = [(name, cells([pair.high.cavity, pair.low.cavity])) for name, pair in members]
    text = f"{paper.text}segments: {flow(segments)}\nbridges: [{cells(SEGMENTS)}]\n"
    return pinout_of_text(text)


def with_amps(paper: ToldPinout, name: str, amps: float) -> ToldPinout:
    """The paper with the amps that its supply `name` draws, written into that contact's line.

    Unchanged where the contact has no line of its own.
    """
    lines = paper.text.splitlines()
    at = _line_of(paper, name, lines)
    if paper.pinout is None or at is None:
        return paper
    cavity = replace(paper.pinout.cavities[name], amps=amps)
    _, _, remark = lines[at].partition(REMARK)
    lines[at] = f"  {key(name)}: {cavity_text(cavity, paper.pinout)}"
    if remark:
        lines[at] += f"{REMARK}{remark}"
    return pinout_of_text("\n".join(lines) + "\n")


def _line_of(paper: ToldPinout, name: str, lines: Sequence[str]) -> int | None:
    """Where a contact stands, from 0; None where it shares its line, as in a range."""
    place = None if paper.pinout is None else paper.pinout.cavities[name].place
    at = None if place is None else place.line - 1
    return at if at is not None and lines[at].startswith(f"  {key(name)}:") else None
