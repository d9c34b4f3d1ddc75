"""One reading to take."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from wiremap.mistakes.expectation import Expectation, Shows
from wiremap.model import State
from wiremap.model.quantities import plain

Points = tuple[str, ...]
MANY = 2  # clips under one probe


class ProbeKind(StrEnum):
    """Why a reading is taken."""

    SENTINEL = "sentinel"  # through, and a face read wrongly would show
    THROUGH = "through"
    APART = "apart"
    BAND = "band"  # a part or a load, by its value
    CLIP = "clip"  # a clip of the comb still bites


@dataclass(frozen=True, slots=True, kw_only=True)
class Probe:
    """A point or comb under each probe, and what the meter should do."""

    n: int = 0  # its number in the plan, from 1; 0 before the plan is in order
    kind: ProbeKind
    red: Points
    black: Points
    expectation: Expectation
    proves: tuple[str, ...]
    why: str = ""
    state: State = field(default_factory=State)  # for this reading alone
    diode_range: bool = False  # the meter is set to diode range
    clips: Points = ()  # clips are put on here before the reading, and stay
    comb: bool = False  # the black probe is on all clips that hang together

    @property
    def expect(self) -> Shows:
        """What the display should do."""
        return self.expectation.shows

    @property
    def low(self) -> float | None:
        """Least ohms expected."""
        return self.expectation.low

    @property
    def high(self) -> float | None:
        """Most ohms expected."""
        return self.expectation.high

    @property
    def wanted(self) -> str:
        """What it should show, in words."""
        if self.expect == Shows.BEEP:
            return "beep"
        if self.expect == Shows.SILENT:
            return "silence"
        if self.expect == Shows.DIODE:
            return "a diode's drop, red on its anode"
        low = plain(self.low or 0.0)
        if self.high is None or self.high == float("inf"):
            return f"{low} ohm or more"
        if not self.low:
            return f"under {plain(self.high)} ohm"
        return f"{low} to {plain(self.high)} ohm"

    @property
    def points(self) -> Points:
        """Every point under a probe."""
        return (*self.red, *self.black)

    @property
    def together(self) -> str:
        """How many are clipped together under the black probe, in words; empty for one or none."""
        if not self.comb or len(self.black) < MANY:
            return ""
        return f"the {len(self.black)} clipped together"

    @property
    def is_through(self) -> bool:
        """Whether it asks for a beep within one net."""
        return self.kind in (ProbeKind.SENTINEL, ProbeKind.THROUGH)

    @property
    def setting(self) -> str:
        """What to do before this reading, and to undo after it; empty if nothing."""
        hang = f"put a clip on {', '.join(self.clips)}, it stays" if self.clips else ""
        return "; ".join(filter(None, (hang, state_deed(self.state))))

    def as_dict(self) -> dict[str, Any]:
        """The probe as plain data."""
        out: dict[str, Any] = {
            "n": self.n,
            "kind": self.kind,
            "red": list(self.red),
            "black": list(self.black),
            "expect": self.expect,
            "low": self.low,
            "high": self.high,
            "proves": list(self.proves),
        }
        more = {
            "why": self.why,
            "fuse": self.state.fuse,
            "parted": self.state.parted,
            "shrunk": self.state.shrunk,
            "clips": list(self.clips),
            "comb": self.comb,
        }
        return out | {key: value for key, value in more.items() if value}


def state_deed(state: State) -> str:
    """The deed that a reading's state asks for, in words."""
    if state.fuse:
        return f"put {state.fuse} in for this reading, take it out again after"
    if state.shrunk and state.parted:
        return f"part {state.parted} outside the harness (lift the guard), join it again after"
    if state.parted:
        return (
            f"part {state.parted} from what it meets outside the harness for this reading, "
            f"join it again after"
        )
    return ""
