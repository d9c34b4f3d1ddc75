"""A small adapter on paper: supply, bus, sensors of two supplies, valves; two faces that mate."""

from __future__ import annotations

from pathlib import Path

from sheet_cases import given_from

from wiremap.content.given import Given

WIRED = """title: Old plug
half: wired
connector: {shell: 12-way, contacts: socket, face: {view: mating, key: right, rows: [[1, 2, 3, 4, 5, 6], [7, 8, 9, 10, 11, 12]]}}
source: {name: Sheet, basis: document}
cavities:
  1: {signal: Plus, function: permanent-supply, volts: 12, amps: DRAWN, flow: to-unit, wire: 1.0 RD}
  2: {signal: Ground, function: power-ground, volts: 0, amps: 10, wire: 1.0 BN}
  3: {signal: Bus high, function: can-high, pair: a, wire: 0.5 YE}
  4: {signal: Bus low, function: can-low, pair: a, wire: 0.5 GN}
  5: {signal: Sensor plus A, function: sensor-supply, volts: 5, amps: 0.1, flow: from-unit, wire: 0.5 PK}
  6: {signal: Sensor return A, function: sensor-return, volts: 0, amps: 0.1, wire: 0.5 GY}
  7: {signal: Sensor return B, function: sensor-return, volts: 0, amps: 0.1, wire: 0.5 VT}
  8: {signal: Level, function: analogue-input, volts: [0, 5], flow: to-unit, wire: 0.5 WH}
  9: {signal: Pressure, function: analogue-input, volts: [0, 5], flow: to-unit, wire: 0.5 OG}
  10: {signal: Valve left, function: high-side-drive, volts: 12, amps: 3, flow: from-unit, wire: 1.0 BU}
  11: {signal: Valve right, function: high-side-drive, volts: 12, amps: 3, flow: from-unit, wire: 1.0 BK}
  12: unused
"""
UNIT = WIRED.replace("Old plug", "New unit").replace("half: wired", "half: unit")
JOINS = "".join(
    f"  - {{id: c{n}, join: [old.{n}, new.{n}], wire: {'0.5' if n in range(3, 10) else '1.0'} BK, "
    "length_mm: LENGTH}\n"
    for n in range(1, 12)
)
JOB = (
    "title: A careful adapter\nid: careful\nrevision: 1\nsupply: {volts: 12}\n"
    "surroundings: {ambient_C: 40, wet: false, moves: none, bundle: 4}\nends:\n"
    "  old: {pinout: old.yaml, is: mate, side: machine, "
    "fed: {1: {fuse: F1, fuse_amps: 10, milliohm: 30, length_mm: 4000}}}\n"
    "  new: {pinout: new.yaml, is: mate, side: unit}\n"
    f"circuits:\n{JOINS}"
)


def careful(
    folder: Path, *, drawn: float = 8, length_mm: int = 500, old: str = WIRED, new: str = UNIT
) -> Given:
    """The adapter, its unit stated to draw so many amps with all on, its wires so long."""
    job = JOB.replace("LENGTH", str(length_mm))
    papers = {
        name: text.replace("DRAWN", f"{drawn:g}") for name, text in (("old", old), ("new", new))
    }
    return given_from(folder, job, **papers)
