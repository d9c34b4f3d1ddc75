"""The kinds of clash between two signals of one metal."""

from __future__ import annotations

from enum import StrEnum


class ClashKind(StrEnum):
    """What two signals of one metal are to each other; each is the id of the rule that tells it."""

    SUPPLY_TO_GROUND = "supply-to-ground"
    SOURCES_JOINED = "sources-joined"
    OVER_VOLTAGE = "over-voltage"
    SUPPLY_ON_SIGNAL = "supply-on-signal"
    LEGS_CROSSED = "legs-crossed"
    MACHINE_PAIRS_JOINED = "machine-pairs-joined"
    RETURN_OFF_STAR = "return-off-star"
    UNLIKE_SIGNALS = "unlike-signals"
    SENDERS_JOINED = "senders-joined"
    FLOW_AGAINST_FLOW = "flow-against-flow"
    VOLTS_UNLIKE = "volts-unlike"
