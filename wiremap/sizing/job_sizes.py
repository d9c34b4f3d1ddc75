"""All sizes of one job: what `size_job` gives."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType

from wiremap.sizing.conductor import Cable
from wiremap.sizing.cutting import CutLength, cut_lengths
from wiremap.sizing.feed_parts import Feed, FuseSize
from wiremap.sizing.load import Loads, Missing
from wiremap.sizing.meter import Continuity, LoadedDrop, continuity, loaded
from wiremap.sizing.placing import JointSize, RunLayout
from wiremap.sizing.sized import Sized
from wiremap.sizing.unjudged import NotJudged, TooHot


@dataclass(frozen=True, slots=True, kw_only=True)
class ConductorSize:
    """One conductor: its cable, what flows in it [A], what it may carry [A]."""

    conductor: str  # its id
    circuit: str
    subject: str  # what it is called by: its contact, or its circuit
    cable: Cable
    amps: float | None
    ampacity_amps: float | None
    length_mm: float | None
    limit_C: float
    sized: Sized | None


@dataclass(frozen=True, kw_only=True)
class JobSizes:
    """All sizes of a job, each with its parent; `missing` tells what could not be sized and why.

    What only work at the loom asks for (cuts, what a meter shows) is worked out when it is asked.
    """

    ambient_C: float
    limit_C: float
    bundle: int
    conductors: Mapping[str, ConductorSize]
    joints: Mapping[str, JointSize]
    feeds: tuple[Feed, ...]
    fuses: Mapping[str, FuseSize]
    runs: Mapping[str, RunLayout]
    missing: tuple[Missing, ...]
    assumptions: tuple[str, ...]
    not_judged: tuple[NotJudged, ...]
    too_hot: tuple[TooHot, ...]
    loads: Loads = field(repr=False, compare=False)

    @cached_property
    def cuts(self) -> Mapping[str, CutLength]:
        """How long every conductor is cut, by its id."""
        cuts = cut_lengths(self.loads.harness, self.runs)
        return MappingProxyType({cut.conductor: cut for cut in cuts})

    @cached_property
    def continuity(self) -> tuple[Continuity, ...]:
        """What a milliohm meter finds along every circuit."""
        return tuple(continuity(self.loads.harness, self.loads))

    @cached_property
    def loaded(self) -> tuple[LoadedDrop, ...]:
        """A drop test for every circuit that carries enough."""
        return tuple(loaded(self.loads.harness, self.loads))

    def feed(self, address: str) -> Feed:
        """The feed at a contact; raises KeyError."""
        for feed in self.feeds:
            if feed.address == address:
                return feed
        raise KeyError(address)
