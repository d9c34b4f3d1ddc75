"""The parts of a verdict: of one net, and of the second ring-out."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from wiremap.ringout.probe import Probe
from wiremap.ringout.taken import Taken


class Verdict(StrEnum):
    """What the readings come to."""

    PASS = "pass"
    FAIL = "fail"
    INCOMPLETE = "incomplete"


@dataclass(frozen=True, slots=True, kw_only=True)
class NetVerdict:
    """What the readings say of one net, and why; `stale` are those that count no more, in words."""

    net: str
    points: tuple[str, ...]
    verdict: Verdict
    why: tuple[str, ...]
    stale: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """The net as plain data."""
        return {
            "net": self.net,
            "points": list(self.points),
            "verdict": self.verdict,
            "why": list(self.why),
            "stale": list(self.stale),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondRingout:
    """What the second ring-out has come to: taken after the sleeves are shrunk, each wire moved by
    hand the while.

    `left` are the readings that nobody has taken as they should be, `begun` whether any was taken.
    """

    probes: tuple[Probe, ...]
    left: tuple[Probe, ...]
    wrong: tuple[Taken, ...]
    begun: bool

    @property
    def verdict(self) -> Verdict:
        """`pass` once every reading is as it should be."""
        if self.wrong:
            return Verdict.FAIL
        return Verdict.INCOMPLETE if self.left else Verdict.PASS

    @property
    def told(self) -> str:
        """How far it has come, in words."""
        read = len(self.probes) - len(self.left)
        return (
            f"after the sleeves are shrunk, wires moved by hand: {self.verdict}, "
            f"{read} of {len(self.probes)} readings as they should be"
        )

    def as_dict(self) -> dict[str, Any]:
        """The second ring-out as plain data."""
        return {
            "verdict": self.verdict,
            "readings": len(self.probes),
            "left": [probe.n for probe in self.left],
        }
