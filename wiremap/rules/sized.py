"""The sizes of a job, worked out once for all rules that ask."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.base import Place
from wiremap.rules.cure import typed
from wiremap.rules.registry import Hit
from wiremap.rules.view import View
from wiremap.sizing.feed_parts import STUB_MM, Feed, FuseSize, Judged
from wiremap.sizing.fuse_judge import Objection
from wiremap.sizing.job import size_job
from wiremap.sizing.job_sizes import JobSizes
from wiremap.sizing.load import DEFAULT_AMBIENT_C

GUIDE = "common practice: what is not known is asked for"


@dataclass(frozen=True, slots=True)
class WireObjection:
    """One thing that speaks against a fuse, and the wire or contact behind it for which it does."""

    judged: Judged
    objection: Objection

    @property
    def weakness(self) -> tuple[float, str]:
        """Sorts the weakest wire first."""
        return (self.judged.ampacity_amps, self.judged.subject)


@dataclass(frozen=True, slots=True, kw_only=True)
class RatedFuse:
    """A fuse of known rating, of the machine or of the job, with what was worked out about it."""

    subject: str  # the fed contact, or the fuse itself
    name: str
    amps: float
    worked_out: Feed | FuseSize  # of the machine, of the job

    @property
    def place(self) -> Place | None:
        """Where it is written."""
        return self.worked_out.place

    @property
    def facts(self) -> dict[str, object]:
        """What every sentence about it tells."""
        return {"fuse": self.name, "amps": self.amps}

    def against(self, *kinds: str) -> list[WireObjection]:
        """What of these kinds speaks against it, in the order of what lies behind it."""
        return [
            WireObjection(judged, objection)
            for judged in self.worked_out.judged
            for objection in judged.objections
            if objection.kind in kinds
        ]

    def would_serve(self) -> str:
        """What would serve in its place, in words; empty where that could not be sized, or where a
        part of the load is not known.
        """
        if isinstance(self.worked_out, Feed) and self.worked_out.stub_mm is not None:
            return (
                f"the job's own fuse within {STUB_MM:g} mm of the source, or a thicker wire to it"
            )
        sized = self.worked_out.sized
        if sized is None or self.worked_out.undrawn:
            return ""
        if sized.found:
            amps = f"{sized.number('fuse'):g}"
            return f"a {amps} A fuse, which suits load, wires and contacts{self._told_by(amps)}"
        if not sized.cure:
            return ""
        return f"no fuse fits load and wire both; {'; or '.join(sized.cure)}"

    def _told_by(self, amps: str) -> str:
        """How the rating that a fuse of the machine shall have is told."""
        if isinstance(self.worked_out, FuseSize):
            return ""
        call = f"wiremap next JOB --about {self.subject}.fuse_amps --answer {amps}"
        return typed(f" (to have it so: {call})")

    def hit(self, view: View, *subject: str, **facts: object) -> Hit:
        """A hit about this fuse, with where the further subjects are described."""
        also = view.described(*subject)
        return view.hit_with((self.subject, *subject), facts | self.facts, self.place, also)


def heat_taken(view: View) -> str:
    """That a heat was taken which nobody has stated, as the end of a sentence; else empty."""
    if view.job.surroundings.ambient_C is not None:
        return ""
    return f"; {DEFAULT_AMBIENT_C:g} C is taken, as nobody has said how hot it gets there"


def sizes(view: View) -> JobSizes:
    """Everything that could be sized of the job in view."""
    return view.once(_sizes)


def _sizes(view: View) -> JobSizes:
    return size_job(view.harness)


def fuses(view: View) -> Iterator[RatedFuse]:
    """Every fuse of known rating, the upstream ones first."""
    for feed in sizes(view).feeds:
        if feed.fuse_amps is not None:
            named = feed.fed.fuse if feed.fed else None
            name = named or f"the fuse before {feed.address}"
            amps = feed.fuse_amps
            yield RatedFuse(subject=feed.address, name=name, amps=amps, worked_out=feed)
    for fuse in sizes(view).fuses.values():
        if fuse.amps is not None:
            yield RatedFuse(subject=fuse.name, name=fuse.name, amps=fuse.amps, worked_out=fuse)
