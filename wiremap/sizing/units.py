"""Reading quantities as people type them: sections in mm2 or AWG, lengths in m, mm, ft or in."""

from __future__ import annotations

import math
import re

from wiremap.sizing.sized import OutOfRange, UnknownSize

MM_PER_INCH = 25.4
MM_PER_FOOT = 12 * MM_PER_INCH
_LENGTH_MM = {
    "m": 1000.0,
    "mm": 1.0,
    "cm": 10.0,
    "ft": MM_PER_FOOT,
    "in": MM_PER_INCH,
    "'": MM_PER_FOOT,
    '"': MM_PER_INCH,
}
_NUMBER = re.compile(r"\s*([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?)\s*(.*?)\s*$")
_METRIC = {"", "mm2", "mm²", "mm^2", "sqmm", "qmm"}
_GAUGE = re.compile(
    r"(?:awg\s*(\d{1,2}|[1-4]/0|0{1,4})|(\d{1,2}|[1-4]/0|0{1,4})\s*(?:awg|ga))$", re.IGNORECASE
)
_IEC = "(?:BK|BN|RD|OG|YE|GN|BU|VT|GY|WH|PK|TQ|GD|SR)"
_COLOUR = re.compile(rf"{_IEC}(?:[/-]?{_IEC}){{0,2}}$")
_SAE = re.compile(r"(?:sae|j1128)\s*(\d{1,2})$|(\d{1,2})\s*(?:sae|j1128)$", re.IGNORECASE)
MOST_OUGHTS = 4  # 0000 is 4/0, the thickest gauge


def _float(match: re.Match[str]) -> float:
    return float(match[1].replace(",", "."))


def number(text: str, name: str, unit: str = "", units: tuple[str, ...] = ()) -> float:
    """A plain number in `unit`, written with one of the accepted units or none.

    Raises OutOfRange for anything else, and for what is not finite.
    """
    match = _NUMBER.match(text)
    accepted = {known.lower() for known in (unit, *units)}
    if match is None or match[2].lower() not in accepted | {""}:
        wanted = f"a number in {unit}" if unit else "a number"
        raise OutOfRange(f"{name} must be {wanted}; got {text!r}")
    value = _float(match)
    if not math.isfinite(value):
        raise OutOfRange(f"{name} must be a finite number; got {text!r}")
    return value


def length_mm(text: str, name: str, default: str = "m") -> float:
    """A length [mm]; a bare number is in `default`.  Raises OutOfRange for another unit."""
    match = _NUMBER.match(text)
    if match is not None:
        unit = match[2].lower() or default
        if unit in _LENGTH_MM:
            return _float(match) * _LENGTH_MM[unit]
    units = f"m, cm, mm, ft or in (a bare number is in {default})"
    raise OutOfRange(f"{name} must be a length in {units}; got {text!r}")


def section(text: str, name: str = "the cross-section") -> tuple[str, str | float]:
    """Kind and size of a section: ("mm2", area in mm2), ("awg", gauge) or ("sae", number).

    Raises UnknownSize for a doubtful size (`0.5?`) or an IEC 60757 colour alone, OutOfRange for
    anything else.
    """
    plain = text.strip()
    if plain.endswith("?"):
        why = f"{plain!r} is written as doubtful, so nothing is sized by it"
        raise UnknownSize(f"{name} is unknown: {why}")
    if gauge := _GAUGE.match(plain):
        return "awg", gauge_name(gauge[1] or gauge[2])
    if sae := _SAE.match(plain):
        return "sae", sae[1] or sae[2]
    if _COLOUR.match(plain):
        raise UnknownSize(f"{name} is unknown: {plain!r} is a colour without a size")
    match = _NUMBER.match(plain)
    if match is None:
        forms = 'in mm2 (0.5), AWG ("20 AWG") or SAE J1128 ("SAE 20")'
        raise OutOfRange(f"{name} must be {forms}; got {text!r}, which states no size")
    if match[2].lower() not in _METRIC:
        raise OutOfRange(f"{name} must be in mm2 or AWG, not in {match[2]!r}; got {text!r}")
    return "mm2", _float(match)


def gauge_name(text: str) -> str:
    """The one spelling of a gauge: 20, 1/0, 4/0 (`0`, `00`, `0000` are read as well)."""
    plain = text.strip().lower().removesuffix("awg").removeprefix("awg").strip()
    if set(plain) == {"0"} and len(plain) <= MOST_OUGHTS:
        return f"{len(plain)}/0"
    if plain.isdigit():
        return plain.lstrip("0")
    return plain
