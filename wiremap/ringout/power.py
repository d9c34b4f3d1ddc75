"""First power: what to lock out, in which order fuses go in, and the volts each contact of the unmated face must carry."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from wiremap.evidence import fresh, refused
from wiremap.evidence.bands import electrical, system
from wiremap.graph import Harness, Nets, Point
from wiremap.model import Entry, Span

ZERO = Span(-0.1, 0.1)
BUS = Span(-0.1, 3.6)  # ISO 11898-2: recessive 2.5 V, dominant high up to 3.5 V on average
STAGES = ("lock-out", "lamp", "volts", "load", "in-line", "mate", "sleep")
CAUTION = "battery off before every change; a licensed person where brakes, steering or lifting gear are concerned"


@dataclass(frozen=True, slots=True)
class PowerStep:
    """One step of first power; a step with a `red` probe is a reading in volts (or amps, at `sleep`)."""

    n: int
    stage: str
    do: str
    red: str | None = None
    black: str | None = None
    key: str | None = None
    low: float | None = None
    high: float | None = None
    why: str = ""

    def as_json(self) -> dict[str, Any]:
        """The step as plain data."""
        return {f: getattr(self, f) for f in ("n", "stage", "do", "red", "black", "key", "low", "high", "why")}


@dataclass(frozen=True, slots=True)
class PowerVerdict:
    """How the volts read stand against the plan: pass, fail or incomplete."""

    verdict: str
    wrong: tuple[tuple[PowerStep, float, str], ...]
    left: tuple[PowerStep, ...]

    def as_json(self) -> dict[str, Any]:
        """The verdict as plain data."""
        return {
            "verdict": self.verdict,
            "left": [s.n for s in self.left],
            "wrong": [
                {"n": s.n, "red": s.red, "black": s.black, "key": s.key, "volts": v, "why": why} for s, v, why in self.wrong
            ],
        }


def power_plan(harness: Harness) -> tuple[PowerStep, ...]:
    """The steps of first power of a settled job, fuses out until their step."""
    made = list(_Powered(harness).steps())
    return tuple(PowerStep(n, s.stage, s.do, s.red, s.black, s.key, s.low, s.high, s.why) for n, s in enumerate(made, 1))


def power_judge(harness: Harness, entries: Iterable[Entry], steps: tuple[PowerStep, ...] | None = None) -> PowerVerdict:
    """Judge volts read at first power; the last fresh reading of a step counts."""
    steps = power_plan(harness) if steps is None else steps
    seen: dict[tuple[str, str | None], float] = {}
    for e in entries:
        if e.kind == "power" and e.volts is not None and e.red and fresh(harness, e):
            seen[e.red[0], e.key] = e.volts
    wrong, left = [], []
    for s in steps:
        if s.stage != "volts" or s.red is None or s.low is None or s.high is None:
            continue
        value = seen.get((s.red, s.key), seen.get((s.red, None)))
        if value is None:
            left.append(s)
        elif not s.low <= value <= s.high:
            wrong.append((s, value, s.why or f"{value:g} V where {s.low:g} to {s.high:g} V belong"))
    return PowerVerdict("fail" if wrong else "incomplete" if left or not steps else "pass", tuple(wrong), tuple(left))


class _Powered:
    """Works out which contact of the new faces carries what while the job's own fuses are out."""

    def __init__(self, harness: Harness) -> None:
        self.harness, self.job = harness, harness.job
        self.parted: Nets = harness.sections
        self.live = system(self.job) or Span(10.8, 15.0)
        self.fuses = [x.name for x in self.job.extras.values() if x.kind == "fuse"]
        self.upstream = list(
            dict.fromkeys(
                fed.fuse or f"the fuse of {end.name}.{cavity}"
                for end in self.job.ends.values()
                for cavity, fed in end.fed.items()
                if not fed.unfused and f"{end.name}.{cavity}" in harness.points and harness.circuits_at(f"{end.name}.{cavity}")
            )
        )

    def _source(self, address: str) -> str | None:
        """`always`, `key` or nothing: what feeds a contact from the machine's side."""
        found = {
            p.function for p in self.harness.cavities(self.parted.of(address)) if p.end is not None and p.end.side == "machine"
        }
        if found & {"permanent-supply", "auxiliary-supply"}:
            return "always"
        return "key" if found & {"switched-supply", "accessory-supply", "relay-switched-supply", "start-supply", "wake"} else None

    def _faces(self) -> Iterator[tuple[str, list[Point]]]:
        for end in self.job.ends.values():
            if end.kind in ("pigtail", "mate") and end.side != "machine":
                points = [
                    p
                    for p in self.harness.points.values()
                    if p.owner == end.name and p.cavity is not None and not p.cavity.unused and not refused(p.cavity)
                ]
                yield end.name, points

    def _ground(self, points: list[Point]) -> str | None:
        return next((p.address for p in points if p.function == "power-ground" and self.harness.circuits_at(p.address)), None)

    def steps(self) -> Iterator[PowerStep]:
        """All steps in order."""
        moving = [
            p.address
            for p in self.harness.points.values()
            if p.cavity is not None
            and electrical(p.cavity) == "drive"
            and p.end is not None
            and p.end.side == "unit"
            and self.harness.circuits_at(p.address)
        ]
        if moving:
            yield PowerStep(
                0,
                "lock-out",
                f"block what can move, turn or spray: it hangs on {', '.join(moving)}; hydraulics without pressure, nobody near",
            )
        out = ", ".join((*self.fuses, *self.upstream)) or "all fuses that feed this job"
        yield PowerStep(0, "lamp", f"connector unmated; take out {out}; battery on")
        yield PowerStep(
            0,
            "lamp",
            f"a 5 W lamp or a limited feed in place of {', '.join(self.upstream) or 'the feeding fuse'}, one at a time: "
            "it must stay dark",
            why="a lamp that burns shows a short before a fuse or a wire pays for it",
        )
        yield from self._volts()
        yield from self._loads()
        if self.fuses:
            yield PowerStep(0, "in-line", f"{', '.join(self.fuses)} in; in-line unit awake: its bus lines stand at about 2.5 V")
        every = ", ".join((*self.upstream, *self.fuses)) or "fuses"
        yield PowerStep(0, "mate", f"key off, {every} out, mate the connector, {every} in, key on")
        asleep = sum(
            p.cavity.asleep_amps or 0.0
            for p in self.harness.points.values()
            if p.cavity is not None and p.end is not None and p.end.side != "machine"
        )
        yield PowerStep(
            0,
            "sleep",
            "key off, wait for the bus to go quiet, read the battery's current",
            low=0.0,
            high=round(asleep, 4) if asleep else None,
            why="amps above the figure from before the work; an in-line unit that never sleeps empties a battery",
        )

    def _volts(self) -> Iterator[PowerStep]:
        for end, points in self._faces():
            black = self._ground(points)
            if black is None:
                continue
            for key in ("off", "on"):
                for p in points:
                    if p.address == black:
                        continue
                    source = self._source(p.address)
                    band = self.live if source == "always" or (source == "key" and key == "on") else ZERO
                    band, why = self._levels(p, band)
                    yield PowerStep(
                        0,
                        "volts",
                        f"unmated face of {end}, key {key}",
                        p.address,
                        black,
                        key,
                        band.low,
                        band.high,
                        why or self._why(p, source),
                    )

    def _levels(self, p: Point, band: Span) -> tuple[Span, str]:
        """A wider band where the machine's own data lines or unknown wires reach the contact."""
        found = {q.function for q in self.harness.cavities(self.parted.of(p.address)) if q.end and q.end.side == "machine"}
        if band is not ZERO:
            return band, ""
        if found & {"can-high", "can-low"}:
            return BUS, "the machine's own bus stands here when it is awake"
        if found & {"lin", "k-line", "l-line", "unknown"}:
            return Span(-0.1, self.live.high), "the machine may hold this line at its own volts: write it down"
        return band, ""

    def _why(self, p: Point, source: str | None) -> str:
        if source is None and p.function == "sensor-supply":
            return "volts here: the sensor reference touches a supply; do not mate"
        return "volts here that do not belong: do not mate" if source is None else "no supply: fuse, joint or ground is not sound"

    def _fit(self, supply: str) -> str:
        """The fuse before a supply as it shall be, and what it must not be: the old one was taken out for a reason."""
        fed = next((f for p in self.harness.cavities(self.parted.of(supply))
                    if p.end and p.cavity and (f := p.end.fed.get(p.cavity.name)) is not None), None)
        if fed is None or fed.fuse_amps is None:
            return "fuse"
        name = fed.fuse or "fuse"
        if fed.found_amps is not None and fed.found_amps != fed.fuse_amps:
            return f"{name} {fed.fuse_amps:g} A, not the {fed.found_amps:g} A found,"
        return f"{name} {fed.fuse_amps:g} A"

    def _loads(self) -> Iterator[PowerStep]:
        for _, points in self._faces():
            grounds = [p.address for p in points if p.function == "power-ground" and self.harness.circuits_at(p.address)]
            supplies = [p.address for p in points if self._source(p.address) and electrical(p.cavity) == "supply"]  # type: ignore[arg-type]
            for k, supply in enumerate(supplies):
                if grounds:
                    ground = grounds[min(k, len(grounds) - 1)]
                    yield PowerStep(
                        0,
                        "load",
                        f"{self._fit(supply)} in; a test lamp between {supply} and {ground} burns fully, the drop stays small",
                        supply,
                        ground,
                        None,
                        None,
                        None,
                        "a beep proves no crimp; never a lamp on any other contact",
                    )
            for ground in grounds[len(supplies) :] if supplies else []:
                yield PowerStep(
                    0,
                    "load",
                    f"the same lamp between {supplies[0]} and {ground}",
                    supplies[0],
                    ground,
                    why="every ground leg must carry current",
                )
