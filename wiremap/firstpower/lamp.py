"""The lamps of first power: in the place of a fuse, in the battery's lead, over a feed."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamp:
    """A bulb; `or_feed` says that a feed which lets no more through may stand in for it."""

    watts: float
    volts: float | None  # None where nobody states the machine's
    or_feed: bool = False

    def __str__(self) -> str:
        made_for = f"of {self.volts:g} V" if self.volts else "for the machine's volts"
        return f"a {self.watts:g} W lamp {made_for}{self._feed()}"

    def _feed(self) -> str:
        if not self.or_feed:
            return ""
        limit = f" ({self.feed_amps:g} A)" if self.feed_amps else ""
        return f" or a limited feed{limit}"

    @property
    def feed_amps(self) -> float | None:
        """What the feed that may stand in lets through [A], in tenths; None if none may."""
        if not self.or_feed or not self.volts:
            return None
        return math.ceil(round(self.watts / self.volts * 10, 6)) / 10
