"""The survey before the cut, and what must be seen again after it: rows in two blocks."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, replace
from functools import partial
from types import MappingProxyType
from typing import Any, NamedTuple

from wiremap.evidence import Expected, coil_of, expected_ohms, expected_volts, refused
from wiremap.evidence.causes import likeliest_cause
from wiremap.evidence.expected import Quantity, electrical, supply_words
from wiremap.evidence.meter import DEAD_VOLTS, displayed
from wiremap.evidence.probe_points import SPLICE_IN, nets_for
from wiremap.graph import Harness, Nets, PointKind, Reach
from wiremap.model import CHASSIS, Cavity, End, EndKind, Job, OnOff, Side, Span
from wiremap.survey.alike import Alike, alike_loads
from wiremap.survey.bus_pairs import AT_UNIT, BY_MACHINE_PAIR, SOURCE, bus_pairs, unit_pairs
from wiremap.survey.lock_out import lock_out

BLOCKS: Mapping[str, str] = MappingProxyType(
    {
        "volts": "{supply}, unit unplugged, at a breakout lead, never through a seal; "
        "black probe on battery minus",
        "ohms": "battery off; before each row the volts: "
        f"above {DEAD_VOLTS:g} V the ohms reading does not count",
    }
)


OPEN = "open"  # what a terminator reading is called that shows no ohms


class TerminatorStep(NamedTuple):
    """A reading of a bus half, in ohms or `open`, and what that says or asks for."""

    reads: str
    so: str

    @property
    def in_ohms(self) -> bool:
        """Whether a figure is read."""
        return self.reads != OPEN


DIRECT_STEPS = (
    TerminatorStep("60", "two terminators lie in this half: the other half brings none"),
    TerminatorStep("120", "one terminator: the other half brings the second, and no more"),
    TerminatorStep(OPEN, "none: the other half brings one, and one more belongs at the far end"),
    TerminatorStep("under 50", "one too many, or the two wires touch: find it first"),
)
PORT_STEPS = (
    TerminatorStep("60", "two terminators lie in this half: switch the port's own off"),
    TerminatorStep("120", "one terminator: switch the port's own on"),
    TerminatorStep(OPEN, "none: switch the port's own on and fit one more 120 ohm at the far end"),
    TerminatorStep("under 50", "one too many, or the two wires touch: find it first"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyRow:
    """One reading of the survey: where, in which state, what is expected, and from which source."""

    n: int
    block: Quantity
    red: str
    black: str
    key: OnOff | None
    state: str | None
    low: float | None
    high: float | None
    source: str
    stray: str  # the likeliest cause of another reading
    at_unit: bool = False  # at a new unit's own plug, not at the machine's
    note: str = ""  # what a figure means where no band tells it

    def as_dict(self) -> dict[str, Any]:
        """The row as plain data; `volts_first` marks what must read dead before it counts."""
        out = asdict(self)
        if self.block == Quantity.OHMS:
            out["volts_first"] = DEAD_VOLTS
        return out


@dataclass(frozen=True, slots=True)
class Terminator:
    """The terminator question of one bus: where to measure each half, what each reading means."""

    where: str
    red: str
    black: str
    steps: tuple[TerminatorStep, ...]
    source: str = SOURCE

    def as_dict(self) -> dict[str, Any]:
        """The question as plain data."""
        return {
            "where": self.where,
            "red": self.red,
            "black": self.black,
            "source": self.source,
            "steps": [step._asdict() for step in self.steps],
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class AsBefore:
    """A reading that must be as before the cut at the new face after the splice."""

    before: tuple[str, str]
    after: tuple[str, str]
    quantity: Quantity
    key: OnOff | None
    low: float | None
    high: float | None

    def as_dict(self) -> dict[str, Any]:
        """The reading as plain data."""
        return {**asdict(self), "before": list(self.before), "after": list(self.after)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """All that is to be read before the cut."""

    rows: tuple[SurveyRow, ...]
    alike: tuple[Alike, ...]
    terminators: tuple[Terminator, ...]
    as_before: tuple[AsBefore, ...]
    left_alone: tuple[str, ...]
    lock_out: tuple[str, ...]  # before the first row with the ignition on
    supply: str

    def how(self, block: str) -> str:
        """How the rows of one block are read, with the machine's own volts."""
        return BLOCKS[block].format(supply=self.supply)

    def block(self, name: str) -> tuple[SurveyRow, ...]:
        """The rows of one block."""
        return tuple(row for row in self.rows if row.block == name)

    def as_dict(self) -> dict[str, Any]:
        """The survey as plain data."""
        blocks = [
            {"block": b, "how": self.how(b), "rows": [row.as_dict() for row in self.block(b)]}
            for b in BLOCKS
        ]
        return {
            "lock_out": list(self.lock_out),
            "blocks": blocks,
            "alike": [alike.as_dict() for alike in self.alike],
            "terminators": [terminator.as_dict() for terminator in self.terminators],
            "signatures": [reading.as_dict() for reading in self.as_before],
            "not_probed": len(self.left_alone),
        }


def survey(job: Job) -> Survey:
    """The survey of a settled job's machine side; circuits nobody may touch do not appear."""
    volts: list[Expected] = []
    ohms: list[Expected] = []
    left: list[str] = []
    for end in job.ends.values():
        if not end.is_machine:
            continue
        for cavity in end.pinout.cavities.values():
            if _left_alone(job, end, cavity):
                left.append(f"{end.name}.{cavity.name}")
            else:
                volts += [e for e in expected_volts(job, end, cavity) if e.asked]
        if not end.is_tap:
            ohms += expected_ohms(end, coil_of(job))
    volts.sort(key=_sweep)
    chosen = [e for e in (*volts, *ohms) if e.red not in left and e.black not in left]
    ignition_on = any(e.key == OnOff.ON for e in chosen)
    own = list(unit_pairs(job))
    if own:  # the machine's pair right before the unit's: the two figures go together
        chosen.sort(key=partial(_is_pair, job))
    rows = [_row(n, e) for n, e in enumerate(chosen, 1)]
    own_rows = [_row_at_unit(n, e) for n, e in enumerate(own, len(rows) + 1)]
    return Survey(
        rows=(*rows, *own_rows),
        alike=tuple(alike_loads(job, ohms)),
        terminators=tuple(_terminators(job)),
        as_before=tuple(_as_before(job, chosen)),
        left_alone=tuple(left),
        lock_out=lock_out(job) if ignition_on else (),
        supply=supply_words(job),
    )


def _sweep(e: Expected) -> tuple[bool, bool]:
    """In which sweep volts are read: ignition off, on, then with lights and switches on."""
    return e.key != OnOff.OFF, e.state is not None


def _is_pair(job: Job, e: Expected) -> bool:
    """Whether the ohms between the two wires of a bus are read."""
    if e.quantity != Quantity.OHMS:
        return False
    for end in job.ends.values():
        for pair in bus_pairs(end):
            if {e.red, e.black} == {f"{end.name}.{leg.name}" for leg in pair}:
                return True
    return False


def _left_alone(job: Job, end: End, cavity: Cavity) -> bool:
    if refused(cavity) or electrical(cavity) == "nothing":
        return True
    return end.is_tap and not _is_joined(job, end, cavity)


def _is_joined(job: Job, end: End, cavity: Cavity) -> bool:
    return any(f"{end.name}.{cavity.name}" in circuit.join for circuit in job.circuits)


def _row(n: int, e: Expected) -> SurveyRow:
    band = e.shown
    return SurveyRow(
        n=n,
        block=e.quantity,
        red=e.red,
        black=e.black,
        key=e.key,
        state=e.state,
        low=band.low if band else None,
        high=band.high if band else None,
        source=e.source,
        stray=likeliest_cause(e),
    )


def _row_at_unit(n: int, e: Expected) -> SurveyRow:
    """A row that is read in a new unit; the machine's own pair decides where no paper does."""
    return replace(_row(n, e), at_unit=True, note="" if e.band else BY_MACHINE_PAIR)


# -- terminators ----------------------------------------------------------------------------------


def _terminators(job: Job) -> Iterator[Terminator]:
    """A bus is measured half by half; an in-line unit's port has a terminator of its own."""
    in_line = any(end.side == Side.BETWEEN for end in job.ends.values())
    is_cut = any(end.kind == EndKind.CUT_TAIL for end in job.ends.values())
    steps = PORT_STEPS if in_line else DIRECT_STEPS
    out = ", in-line unit out" if in_line else ""
    for end in job.ends.values():
        if end.side == Side.BETWEEN:
            continue
        where = f"unit's half{out}, unit plugged"
        if end.is_machine:
            where = f"machine half, after the cut{out}"
        if not is_cut:
            where = AT_UNIT if end.side == Side.UNIT else f"the machine's plug, unmated{out}"
        for high, low in bus_pairs(end):
            if not end.is_tap or _is_joined(job, end, high):
                points = f"{end.name}.{high.name}", f"{end.name}.{low.name}"
                yield Terminator(where, *points, steps)


# -- the same again after the splice --------------------------------------------------------------


def _as_before(job: Job, rows: list[Expected]) -> Iterator[AsBefore]:
    """Each survey reading that can be taken again at a face behind the splice."""
    if not job.circuits:
        return
    harness = Harness(job)
    parted = nets_for(harness, SPLICE_IN)
    for e in rows:
        if e.state is not None or e.shown is None:
            continue
        red, black = _at_face(harness, parted, e.red), _at_face(harness, parted, e.black)
        if red is None or black is None or red == black:
            continue
        band = e.shown
        if e.quantity == Quantity.OHMS:
            band = _covering(band, displayed(harness.ohms(red, black, plugged=False, nets=parted)))
        yield AsBefore(
            before=(e.red, e.black),
            after=(red, black),
            quantity=e.quantity,
            key=e.key,
            low=band.low,
            high=band.high,
        )


def _at_face(harness: Harness, parted: Nets, address: str) -> str | None:
    """A contact of a face behind the splice on the metal of a contact, best of its function."""
    if address == CHASSIS:
        return CHASSIS
    faces = [
        a
        for a in parted.of(address).points
        if a != address
        and harness.points[a].kind == PointKind.CAVITY
        and harness.reach(a) == Reach.FACE
    ]
    function = harness.points[address].function
    alike = [a for a in faces if harness.points[a].function == function]
    return next(iter((*alike, *faces)), None)


def _covering(before: Span, after: Span) -> Span:
    """The band that covers both; the one before the cut if nothing is joined after it."""
    if math.isinf(after.low):
        return before
    return Span(min(before.low, after.low), max(before.high, after.high))
