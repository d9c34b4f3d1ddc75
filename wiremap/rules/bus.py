"""Family `bus`: pairs that must stay pairs, end in two terminators, and keep their twist and shield."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.base import Severity
from wiremap.graph import Point
from wiremap.rules.clash import PAIRED, clashes
from wiremap.rules.metal import clash_hit
from wiremap.rules.registry import Hit, rule
from wiremap.rules.signals import Signal
from wiremap.rules.view import View


@dataclass(frozen=True, slots=True)
class Pair:
    """Both halves of one bus at one connector."""

    end: str
    name: str | None
    high: Point
    low: Point

    @property
    def legs(self) -> tuple[Point, Point]:
        """High, low."""
        return self.high, self.low

    @property
    def called(self) -> str:
        """The pair as a person calls it."""
        return (
            f"{self.end} pair {self.name}"
            if self.name
            else f"{self.high.address} with {self.low.address}"
        )


def _half(point: Point) -> str | None:
    cavity = point.cavity
    assert cavity is not None
    slug = cavity.function
    if slug in ("can-high", "j1850-plus"):
        return "high"
    if slug in ("can-low", "j1850-minus"):
        return "low"
    polarity = cavity.reading.qualifier("polarity") if slug == "differential-data" else None
    return {
        "plus": "high",
        "minus": "low",
        "high": "high",
        "low": "low",
        "a": "high",
        "b": "low",
    }.get(polarity or "")


def family_of(point: Point) -> str:
    """The bus that a half belongs to: can, j1850, differential."""
    return point.function.split("-")[0]


@dataclass(frozen=True, slots=True)
class Halves:
    """What the connectors offer: whole pairs, and halves whose partner their paper does not show."""

    pairs: tuple[Pair, ...]
    single: tuple[Point, ...]


def halves(view: View) -> Halves:
    """Every pair of every end, by its `pair` name, or by being the only two halves there."""
    pairs: list[Pair] = []
    single: list[Point] = []
    for end in view.job.ends.values():
        found: dict[tuple[str, str | None], dict[str, Point]] = defaultdict(dict)
        for cavity in end.pinout.cavities.values():
            if cavity.function in PAIRED:
                point = view.points[f"{end.name}.{cavity.name}"]
                half = _half(point)
                if half is not None:
                    found[
                        family_of(point), cavity.pair or end.pinout.segment_of(cavity.name)
                    ].setdefault(half, point)
        for (family, name), both in found.items():
            if len(both) == 2:
                pairs.append(Pair(end.name, name, both["high"], both["low"]))
            elif family != "j1850":  # J1850 also runs on its plus line alone
                single += both.values()
    return Halves(tuple(pairs), tuple(single))


def _joined(view: View, point: Point) -> bool:
    return bool(view.net_of(point.address).circuits)


def _landings(view: View, point: Point) -> list[Signal]:
    return [
        s
        for s in view.signals(view.net_of(point.address))
        if s.owner != point.owner and s.row.slug in PAIRED
    ]


@rule(
    "pair-parted",
    Severity.STOP,
    family="bus",
    source="ISO 11898-2",
    what="{pair} is parted: {a} goes to {one}, {b} goes to {other}",
    why="A bus works between the two wires of one pair; with its halves on two pairs both are dead.",
    fix="Bring both halves to the same pair.",
)
def pair_parted(view: View) -> Iterator[Hit]:
    """A pair whose halves land on two different pairs, or on two different connectors."""
    for pair in view.fixed(halves).pairs:
        high, low = (_landings(view, leg) for leg in pair.legs)
        if not high or not low:
            continue
        where = [
            {
                (
                    s.owner,
                    s.pair or view.job.ends[s.owner].pinout.segment_of(s.address.partition(".")[2]),
                )
                for s in x
            }
            for x in (high, low)
        ]
        if where[0] != where[1]:
            guilty = next((s for s in low if (s.owner, s.pair) not in where[0]), low[0])
            yield Hit(
                view.place_of(guilty.address),
                (pair.high.address, pair.low.address),
                {
                    "pair": pair.called,
                    "a": view.name(pair.high.address),
                    "b": view.name(pair.low.address),
                    "one": view.name(high[0].address),
                    "other": view.name(guilty.address),
                },
            )


@rule(
    "legs-crossed",
    Severity.STOP,
    family="bus",
    source="ISO 11898-2",
    what="{a} and {b} are joined: the legs of the pair are crossed{more}",
    why="High on low is no bus: nothing talks, and a colour that looks right does not help.",
    fix="Exchange the two wires; the half (high, low) counts, not the colour or the number.",
)
def legs_crossed(view: View) -> Iterator[Hit]:
    """The high half of a pair on one metal with a low half."""
    for clash in view.once(clashes).get("legs-crossed", ()):
        yield clash_hit(view, clash)


@rule(
    "partner-missing",
    Severity.STOP,
    family="bus",
    source="ISO 11898-2",
    what="{a} is joined but {partner}",
    why="One wire of a pair carries nothing by itself.",
    fix="Join both halves of the pair or neither.",
)
def partner_missing(view: View) -> Iterator[Hit]:
    """One half of a pair joined while the other is not, or is nowhere on the paper."""
    found = view.fixed(halves)
    for pair in found.pairs:
        joined = [leg for leg in pair.legs if _landings(view, leg) or _joined(view, leg)]
        if len(joined) == 1:
            other = next(leg for leg in pair.legs if leg is not joined[0])
            yield Hit(
                view.place_of(joined[0].address),
                (joined[0].address, other.address),
                {
                    "a": view.name(joined[0].address),
                    "partner": f"its partner {view.name(other.address)} is not",
                },
                view.described(other.address),
            )
    for point in found.single:
        if _joined(view, point):
            yield Hit(
                view.place_of(point.address),
                (point.address,),
                {
                    "a": view.name(point.address),
                    "partner": f"{point.owner} describes no partner for it",
                },
            )


@rule(
    "bit-rates-unlike",
    Severity.STOP,
    family="bus",
    source="ISO 11898-1",
    what="{a} talks at {one} kbit/s and {b} at {other} kbit/s on one metal",
    why="Two rates on one bus stop it for everybody on it.",
    fix="Put a gateway between them, or set both to one rate if their leaflets allow.",
)
def bit_rates_unlike(view: View) -> Iterator[Hit]:
    """Bus contacts of unlike stated bit rate on one metal."""
    for net in view.nets:
        rated = (
            [s for s in view.signals(net) if s.kbit_s is not None] if len(net.points) > 1 else []
        )
        for s in rated[1:]:
            if s.kbit_s != rated[0].kbit_s:
                yield Hit(
                    view.place_of(s.address),
                    (rated[0].address, s.address),
                    {
                        "a": view.name(rated[0].address),
                        "b": view.name(s.address),
                        "one": f"{rated[0].kbit_s:g}",
                        "other": f"{s.kbit_s:g}",
                    },
                    view.described(rated[0].address, s.address),
                )
                break
