"""The steps of first power: lock-out, fuses out, lamp, volts of the unmated faces, loads, in-line units, mating, outputs at work, sleep."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wiremap.evidence.expected import electrical, system
from wiremap.evidence.meter import POSTS
from wiremap.evidence.probe_points import test_points
from wiremap.firstpower.judge import MINUS, PowerStep
from wiremap.graph import Harness, Nets, Point
from wiremap.model import CHASSIS, Address, End, Span
from wiremap.ringout.fuses import Fuse, fuses_kept, fuses_out, unfused
from wiremap.sizing.drop import FILE as DROPS
from wiremap.sizing.drop import allowed_percent
from wiremap.sizing.job import JobSizes
from wiremap.sizing.sized import source_title

ZERO = Span(-0.1, 0.1)
BUS = Span(-0.1, 3.6)  # ISO 11898-2: recessive 2.5 V, dominant high up to 3.5 V on average
AWAKE = Span(1.5, 3.5)
AWAKE_SOURCE = (
    "ISO 11898-2, from memory: recessive 2 to 3 V; half a volt more either way for the mean of a busy bus "
    "(common practice)"
)
DARK_WATTS = 5.0
LAMPS = (21.0, 10.0, 5.0)  # filament bulbs that every workshop has (common practice)
LOAD_SHARE = 0.5  # of a fuse's rating that a test lamp may draw (common practice)
LEAST_VOLTS = 0.1  # what tips and leads of a hand meter leave in doubt (common practice)
MARGIN = 1.2  # a lamp draws more at charging volts than at its nominal ones (common practice)
LOADED = "lamp on"
QUIET = "wait till the current falls no more (up to 30 min)"  # units go to sleep one after another (common practice)
PLUS = POSTS[0]


class Powering:
    """Works out which contact of the new faces carries what, fuse by fuse."""

    def __init__(self, harness: Harness, sizes: JobSizes) -> None:
        self.harness, self.job, self.sizes = harness, harness.job, sizes
        self.parted: Nets = harness.sections
        self.live = system(self.job)
        self.volts = self.job.supply.volts or (
            None if self.live is None else round((self.live.low + self.live.high) / 2)
        )
        found = fuses_out(harness, sizes)
        self.upstream = [f for f in found if not f.own]
        self.own = [f for f in found if f.own]
        touched = set(test_points(harness))
        self.faces = [
            (
                e,
                [
                    p
                    for p in harness.points.values()
                    if p.owner == e.name
                    and p.address in touched
                    and p.cavity is not None
                    and not p.cavity.unused
                    and not self._blanked(p.address)
                ],
            )
            for e in self.job.ends.values()
            if e.kind in ("pigtail", "mate") and e.side != "machine"
        ]
        self.loaded: set[str] = set()
        self.lamp_on = 0.0  # watts of the test lamp that burns at a face, 0 if none does

    def _blanked(self, address: str) -> bool:
        """Whether a blanking plug fills the cavity: it has no contact to touch."""
        left = self.job.not_joined.get(Address.read(address))
        return left is not None and left.treat == "blank"

    def steps(self) -> Iterator[PowerStep]:
        """All steps in order, each one deed or one reading; their numbers are given afterwards."""
        yield from self._lock_out()
        yield from self._fuses_out()
        yield from self._dark()
        yield from self._unmated()
        yield _deed("load", "key off")
        for fuse in self.upstream:
            yield _deed("load", f"lamp out, {fuse.fit}")
        yield from self._face_loads("always")
        if any(
            _is_supply(p) and self._source(p.address) == "key"
            for _, points in self.faces
            for p in points
        ):
            yield _deed("load", f"{self._away()}key on")
            yield from self._face_loads("key")
        for fuse in self.own:
            yield from self._own_fuse(fuse)
        yield from self._in_line()
        yield from self._mate()
        yield from self._work()
        yield from self._sleep()

    # -- before anything is live -----------------------------------------------------------------------

    def _lock_out(self) -> Iterator[PowerStep]:
        moving = self._moving()
        if moving:
            told = ", ".join(p.address for p in moving)
            yield _deed("lock-out", f"block what can move, turn or spray; it hangs on {told}")
            yield _deed("lock-out", "take the pressure off hydraulics and air, send everyone away")

    def _moving(self) -> list[Point]:
        """The unit's joined outputs that drive something."""
        return [
            p
            for p in self.harness.points.values()
            if p.cavity is not None
            and p.end is not None
            and p.end.side == "unit"
            and electrical(p.cavity) == "drive"
            and self.harness.circuits_at(p.address)
        ]

    def _fuses_out(self) -> Iterator[PowerStep]:
        yield _deed("lamp", "battery disconnected, minus first")
        faces = [e.name for e, _ in self.faces]
        if faces:
            yield _deed(
                "lamp",
                f"unmated: {', '.join(faces)}",
                "probe through a contact that fits, never a bare tip in a socket",
            )
        for fuse in self.upstream:
            yield _deed(
                "lamp",
                f"out: {fuse.out}, it feeds {', '.join(fuse.feeds)}",
                ""
                if fuse.named
                else "the job does not name it: pull fuses until the contact goes dead",
            )
        for fuse in self.own:
            yield _deed("lamp", f"holder of {fuse.label} empty")
        kept = fuses_kept(self.harness)
        if self.upstream:
            yield _deed(
                "lamp",
                "the machine's other fuses stay in"
                + (f", also {', '.join(kept)}" if kept else "")
                + self._through_others(),
            )
        for address in unfused(self.harness):
            yield _deed(
                "lamp",
                f"a {self._lamp(DARK_WATTS)} in the battery's minus lead for {address}: no fuse protects it",
            )

    def _through_others(self) -> str:
        """Which joined wires of the machine are live with the key through a fuse that stays in, as no fuse is named for them."""
        named = {a for f in self.upstream for a in f.feeds}
        found = [
            p.address
            for p in self.harness.points.values()
            if p.end is not None
            and p.end.side == "machine"
            and p.address not in named
            and self.harness.circuits_at(p.address)
            and self._source(p.address) == "key"
        ]
        return f" ({', '.join(found)} may be live through one)" if found else ""

    def _dark(self) -> Iterator[PowerStep]:
        short = "a lamp that burns shows a short, or another load on that fuse: unplug it and look again"
        for fuse in self.upstream:
            yield _deed("lamp", f"{self._guarded()} in place of {fuse.out}")
        yield _deed("lamp", "key off, battery on")
        names = " and ".join(f.name for f in self.upstream)
        for key in ("off", "on") if names else ():
            yield _deed("lamp", f"key {key}: no lamp burns ({names})", short)
        yield PowerStep(
            0,
            "lamp",
            f"key off, lamps still in place, {QUIET}: current in the battery's minus lead, then meter out",
            MINUS,
            CHASSIS,
            "off",
            quantity="A",
            state="fuses out",
            why="what the machine draws without this job",
        )

    # -- volts of the unmated faces --------------------------------------------------------------------

    def _source(self, address: str) -> str | None:
        """`always`, `key` or nothing: what feeds a contact from the machine's side."""
        found = {
            p.function
            for p in self.harness.cavities(self.parted.of(address))
            if p.end is not None and p.end.side == "machine"
        }
        if found & {"permanent-supply", "auxiliary-supply"}:
            return "always"
        return (
            "key"
            if found
            & {
                "switched-supply",
                "accessory-supply",
                "relay-switched-supply",
                "start-supply",
                "wake",
            }
            else None
        )

    def _ground(self, points: list[Point]) -> str:
        """The face's own ground; without one, the chassis."""
        return next(
            (
                p.address
                for p in points
                if p.function == "power-ground" and self.harness.circuits_at(p.address)
            ),
            CHASSIS,
        )

    def _unmated(self) -> Iterator[PowerStep]:
        for end, points in self.faces:
            black = self._ground(points)
            for key in ("off", "on"):
                for p in points:
                    if p.address != black:
                        yield self._volts(end, p, black, key)

    def _volts(self, end: End, p: Point, black: str, key: str) -> PowerStep:
        source = self._source(p.address)
        live = source == "always" or (source == "key" and key == "on")
        band, why = (self.live, self._why(p, source)) if live else self._levels(p, source)
        if live and band is None:
            why = "the job does not state the machine's volts: write it down, and add supply.volts"
        return PowerStep(
            0,
            "volts",
            f"unmated face of {end.name}, key {key}",
            p.address,
            black,
            key,
            None if band is None else band.low,
            None if band is None else band.high,
            why,
            "V",
        )

    def _levels(self, p: Point, source: str | None) -> tuple[Span | None, str]:
        """A wider band where the machine's own data lines or unknown wires reach a contact that is not live."""
        found = {
            q.function
            for q in self.harness.cavities(self.parted.of(p.address))
            if q.end and q.end.side == "machine"
        }
        if found & {"can-high", "can-low"}:
            return BUS, "the machine's own bus stands here when it is awake"
        if found & {"lin", "k-line", "l-line", "unknown"} and self.live is not None:
            return Span(
                -0.1, self.live.high
            ), "the machine may hold this line at its own volts: write it down"
        if found & {"lin", "k-line", "l-line", "unknown"}:
            return (
                None,
                "the machine may hold this line at its own volts, which the job does not state: write it down",
            )
        return ZERO, self._why(p, source)

    def _why(self, p: Point, source: str | None) -> str:
        if source is None and p.function == "sensor-supply":
            return "volts here: the sensor reference touches a supply; do not mate"
        return (
            "volts here that do not belong: do not mate"
            if source is None
            else "no supply: fuse, joint or ground is not sound"
        )

    # -- loads -----------------------------------------------------------------------------------------

    def _face_loads(self, source: str) -> Iterator[PowerStep]:
        """The lamp over every contact that the machine feeds always, or with the key on."""
        for _, points in self.faces:
            fed = [p for p in points if _is_supply(p) and self._source(p.address) == source]
            yield from self._loads("load", points, fed, self.upstream)

    def _loads(
        self, stage: str, points: list[Point], supplies: list[Point], fuses: list[Fuse]
    ) -> Iterator[PowerStep]:
        """A lamp over every supply and ground contact, the volts lost each way; every ground leg must carry current."""
        grounds = [
            p
            for p in points
            if p.function == "power-ground" and self.harness.circuits_at(p.address)
        ]
        if not supplies or not grounds:
            return
        pairs = [(s, grounds[min(k, len(grounds) - 1)]) for k, s in enumerate(supplies)]
        pairs += [(supplies[0], g) for g in grounds[len(supplies) :]]
        for supply, ground in pairs:
            yield from self._load(stage, supply, ground, self._fuse_amps(supply, fuses))

    def _fuse_amps(self, supply: Point, fuses: list[Fuse]) -> float | None:
        reached = set(self.parted.of(supply.address).points)
        stated = [f.amps for f in fuses if f.amps is not None and reached.intersection(f.feeds)]
        return min(stated, default=None)

    def _load(
        self, stage: str, supply: Point, ground: Point, fuse_amps: float | None
    ) -> Iterator[PowerStep]:
        volts = self.volts or 12.0
        watts = next(
            (w for w in LAMPS if fuse_amps is None or w / volts <= fuse_amps * LOAD_SHARE),
            DARK_WATTS,
        )
        if fuse_amps is None:
            watts = DARK_WATTS
        lamp = (
            "the lamp moved to"
            if watts == self.lamp_on
            else f"{self._away()}a {self._lamp(watts)} between"
        )
        self.lamp_on = watts
        yield PowerStep(
            0,
            stage,
            f"{lamp} {supply.address} and {ground.address} burns fully",
            supply.address,
            ground.address,
            why="a beep proves no crimp; never a lamp on any other contact",
        )
        lost = ((PLUS, supply, f"from {PLUS} to"), (MINUS, ground, f"from {MINUS} to"))
        for post, point, told in lost:
            if point.address in self.loaded:
                continue
            self.loaded.add(point.address)
            most, source = self._most_lost(supply, point is ground, watts / volts)
            yield PowerStep(
                0,
                stage,
                f"lamp burning, volts lost {told} {point.address}",
                point.address,
                post,
                None,
                None if most is None else -LEAST_VOLTS,
                most,
                "too much is lost: a joint, contact or ground is poor",
                "V",
                LOADED,
                source,
            )

    def _away(self) -> str:
        """What a step begins with where the test lamp still burns at a face: it is taken away, lest it stay for the next reading."""
        told, self.lamp_on = "test lamp away, " if self.lamp_on else "", 0.0
        return told

    def _most_lost(self, supply: Point, back: bool, amps: float) -> tuple[float | None, str]:
        """The most volts that one way may lose to a lamp's current, from the sized path, or from the usual share."""
        if self.volts is None:
            return None, "the job does not state the machine's volts"
        allowance = self.volts * allowed_percent("other") / 100
        for feed in self.sizes.feeds:
            for drop in feed.drops:
                if drop.load == supply.address:
                    before = (
                        (feed.fed.milliohm or 0.0) / 1000
                        if feed.fed is not None and not back
                        else 0.0
                    )
                    ohms = before + sum(x.ohms_hot for x in (drop.back if back else drop.out))
                    most = min(max(MARGIN * amps * ohms, LEAST_VOLTS), allowance)
                    return _up(
                        most
                    ), f"the sized way at {amps:.2g} A, one fifth more (common practice)"
        share = allowed_percent("critical")
        told = f"{share:g} % of {self.volts:g} V out and back, half each way"
        return _up(self.volts * share / 200), f"{told}: {source_title(DROPS, 'marine-split')}"

    def _guarded(self) -> str:
        """What stands in a fuse's place: a small lamp, or a feed that lets no more than its current through."""
        amps = math.ceil(round(DARK_WATTS / self.volts * 10, 6)) / 10 if self.volts else None
        return f"a {self._lamp(DARK_WATTS)} or a limited feed" + (
            f" ({amps:g} A)" if amps is not None else ""
        )

    def _lamp(self, watts: float) -> str:
        return f"{watts:g} W lamp" + (
            f" of {self.volts:g} V" if self.volts else " for the machine's volts"
        )

    # -- the job's own fuses and in-line units -----------------------------------------------------------

    def _own_fuse(self, fuse: Fuse) -> Iterator[PowerStep]:
        """Lamp first, then the fuse, then the feed contact read on the unmated face."""
        yield _deed(
            "in-line",
            f"{self._away()}{self._guarded()} in place of {fuse.label}: it stays dark",
            "a lamp that burns shows a short behind this fuse",
        )
        yield _deed("in-line", f"lamp out, {fuse.fit}")
        behind = [self.harness.points[a] for a in fuse.feeds if a in self.harness.points]
        for end, points in self.faces:
            fed = [p for p in points if p in behind]
            black = self._ground(points)
            for p in fed:
                band, why = self._made_for(p)
                yield PowerStep(
                    0,
                    "in-line",
                    f"unmated face of {end.name}, {fuse.label} in, key on",
                    p.address,
                    black,
                    "on",
                    None if band is None else band.low,
                    None if band is None else band.high,
                    why,
                    "V",
                    f"{fuse.name} in",
                    "what the contact is made for" if band is not self.live else "",
                )
            yield from self._loads("in-line", points, fed, [fuse])

    def _made_for(self, p: Point) -> tuple[Span | None, str]:
        """The volts a supply contact of a unit must see before it is mated: its own stated range, else the machine's."""
        own = p.cavity.volts if p.cavity is not None else None
        if own is not None and not own.exact:
            return own, f"the unit is made for {own} V: outside that do not mate it"
        return self.live, "no supply, or too much: do not mate"

    def _in_line(self) -> Iterator[PowerStep]:
        for end, points in self.faces:
            if end.side != "between":
                continue
            fuses = [f for f in self.own if any(p.address in f.feeds for p in points)]
            before = fuses or [f for f in self.upstream if self._feeds(f, points)]
            yield from self._mated(
                "in-line",
                [end],
                before,
                "only if every reading at its face was in order",
                self._asleep(end, points, before[0]) if before else None,
            )
            yield from self._bus_lines(end)

    def _feeds(self, fuse: Fuse, points: list[Point]) -> bool:
        return any(set(fuse.feeds) & set(self.parted.of(p.address).points) for p in points)

    def _mated(
        self,
        stage: str,
        ends: list[End],
        fuses: list[Fuse],
        why: str,
        asleep: PowerStep | None = None,
    ) -> Iterator[PowerStep]:
        """Battery off, mate, battery on, fuses back one by one, key on: no contact closes while anything is live.

        In the fuses' places lamps, an ammeter where a leaflet tells what to see, then the fuses.  The key is off, so that
        the unit charges its input and then rests: a small lamp lets that through and still spares a unit that is mated
        wrongly.  With the key on a lamp would starve it (common practice).
        """
        yield _deed(stage, f"{self._away()}key off")
        for fuse in fuses:
            yield _deed(stage, f"take {fuse.label} out")
        yield _deed(
            stage,
            "battery off, minus first",
            "a face that is mated live meets its contacts in any order, supply before ground",
        )
        for end in ends:
            yield _deed(stage, f"mate {end.name}", why)
        through = [f for f in fuses if not self._keyed(f)]
        for fuse in through:
            yield _deed(stage, f"{self._guarded()} in place of {fuse.label}")
        for fuse in fuses:
            if fuse not in through:
                yield _deed(
                    stage,
                    f"fit {fuse.label} again",
                    "no lamp first: with the key off nothing flows, with the key on it starves the unit",
                )
        yield _deed(
            stage,
            "battery on" + (": a lamp may flash and glow, not burn on" if through else ""),
            "a lamp that burns on: battery off, unmate: mated wrongly, broken, or awake and in need of more than a lamp lets "
            "through; leave it out only where the unit's maker wants the full feed at once"
            if through
            else "",
        )
        metered = fuses[0] if asleep is not None and fuses[0] in through else None
        if asleep is not None and metered is not None:
            yield asleep
        for fuse in through:
            yield _deed(
                stage, f"{'ammeter' if fuse is metered else 'lamp'} out, fit {fuse.label} again"
            )
        yield _deed(stage, "key on")

    def _keyed(self, fuse: Fuse) -> bool:
        """Whether nothing flows through a fuse while the key is off."""
        sources = {
            self._source(a) for a in (self.job.extras[fuse.name].legs if fuse.own else fuse.feeds)
        }
        return "key" in sources and "always" not in sources

    def _asleep(self, end: End, points: list[Point], fuse: Fuse) -> PowerStep | None:
        """What an in-line unit draws asleep, read in place of its fuse; nothing where its leaflet does not tell."""
        stated = [
            p.cavity.asleep_amps
            for p in points
            if p.cavity is not None and p.cavity.asleep_amps is not None
        ]
        if not stated:
            return None
        red, black = self.job.extras[fuse.name].legs[:2] if fuse.own else (PLUS, fuse.feeds[0])
        return PowerStep(
            0,
            "in-line",
            f"key off, {end.name} asleep, {QUIET}: current through an ammeter in place of the lamp ({fuse.label})",
            red,
            black,
            "off",
            0.0,
            round(sum(stated), 6),
            "an in-line unit that never sleeps empties a battery",
            "A",
            f"{end.name} asleep",
            "stated for the unit",
        )

    def _bus_lines(self, between: End) -> Iterator[PowerStep]:
        """Its bus lines, read at the faces that are still unmated."""
        for end, points in self.faces:
            if end.side == "between":
                continue
            for p in points:
                near = self.harness.cavities(self.parted.of(p.address))
                if p.function in ("can-high", "can-low") and any(
                    q.end is not None and q.end.name == between.name for q in near
                ):
                    yield PowerStep(
                        0,
                        "in-line",
                        f"{between.name} awake, unmated face of {end.name}",
                        p.address,
                        self._ground(points),
                        "on",
                        AWAKE.low,
                        AWAKE.high,
                        "the in-line unit does not hold its bus: feed, ground or pair",
                        "V",
                        f"{between.name} mated",
                        AWAKE_SOURCE,
                    )

    # -- mating ------------------------------------------------------------------------------------------

    def _mate(self) -> Iterator[PowerStep]:
        units = [(e, points) for e, points in self.faces if e.side == "unit"]
        if not units:
            return
        every = [
            f
            for f in (*self.upstream, *self.own)
            if any(self._reaches(f, points) for _, points in units)
        ]
        yield from self._mated(
            "mate", [end for end, _ in units], every, "only if every reading above was in order"
        )
        yield _deed("mate", "nothing moves, nothing warms, no new warning lamp")

    def _reaches(self, fuse: Fuse, points: list[Point]) -> bool:
        return (
            any(p.address in fuse.feeds for p in points) if fuse.own else self._feeds(fuse, points)
        )

    # -- at work -----------------------------------------------------------------------------------------

    def _work(self) -> Iterator[PowerStep]:
        """Each output by itself: two valves of one kind read alike until one moves; then the guard's own stop."""
        moving = self._moving()
        if not moving or not self._mates_units():
            return
        yield _deed("work", "blocks away, pressure back, everyone clear, one hand at the stop")
        for p in moving:
            told = (
                p.cavity.signal
                if p.cavity is not None and p.cavity.signal
                else p.function.replace("-", " ")
            )
            yield _deed(
                "work",
                f"switch on {told} ({p.address}) alone: it works and nothing else",
                "another one works: stop, battery off, two outputs are exchanged",
            )
        chains = {
            p.cavity.chain: None
            for p in self.harness.points.values()
            if p.cavity is not None
            and p.cavity.chain
            and p.end is not None
            and p.end.side == "unit"
            and self.harness.circuits_at(p.address)
        }
        for chain in chains:
            yield _deed(
                "work",
                f"open the {chain} loop: what it stops, stops",
                "a bridged loop protects nobody",
            )

    def _mates_units(self) -> bool:
        return any(e.side == "unit" for e, _ in self.faces)

    # -- sleep -------------------------------------------------------------------------------------------

    def _sleep(self) -> Iterator[PowerStep]:
        units: dict[str, list[float]] = {e.name: [] for e, _ in self.faces}
        for p in self.harness.points.values():
            if p.owner in units and p.cavity is not None and p.cavity.asleep_amps is not None:
                units[p.owner].append(p.cavity.asleep_amps)
        asleep = (
            sum(map(sum, units.values())) if all(units.values()) else 0.0
        )  # one silent leaflet and there is no sum
        yield _deed("sleep", f"{self._away()}key off, {QUIET}")
        yield PowerStep(
            0,
            "sleep",
            "current in the battery's minus lead",
            MINUS,
            CHASSIS,
            "off",
            0.0,
            round(asleep, 6) if asleep else None,
            "amps above the figure with this job's fuses out; an in-line unit that never sleeps empties a battery",
            "A",
            "fuses in",
            "sum of what the units are stated to draw asleep" if asleep else "",
        )


def _deed(stage: str, do: str, why: str = "") -> PowerStep:
    return PowerStep(0, stage, do, why=why)


def _is_supply(p: Point) -> bool:
    return p.cavity is not None and electrical(p.cavity) == "supply"


def _up(volts: float) -> float:
    """Rounded up to what a hand meter shows."""
    return math.ceil(round(volts * 100, 6)) / 100
