"""What could not be judged of a job's fed circuits, and why: values that rules make findings of."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from wiremap.base import Place
from wiremap.graph import Conductor, Harness
from wiremap.model import FORM_UNTOLD
from wiremap.sizing.around import Around
from wiremap.sizing.bundled import most_bundled
from wiremap.sizing.cases import Cases
from wiremap.sizing.feed_parts import Feed, FuseSize, Judged
from wiremap.sizing.fuse_limits import BLADE, FAMILIES, ambient_span
from wiremap.sizing.load import Loads, Missing

PLAIN_FUSES = ("", *FAMILIES)


class About(StrEnum):
    """What a figure that nobody states leaves open."""

    PROTECTION = "protection"  # whether a fed circuit's wire is safe behind its fuse
    SURROUNDINGS = "surroundings"  # whether anything can be carried where it lies
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class NotJudged:
    """Contacts, fuses or circuits of which something could not be judged, and why.

    `cure` is what is typed to state it; `by_reading`: a reading there tells it as well;
    `of_bundle`: it is the bundle that nobody states, on which more than one finding turns.
    """

    subject: tuple[str, ...]
    why: str
    about: About
    place: Place | None = None
    cure: str = ""
    by_reading: bool = False
    of_bundle: bool = False

    @property
    def told(self) -> str:
        """Why, with what is typed, for who reads it on a screen."""
        return f"{self.why}: {self.cure}" if self.cure else self.why


@dataclass(frozen=True, slots=True, kw_only=True)
class TooHot:
    """A wire that lies where it is as hot as its insulation stands, or hotter [C]."""

    subject: str
    circuit: str
    ambient_C: float
    limit_C: float


class Unjudged:
    """Finds what is left open of one job."""

    def __init__(self, harness: Harness, loads: Loads, cases: Cases, around: Around) -> None:
        self.harness = harness
        self.loads = loads
        self.cases = cases
        self.around = around

    def too_hot(self) -> Iterator[TooHot]:
        """Every wire whose insulation stands no more than the surroundings have."""
        for conductor in self.harness.conductors.values():
            limit_C = self.cases.limit_C(conductor)
            if not conductor.is_lead and self.around.ambient_C >= limit_C:
                yield TooHot(
                    subject=conductor.point or conductor.circuit,
                    circuit=conductor.circuit,
                    ambient_C=self.around.ambient_C,
                    limit_C=limit_C,
                )

    def protection(self, feeds: Iterable[Feed], fuses: Iterable[FuseSize]) -> Iterator[NotJudged]:
        """What is not known of feeds and fuses, circuit by circuit, then what holds for all."""
        feeds, fuses = list(feeds), list(fuses)
        protected = [feed for feed in feeds if not feed.is_short_stub and not _unfused(feed)]
        yield from map(_stub, filter(_by_length_alone, feeds))
        for feed in protected:
            yield from self._feed(feed)
        for fuse in fuses:
            yield from self._fuse(fuse)
        every = (*(feed.address for feed in protected), *(fuse.name for fuse in fuses))
        if every:
            yield from self._everywhere(every)

    def _feed(self, feed: Feed) -> Iterator[NotJudged]:
        subject = feed.address
        if feed.fuse_amps is None:
            yield _not_judged(subject, "nobody states what fuse lies before it", feed.place)
        if feed.fed is not None and feed.fed.milliohm is None:
            yield _not_judged(subject, _unknown_source(subject), feed.place)
        circuits = self.loads.sections.of(subject).circuits
        yield from self._wires(subject, circuits, feed.judged, feed.place)

    def _fuse(self, fuse: FuseSize) -> Iterator[NotJudged]:
        extra = self.harness.job.extras[fuse.name]
        if fuse.amps is None and not fuse.chosen:
            yield _not_judged(fuse.name, "its amps are not stated", fuse.place)
        if extra.detail == FORM_UNTOLD:
            why = "nobody states its form: judged as a blade fuse"
            yield replace(_not_judged(fuse.name, why, fuse.place), cure=_form_told(fuse))
        elif extra.detail not in PLAIN_FUSES:
            why = f"no opening limits of a {extra.detail} fuse are tabled: judged as a blade fuse"
            yield replace(_not_judged(fuse.name, why, fuse.place), cure=_form_told(fuse))
        if not fuse.feed:
            yield _not_judged(fuse.name, "nobody states what feeds it", fuse.place)
        elif any(judged.case.source_ohms is None for judged in fuse.judged):
            yield _not_judged(fuse.name, _unknown_source(fuse.feed), fuse.place)
        yield from self._wires(fuse.name, fuse.circuits, fuse.judged, fuse.place)

    def _wires(
        self,
        subject: str,
        circuits: tuple[str, ...],
        judged: tuple[Judged, ...],
        place: Place | None,
    ) -> Iterator[NotJudged]:
        """Wires behind a fuse of which no size, or no way there and back, is known."""
        known = {each.subject for each in judged}
        for conductor in self._behind(circuits):
            name = conductor.point or conductor.circuit
            if name not in known and not self._sized(conductor):
                yield _not_judged(
                    subject, f"the size of the wire at {name} is not known", place, name
                )
        for each in judged:
            if each.case.source_ohms is None:
                continue
            why = ""
            if each.case.loop_ohms is None:
                way = f"a length or size on the way to {each.subject} and back is not known"
                why = f"{way}: no short circuit there is judged"
            elif not each.return_known:
                why = f"the return of {each.subject} is not known: taken like the way out"
            if why:
                yield _not_judged(subject, why, place, each.subject)

    def _behind(self, circuits: tuple[str, ...]) -> Iterator[Conductor]:
        """The conductors of the circuits that a fuse protects."""
        for circuit in circuits:
            yield from self.harness.conductors_by_circuit.get(circuit, ())

    def _sized(self, conductor: Conductor) -> bool:
        if not conductor.has_length:
            return True
        wire = self.loads.cables.get(conductor.id)
        return wire is not None and wire.outside_mm is not None

    def _everywhere(self, every: tuple[str, ...]) -> Iterator[NotJudged]:
        surroundings = self.harness.job.surroundings
        bundle = surroundings.bundle
        place = surroundings.place
        if bundle is None:
            why = "nobody states how many loaded wires lie together: judged as single wires"
            yield NotJudged(
                subject=every, why=why, about=About.PROTECTION, place=place, of_bundle=True
            )
        elif bundle > most_bundled():
            why = f"no factor is tabled for a bundle of {bundle}: judged as {most_bundled()}"
            yield NotJudged(subject=every, why=why, about=About.PROTECTION, place=place)
        if self.harness.job.supply.volts is None:
            why = "the supply's volts are not stated: short circuits are judged at 12 V"
            yield NotJudged(subject=every, why=why, about=About.PROTECTION)
        low, high = ambient_span()
        if not low <= self.around.ambient_C <= high:
            at = f"no share of a fuse's rating is tabled for {self.around.ambient_C:g} C"
            why = f"{at}: whether it carries its load there is not judged"
            yield NotJudged(subject=every, why=why, about=About.OTHER, place=place)


def blocked(missing: Iterable[Missing], fed: tuple[str, ...]) -> Iterator[NotJudged]:
    """All fed circuits where surroundings or supply let no current be worked out at all."""
    for lack in missing:
        about = About.PROTECTION
        if lack.subject == "surroundings":
            about = About.SURROUNDINGS
        yield NotJudged(
            subject=fed or (lack.subject,), why=lack.reason, about=about, place=lack.place
        )


def _by_length_alone(feed: Feed) -> bool:
    """Whether little but its length speaks for a short way to a fuse of the job."""
    unknown = feed.fuse_amps is None or feed.fed is None or feed.fed.milliohm is None
    return feed.is_short_stub and unknown


def _stub(feed: Feed) -> NotJudged:
    why = "nobody states what fuse lies before it: only the length to its own fuse was judged"
    if _unfused(feed):
        why = "no fuse lies before it: only the length to its own fuse was judged"
    elif feed.fuse_amps is not None:
        why = "the source's resistance is not stated: a short before its own fuse is taken as hard"
    return NotJudged(subject=(feed.address,), why=why, about=About.OTHER, place=feed.place)


def _not_judged(subject: str, why: str, place: Place | None, *also: str) -> NotJudged:
    return NotJudged(subject=(subject, *also), why=why, about=About.PROTECTION, place=place)


def _form_told(fuse: FuseSize) -> str:
    """What is typed once a blade fuse is fitted."""
    return f"wiremap next JOB --about {fuse.name}.form --answer {BLADE} --by NAME"


def _unknown_source(address: str) -> str:
    return f"the resistance of the source at {address} is not stated: no short circuit is judged"


def _unfused(feed: Feed) -> bool:
    return feed.fed is not None and feed.fed.unfused
