"""The survey before the cut, and what must be seen again after it: plain rows, in two blocks that are never mixed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from wiremap.evidence import Expected, expected_ohms, expected_volts, metered, refused
from wiremap.evidence.expected import electrical, supply_words
from wiremap.evidence.meter import DEAD_VOLTS
from wiremap.evidence.probe_points import nets_for
from wiremap.graph import Harness
from wiremap.model import CHASSIS, Cavity, End, Job

SOURCE = "ISO 11898-2: a bus is terminated by 120 ohm at each of its two ends"
TERMINATOR_STEPS: tuple[tuple[str, str], ...] = (
    ("60", "two terminators lie in this half: switch the port's own off"),
    ("120", "one terminator: switch the port's own on"),
    ("open", "none: switch the port's own on and fit one more 120 ohm at the far end"),
    ("under 50", "one too many, or legs touching: find it first"),
)
BLOCKS: Mapping[str, str] = MappingProxyType(
    {
        "volts": "{supply}, unit unplugged, at a breakout lead, never through a seal; black probe on battery minus",
        "ohms": f"battery off; before each row the volts: above {DEAD_VOLTS:g} V the ohms reading does not count",
    }
)


@dataclass(frozen=True, slots=True)
class Row:
    """One reading of the survey: where, in which state, what is expected, from which source, what a stray means."""

    n: int
    block: str  # volts, ohms
    red: str
    black: str
    key: str | None
    state: str | None
    low: float | None
    high: float | None
    source: str
    stray: str
    telling: bool

    def as_dict(self) -> dict[str, Any]:
        """The row as plain data; `volts_first` marks what must read dead before it counts."""
        out: dict[str, Any] = {
            f: getattr(self, f)
            for f in (
                "n",
                "block",
                "red",
                "black",
                "key",
                "state",
                "low",
                "high",
                "source",
                "stray",
            )
        }
        return out | ({"volts_first": DEAD_VOLTS} if self.block == "ohms" else {})


@dataclass(frozen=True, slots=True)
class Alike:
    """Loads that ohms alone do not tell apart, and how to tell them."""

    points: tuple[str, ...]
    low: float
    high: float
    how: str


@dataclass(frozen=True, slots=True)
class Terminator:
    """The terminator question of one bus: where to measure each half, and what each reading means."""

    where: str
    red: str
    black: str
    steps: tuple[tuple[str, str], ...] = TERMINATOR_STEPS
    source: str = SOURCE


@dataclass(frozen=True, slots=True)
class Signature:
    """A reading that must be the same at the new face after the splice as it was before the cut."""

    before: tuple[str, str]
    after: tuple[str, str]
    quantity: str
    key: str | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class Survey:
    """All that is to be read before the cut."""

    rows: tuple[Row, ...]
    alike: tuple[Alike, ...]
    terminators: tuple[Terminator, ...]
    signatures: tuple[Signature, ...]
    left_alone: tuple[str, ...]
    supply: str = "supply on"

    def how(self, block: str) -> str:
        """How the rows of one block are read, with the machine's own volts."""
        return BLOCKS[block].format(supply=self.supply)

    def block(self, name: str) -> tuple[Row, ...]:
        """The rows of one block."""
        return tuple(r for r in self.rows if r.block == name)

    def as_dict(self) -> dict[str, Any]:
        """The survey as plain data."""
        return {
            "blocks": [
                {"block": b, "how": self.how(b), "rows": [r.as_dict() for r in self.block(b)]}
                for b in BLOCKS
            ],
            "alike": [
                {"points": list(a.points), "low": a.low, "high": a.high, "how": a.how}
                for a in self.alike
            ],
            "terminators": [
                {
                    "where": t.where,
                    "red": t.red,
                    "black": t.black,
                    "source": t.source,
                    "steps": [{"reads": r, "so": so} for r, so in t.steps],
                }
                for t in self.terminators
            ],
            "signatures": [
                {
                    "before": list(s.before),
                    "after": list(s.after),
                    "quantity": s.quantity,
                    "key": s.key,
                    "low": s.low,
                    "high": s.high,
                }
                for s in self.signatures
            ],
            "not_probed": len(self.left_alone),
        }


def survey(job: Job) -> Survey:
    """The survey of a settled job's machine side; circuits that nobody may touch do not appear."""
    volts: list[Expected] = []
    ohms: list[Expected] = []
    left = []
    for end in _machine(job):
        for cavity in end.pinout.cavities.values():
            if (
                refused(cavity)
                or electrical(cavity) == "nothing"
                or (end.kind == "tap" and not _used(job, end, cavity))
            ):
                left.append(f"{end.name}.{cavity.name}")
            else:
                volts += expected_volts(job, end, cavity)
        if end.kind != "tap":
            ohms += expected_ohms(end)
    hidden = set(left)
    chosen = [e for e in (*volts, *ohms) if not {e.red, e.black} & hidden]
    rows = tuple(_row(n, e) for n, e in enumerate(chosen, 1))
    return Survey(
        rows,
        tuple(_alike(job, ohms)),
        tuple(_terminators(job)),
        tuple(_signatures(job, chosen)),
        tuple(left),
        supply_words(job),
    )


def _machine(job: Job) -> Iterator[End]:
    return (e for e in job.ends.values() if e.side == "machine")


def _used(job: Job, end: End, cavity: Cavity) -> bool:
    return any(f"{end.name}.{cavity.name}" in c.join for c in job.circuits)


def _row(n: int, e: Expected) -> Row:
    band = None if e.band is None else metered(e.band) if e.quantity == "ohms" else e.band
    low, high = (
        (None, None)
        if band is None
        else (round(band.low, 3), band.high if math.isinf(band.high) else round(band.high, 3))
    )
    return Row(
        n, e.quantity, e.red, e.black, e.key, e.state, low, high, e.source, e.stray, e.telling
    )


def _alike(job: Job, ohms: list[Expected]) -> Iterator[Alike]:
    """Loads of one kind whose bands overlap: unplug one and see which reading goes open."""
    groups: dict[tuple[str, str], list[Expected]] = {}
    for e in ohms:
        cavity = _cavity(job, e.red)
        if (
            e.band is not None
            and e.state is None
            and cavity is not None
            and electrical(cavity) in ("drive", "lamp", "input")
        ):
            groups.setdefault((cavity.function, e.black), []).append(e)
    for rows in groups.values():
        rest = list(rows)
        while rest:
            first = rest.pop(0)
            same = [
                e
                for e in rest
                if e.band is not None and first.band is not None and e.band.overlaps(first.band)
            ]
            rest = [e for e in rest if e not in same]
            if same and first.band is not None:
                bands = [e.band for e in (first, *same) if e.band is not None]
                points = tuple(e.red for e in (first, *same))
                cavity = _cavity(job, first.red)
                lamps = cavity is not None and electrical(cavity) == "lamp"
                tell = (
                    "feed each in turn from a limited feed and see which lights"
                    if lamps
                    else "unplug one load and see which goes open"
                )
                yield Alike(
                    points,
                    min(b.low for b in bands),
                    max(b.high for b in bands),
                    f"ohms alone do not tell {' and '.join(points)} apart: {tell}",
                )


def _cavity(job: Job, address: str) -> Cavity | None:
    owner, _, name = address.partition(".")
    return job.ends[owner].pinout.cavities.get(name) if owner in job.ends else None


def _terminators(job: Job) -> Iterator[Terminator]:
    for end in job.ends.values():
        highs = [c for c in end.pinout.cavities.values() if c.function == "can-high"]
        for high in highs:
            low = next(
                (
                    c
                    for c in end.pinout.cavities.values()
                    if c.function == "can-low" and c.pair == high.pair
                ),
                None,
            )
            if low is None or (end.kind == "tap" and not _used(job, end, high)):
                continue
            where = {
                "machine": "machine half, after the cut, in-line unit out",
                "unit": "unit's half, in-line unit out, unit plugged",
                "between": f"port of {end.name} alone, its switches as they stand",
            }[end.side]
            if end.side != "between":
                yield Terminator(where, f"{end.name}.{high.name}", f"{end.name}.{low.name}")


def _signatures(job: Job, rows: list[Expected]) -> Iterator[Signature]:
    """Each survey reading that can be taken again at a face behind the splice."""
    if not job.circuits:
        return
    harness = Harness(job)
    kind = "splice-in"
    parted = nets_for(harness, kind)

    def face(address: str) -> str | None:
        if address == CHASSIS:
            return CHASSIS
        known = harness.points[address].function
        faces = [
            a
            for a in parted.of(address).points
            if a != address and harness.points[a].kind == "cavity" and harness.reach(a) == "face"
        ]
        return min(
            faces, key=lambda a: (harness.points[a].function != known, faces.index(a)), default=None
        )

    for e in rows:
        red, black = face(e.red), face(e.black)
        if red is None or black is None or e.state is not None or e.band is None or red == black:
            continue
        if e.quantity == "volts":
            yield Signature((e.red, e.black), (red, black), "volts", e.key, e.band.low, e.band.high)
            continue
        span = metered(harness.ohms(red, black, plugged=False, nets=parted))
        here = metered(e.band)
        band = here if math.isinf(span.low) else span
        yield Signature(
            (e.red, e.black),
            (red, black),
            "ohms",
            None,
            round(min(band.low, here.low), 3),
            band.high if math.isinf(band.high) else round(max(band.high, here.high), 3),
        )
