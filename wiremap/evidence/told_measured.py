"""Whether what somebody tells of a meter proves what a contact is said to be.

A reading that any wire may show proves nothing, nor does one that denies the function.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from wiremap.entries.told_readings import ToldVolts, told_beep, told_ohms, told_volts
from wiremap.evidence.expected import GROUND, QUIET, ZERO, electrical, machine_volts
from wiremap.evidence.expected_volts import LIVE_ALWAYS
from wiremap.evidence.meter import DEAD_VOLTS, NOISE_VOLTS, metered
from wiremap.model import Cavity, Job, OnOff, Span

SWITCHED = frozenset({"switched-supply", "accessory-supply", "start-supply"})
RETURNS = frozenset({"ground", "shield", "loop"})  # classes that nothing feeds, unit unplugged
EFFECTS: Mapping[str, str] = MappingProxyType(  # by class, what is seen when it is worked
    {
        "input": "its volts changed when the switch was pressed",
        "drive": "the coil clicked when it was fed",
        "lamp": "the lamp burned when it was fed",
        "speaker": "it sounded when it was fed",
    }
)
TO_MINUS = "battery minus, battery off"


def why_unproven(job: Job, cavity: Cavity, told: str) -> str:
    """Why these words do not prove that a contact is what it is said to be; empty if they do."""
    volts = told_volts(told)
    group = electrical(cavity)
    if cavity.function == "sensor-supply":
        return _of_reference(cavity, volts)
    if group == "supply":
        return _of_supply(job, cavity, volts)
    if cavity.function == "power-ground":
        return _of_dead("a ground", volts) or _of_ground(told)
    if group in RETURNS or cavity.function == "sensor-return":
        return _of_dead("a return or guard", volts)
    return ""


def is_told_by_sight(cavity: Cavity) -> bool:
    """Whether what a contact does when it is worked tells what it is: a coil clicks, a lamp burns.

    Nothing is seen at a supply, a ground, a guard or a bus that another wire would not do as well.
    """
    return electrical(cavity) in EFFECTS


def proving_words(cavity: Cavity) -> str:
    """A reading that would prove what a contact is said to be, as somebody tells it."""
    if cavity.function == "sensor-supply":
        return "5.0 V on"
    if is_told_by_sight(cavity):
        return EFFECTS[electrical(cavity)]
    if electrical(cavity) == "supply":
        return "12.6 V on" if cavity.function in SWITCHED else "12.6 V off"
    return "0.1 ohm"


def _of_supply(job: Job, cavity: Cavity, volts: Sequence[ToldVolts]) -> str:
    if not volts:
        return "ohms and a beep do not tell a supply: read volts to battery minus"
    live = [each for each in volts if _is_live(job, cavity, each.volts)]
    dead = [each for each in volts if each not in live]
    if not live or (dead and cavity.function in LIVE_ALWAYS):
        return f"a supply that reads {_shown(dead)} is not measured to be one"
    keys = {each.key for each in live}
    if cavity.function in LIVE_ALWAYS and OnOff.OFF not in keys:
        return (
            "with the ignition on a switched supply reads so too: read it with the ignition off, "
            "and say so"
        )
    if cavity.function in SWITCHED and OnOff.OFF in keys:
        return "it is live with the ignition off: that is no switched supply"
    if cavity.function in SWITCHED and OnOff.ON not in keys:
        return "say that it was read with the ignition on"
    return ""


def _is_live(job: Job, cavity: Cavity, volts: float) -> bool:
    """Whether a supply may show these volts: by the machine's own, or by what its paper states."""
    bands = [band for band in (machine_volts(job), cavity.volts) if band is not None]
    if volts <= QUIET.high:
        return False
    return not bands or any(b.low - DEAD_VOLTS <= volts <= b.high + DEAD_VOLTS for b in bands)


def _of_reference(cavity: Cavity, volts: Sequence[ToldVolts]) -> str:
    """Of the supply of sensors: its own unit feeds it, at the volts that its paper may state."""
    stated = cavity.volts
    if not volts or any(_is_stated(stated, each.volts) for each in volts):
        return ""
    return f"a sensor supply that reads {_shown(volts)} is not measured to be one"


def _is_stated(stated: Span | None, volts: float) -> bool:
    if stated is None:
        return abs(volts) > NOISE_VOLTS
    low, high = stated.low - NOISE_VOLTS, stated.high + NOISE_VOLTS
    return low <= volts <= high


def _of_dead(what: str, volts: Sequence[ToldVolts]) -> str:
    """Of what nothing feeds: volts on it say that something does."""
    low, high = ZERO.low - DEAD_VOLTS, ZERO.high + DEAD_VOLTS
    fed = [each for each in volts if not low <= each.volts <= high]
    return f"{what} that reads {_shown(fed)} is not measured to be one" if fed else ""


def _of_ground(told: str) -> str:
    """Of a ground: no more than a wire's ohms to minus; 0 V an open wire shows as well."""
    ohms = told_ohms(told)
    if any(metered(Span.of(each)).overlaps(GROUND) for each in ohms):
        return ""
    if ohms:
        shown = ", ".join(f"{each:g} ohm" for each in ohms)
        return f"a ground that reads {shown} is not measured to be one"
    if told_beep(told):
        return ""
    return f"no volts prove a ground, an open wire reads 0 V too: read the ohms to {TO_MINUS}"


def _shown(volts: Sequence[ToldVolts]) -> str:
    return ", ".join(f"{each.volts:g} V" for each in volts)
