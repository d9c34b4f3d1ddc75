"""A lamp over every supply and ground contact: a beep proves no crimp, a current does."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from functools import partial
from typing import NamedTuple

from wiremap.entries.lines import MINUS, PLUS
from wiremap.firstpower.faces import Faces, TestLamp, is_lamp
from wiremap.firstpower.lamp import Lamp
from wiremap.firstpower.step import VOLTS, PowerStage, PowerStep
from wiremap.graph import Point
from wiremap.ringout.fuses import Fuse
from wiremap.sizing.drop import FILE as DROPS
from wiremap.sizing.drop import allowed_percent
from wiremap.sizing.job_sizes import JobSizes
from wiremap.sizing.sized import source_title
from wiremap.survey.loaded import FILE, lamp_watts
from wiremap.survey.own_ground import Belonging
from wiremap.trade.tables import figure

LEAST_VOLTS = figure(FILE, "row", "least-lost")
MARGIN = figure(FILE, "row", "charging")
USUAL_VOLTS = 12.0  # a lamp is chosen as for this where nobody states the machine's volts
LOADED = "lamp on"
LOAD_TELLS = (
    "a beep proves no crimp; a lamp goes over a feed and its ground alone; of another lamp the "
    "limits go by its watts"
)


class Most(NamedTuple):
    """The most volts that one way may lose, and whence that is; None if nobody can say."""

    volts: float | None
    source: str


class LoadedTests:
    """The loaded tests; each contact's loss is read once."""

    def __init__(self, faces: Faces, lamp: TestLamp) -> None:
        self.faces, self.lamp = faces, lamp
        self.read: set[str] = set()
        self.heavier: dict[str, float] = {}  # of a ground the heaviest lamp that comes later [W]

    def comes_later(
        self, points: Sequence[Point], supplies: Sequence[Point], fuses: Sequence[Fuse]
    ) -> list[Point]:
        """The grounds of supplies that are tried later; notes the heaviest lamp for each ground.

        Their loss is read under that one, which tells most, and under no lighter one before.
        """
        later = {}
        for supply, ground in self._own_pairs(supplies, self.faces.grounds(points)):
            later[ground.address] = ground
            most = max(self.heavier.get(ground.address, 0.0), self._watts(supply, fuses))
            self.heavier[ground.address] = most
        return list(later.values())

    def _watts(self, supply: Point, fuses: Sequence[Fuse]) -> float:
        """The lamp that a supply's fuse bears [W]."""
        return lamp_watts(self.faces.volts or USUAL_VOLTS, self._fuse_amps(supply, fuses))

    def steps(
        self,
        stage: PowerStage,
        points: Sequence[Point],
        supplies: Sequence[Point],
        fuses: Sequence[Fuse],
    ) -> Iterator[PowerStep]:
        """A lamp over every supply and ground contact; every ground leg must carry current."""
        grounds = self.faces.grounds(points)
        if not supplies or not grounds:
            return
        for supply, ground in self._pairs(supplies, grounds):
            yield from self._pair(stage, supply, ground, self._watts(supply, fuses))

    def _pairs(
        self, supplies: Sequence[Point], grounds: Sequence[Point]
    ) -> Iterator[tuple[Point, Point]]:
        """Each supply with a ground of its own, and each ground left with the nearest supply."""
        done = {*self.heavier, *self.read}
        for supply, ground in self._own_pairs(supplies, grounds):
            done.add(ground.address)
            yield supply, ground
        for ground in grounds:
            if ground.address not in done:
                yield max(supplies, key=partial(self._belonging, ground)), ground

    def _own_pairs(
        self, supplies: Sequence[Point], grounds: Sequence[Point]
    ) -> Iterator[tuple[Point, Point]]:
        """Each supply with a ground of its own, of equals the one that was taken least."""
        used: Counter[str] = Counter()
        for supply in supplies if grounds else ():
            own = self.faces.own_grounds(supply, grounds)
            ground = min(own, key=lambda each: used[each.address])
            used[ground.address] += 1
            yield supply, ground

    def _belonging(self, ground: Point, supply: Point) -> Belonging:
        return self.faces.belongs(supply, ground)

    def _fuse_amps(self, supply: Point, fuses: Sequence[Fuse]) -> float | None:
        reached = set(self.faces.sections.of(supply.address).points)
        stated = [f.amps for f in fuses if f.amps is not None and reached.intersection(f.feeds)]
        return min(stated, default=None)

    def _pair(
        self, stage: PowerStage, supply: Point, ground: Point, watts: float
    ) -> Iterator[PowerStep]:
        lamp = self.faces.lamp(watts)
        yield PowerStep(
            stage=stage,
            do=f"{self._lamp_words(lamp)} {supply.address} and {ground.address} burns fully",
            red=supply.address,
            black=ground.address,
            why=LOAD_TELLS,
            looks=True,
            lamp=lamp,
        )
        amps = watts / (self.faces.volts or USUAL_VOLTS)
        yield from self._loss(stage, PLUS, supply, self._most_lost(supply, amps, back=False))
        if self.heavier.get(ground.address, watts) <= watts:
            yield from self._loss(stage, MINUS, ground, self._most_lost(supply, amps, back=True))

    def _lamp_words(self, lamp: Lamp) -> str:
        """How a step begins that puts this lamp over a feed; it burns there from then on."""
        if lamp.watts == self.lamp.watts:
            return "the lamp moved to"
        told = f"{self.lamp.put_away()}{lamp} between"
        self.lamp.watts = lamp.watts
        return told

    def _loss(self, stage: PowerStage, post: str, point: Point, most: Most) -> Iterator[PowerStep]:
        if point.address in self.read:
            return
        self.read.add(point.address)
        yield PowerStep(
            stage=stage,
            do=f"lamp burning, volts lost from {post} to {point.address}",
            red=point.address,
            black=post,
            low=None if most.volts is None else -LEAST_VOLTS,
            high=most.volts,
            why="too much is lost: a crimp, contact or ground is poor",
            quantity=VOLTS,
            state=LOADED,
            source=most.source,
        )

    def _most_lost(self, supply: Point, amps: float, *, back: bool) -> Most:
        """The most volts that the way to a supply, or `back` from it, may lose under a lamp.

        By the sized way, else by the usual share of the machine's volts.
        """
        volts = self.faces.volts
        if volts is None:
            return Most(None, "the job does not state the machine's volts")
        ohms = self._sized_ohms(supply, back=back)
        if ohms is not None:
            allowance = volts * allowed_percent("other") / 100
            most = min(max(MARGIN * amps * ohms, LEAST_VOLTS), allowance)
            told = f"the sized way at {amps:.2g} A, one fifth more (common practice)"
            return Most(_rounded_up(most), told)
        share = allowed_percent("other" if is_lamp(supply) else "critical")
        told = f"{share:g} % of {volts:g} V out and back, half each way"
        source = source_title(DROPS, "marine-split")
        return Most(_rounded_up(volts * share / 100 / 2), f"{told}: {source}")

    def _sized_ohms(self, supply: Point, *, back: bool) -> float | None:
        """Ohms of the sized way to a load, or back from it; None if it was not sized."""
        for feed in self.faces.sizes.feeds:
            for drop in feed.drops:
                if drop.load != supply.address:
                    continue
                return sum(part.ohms_hot for part in (drop.back if back else drop.out))
        return None


def added_volts(sizes: JobSizes | None, load: str, lamp: Lamp) -> float:
    """What a loaded test allows the job's own wires, joints and contacts, out and back [V].

    0 for a load that was not sized.
    """
    feeds = sizes.feeds if sizes else ()
    ohms = (drop.added_ohms for feed in feeds for drop in feed.drops if drop.load == load)
    return MARGIN * lamp.watts / (lamp.volts or USUAL_VOLTS) * next(ohms, 0.0)


def _rounded_up(volts: float) -> float:
    """Volts rounded up to hundredths, as a hand meter shows them."""
    return math.ceil(round(volts * 100, 6)) / 100
