"""The figures that may be answered: their bounds, units and how those are spelt."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from wiremap.entries.numbers import Figure, figure

VOLTS = {"V": 1.0, "v": 1.0, "volt": 1.0, "volts": 1.0, "mV": 0.001}
AMPS = {"A": 1.0, "a": 1.0, "amp": 1.0, "amps": 1.0, "mA": 0.001}
MM = {"mm": 1.0, "MM": 1.0, "cm": 10.0, "m": 1000.0}
HEAT = dict.fromkeys(("C", "c", "\u00b0C", "\u00b0c", "degC", "deg", "degrees"), 1.0)
KBITS = {"kbit/s": 1.0, "kbit": 1.0, "k": 1.0, "Mbit/s": 1000.0}
HERTZ = {"Hz": 1.0, "hz": 1.0, "kHz": 1000.0}
OHMS = dict.fromkeys(("ohm", "ohms", "Ohm", "\u03a9", "\u2126"), 1.0)
WATTS = {"W": 1.0, "w": 1.0, "mW": 0.001}
MILLIOHMS = {"mohm": 1.0, "milliohm": 1.0, "ohm": 1000.0}
WIRES = {"wire": 1.0, "wires": 1.0}
# Lowest, highest, unit, an example, the spellings of the unit.  Bounds are our own sanity limits:
# 60 V DC is voltage class A (ISO 6469-3), the rest is what the files themselves allow.
FIGURES: Mapping[str, Figure] = MappingProxyType(
    {
        "supply.volts": Figure(1, 60, "V", "24", VOLTS),
        "supply.min_volts": Figure(0, 60, "V", "18", VOLTS),
        "supply.max_volts": Figure(1, 60, "V", "32", VOLTS),
        "surroundings.ambient_C": Figure(-60, 150, "C", "60", HEAT),
        "surroundings.limit_C": Figure(40, 400, "C", "105", HEAT),
        "limit_C": Figure(40, 400, "C", "105", HEAT),
        "beeper": Figure(1, 1000, "ohm", "50", OHMS),
        "surroundings.bundle": Figure(0, 1000, "wires", "6", WIRES, whole=True),
        "tail_mm": Figure(1, 100_000, "mm", "350", MM),
        "amps": Figure(0, 1000, "A", "0.9", AMPS),
        "peak_amps": Figure(0, 5000, "A", "6", AMPS),
        "asleep_amps": Figure(0, 1000, "A", "0.001", AMPS),
        "fuse_amps": Figure(0.01, 2000, "A", "5", AMPS),
        "found_amps": Figure(0.01, 2000, "A", "10", AMPS),
        "watts": Figure(0.01, 1000, "W", "0.5", WATTS),
        "milliohm": Figure(0.1, 100_000, "mohm", "20", MILLIOHMS),
        "length_mm": Figure(1, 100_000, "mm", "4000", MM),
        "twist.untwisted_mm": Figure(0, 100_000, "mm", "30", MM),
        "pwm_hz": Figure(0.1, 1e6, "Hz", "100", HERTZ),
        "kbit_s": Figure(1, 1e7, "kbit/s", "250", KBITS),
        "terminator": Figure(1, 1e6, "ohm", "120", OHMS),
        "volts_ac": Figure(0, 2000, "V", "12", VOLTS),
        "volts": Figure(-1000, 2000, "V", "9 to 16", VOLTS),
    }
)


def figure_of(key: str, text: str) -> float | None:
    """The number that an answer states, in the unit that is asked for."""
    asked = FIGURES.get(key)
    return figure(text, asked) if asked else None
