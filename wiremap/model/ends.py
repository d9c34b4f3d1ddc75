"""The ends of a job: connectors and cut tails, and how the machine feeds their contacts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from wiremap.base import Place
from wiremap.model.connector import Connector
from wiremap.model.pinout import Pinout
from wiremap.model.records import frozen
from wiremap.model.words import EndKind, OnOff, Side

TAILS = (EndKind.CUT_TAIL, EndKind.PIGTAIL)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fed:
    """How a machine-side contact is fed upstream; `unfused` is the written answer `none`."""

    cavity: str
    fuse: str | None = None  # its name in the machine's box
    fuse_amps: float | None = None  # as it shall be
    found_amps: float | None = None  # as it was found
    milliohm: float | None = None  # before the fuse, battery and its cable together
    length_mm: float | None = None  # from fuse to interface, one way
    unfused: bool = False
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """A connector or cut tail that takes part in the job."""

    name: str
    pinout: Pinout
    kind: EndKind  # the file's key is `is`
    side: Side
    tail_mm: float | None = None
    limit_C: float | None = None  # what the insulation of its wires stands
    mated: bool = False
    fed: Mapping[str, Fed] = field(default_factory=frozen)
    switches: Mapping[str, OnOff] = field(default_factory=frozen)  # as answered on the end
    place: Place | None = None

    @property
    def is_machine(self) -> bool:
        """Whether it stands on the machine's side, not the unit's nor between them."""
        return self.side == Side.MACHINE

    @property
    def is_tap(self) -> bool:
        """Whether its wires stay in service and get a T where something is joined."""
        return self.kind == EndKind.TAP

    @property
    def has_tail(self) -> bool:
        """Whether each contact brings its own conductor."""
        return self.kind in TAILS

    @property
    def connector(self) -> Connector:
        """The half of the connector that this job works on.

        A mate at the machine's side goes into the machine's own half, which is what its paper
        shows, so it is the other half; everywhere else it is what the paper shows.
        """
        if self.kind is EndKind.MATE and self.is_machine:
            return self.pinout.connector.other_half()
        return self.pinout.connector
