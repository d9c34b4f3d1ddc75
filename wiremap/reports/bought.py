"""An adapter that was bought or inherited, for a screen: the verdict first, then what it joins."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wiremap.base import Finding, Severity
from wiremap.content.grouped import Group, grouped
from wiremap.diagnose.adapter import Adapter, batch_lines
from wiremap.model import Address
from wiremap.reports.screen import INDENT, SHORT, lines_up_to, named_up_to, rows_of, wrapped

MOST_STOPS = 5  # kinds of stop
MOST_JOINED = 24
MOST_OPEN = 3
MOST_UNJUDGED = 1
MOST_NEXT = 3
MOST_FIRST = 36  # rows of the screen that the first plan takes
FILL_IN = "next, as batch lines: put b, s or the ohms for each ?"
MOST_LIKE = 6


def bought_brief(adapter: Adapter) -> Iterator[str]:
    """The verdict, what stops it, what it joins, what is open, which probes come next."""
    yield from wrapped(adapter.headline)
    stops = [finding for finding in adapter.findings if finding.holds]
    groups = grouped(stops)
    for group in groups[:MOST_STOPS]:
        yield from _stop(group)
    left = sum(len(group.findings) for group in groups[MOST_STOPS:])
    if left:
        yield f"and {left} more stops of other kinds: --full tells them"
    yield from lines_up_to(
        [f"not judged: {why}" for why in adapter.not_judged], MOST_UNJUDGED, each=SHORT
    )
    yield from lines_up_to(adapter.mixed_up(), MOST_OPEN, each=SHORT)
    yield from _joined(adapter)
    yield from lines_up_to(adapter.open_points(), MOST_OPEN, each=SHORT)
    rest = _counted(adapter.findings)
    if rest:
        yield f"{rest}: --full tells them"


def bought_full(adapter: Adapter) -> Iterator[str]:
    """The verdict, what it joins, and everything that is said of it."""
    headline, *lines = adapter.told()
    yield headline
    yield from _joined(adapter)
    yield from lines


def _stop(group: Group) -> Iterator[str]:
    like = ""
    if group.others:
        like = f"; likewise {named_up_to(group.others, MOST_LIKE)}"
    yield from wrapped(f"{group.first.message}{like}", lead="STOP ", most=SHORT)


def _joined(adapter: Adapter) -> Iterator[str]:
    """Each circuit with what the papers call its contacts."""
    if not adapter.circuits:
        yield "it joins nothing that was probed"
        return
    yield f"it joins {len(adapter.circuits)} circuits:"
    lines = [_circuit(adapter, circuit) for circuit in adapter.circuits]
    yield from lines_up_to(lines, MOST_JOINED, each=SHORT, lead=INDENT)


def _circuit(adapter: Adapter, circuit: tuple[str, ...]) -> str:
    points = [Address.read(point) for point in circuit]
    ends = adapter.job.ends
    called = [ends[point.end].pinout.cavities[point.cavity].signal or "?" for point in points]
    return f"{' - '.join(circuit)}  ({' - '.join(called)})"


def _counted(findings: tuple[Finding, ...]) -> str:
    """How many cautions and notes there are, in words."""
    cautions = sum(finding.severity is Severity.CAUTION for finding in findings)
    notes = sum(finding.severity is Severity.NOTE for finding in findings)
    parts = []
    for count, word in ((cautions, "caution"), (notes, "note")):
        if count:
            parts.append(f"{count} {word}{'' if count == 1 else 's'}")
    return " and ".join(parts)


def next_lines(adapter: Adapter, *, full: bool) -> Iterator[str]:
    """The probes that settle what is open, ready to fill in: lines that must stay whole."""
    lines = batch_lines(adapter.next)
    if not lines:
        return
    most = len(lines) if full else MOST_NEXT
    yield FILL_IN
    yield from lines[:most]
    if len(lines) > most:
        yield f"and {len(lines) - most} more after these: --full tells them"


def first_lines(lines: Sequence[str], *, full: bool) -> Iterator[str]:
    """The first plan of an adapter, ready to fill in: lines that must stay whole.

    What a screen does not hold is counted in a remark, and asked once these are judged.
    """
    rows = 0
    for number, line in enumerate(lines):
        rows += rows_of(line)
        if rows > MOST_FIRST and not full:
            yield f"# and {len(lines) - number} more after these: --full tells them"
            return
        yield line
