"""Reading quantities as a person types them: sections in mm2 or AWG, lengths in m, mm, ft or in."""

from __future__ import annotations

import math
import re

from wiremap.sizing.sized import OutOfRange, UnknownSize

MM_PER_INCH = 25.4
_LENGTH_MM = {
    "m": 1000.0,
    "mm": 1.0,
    "cm": 10.0,
    "ft": 12 * MM_PER_INCH,
    "in": MM_PER_INCH,
    "'": 12 * MM_PER_INCH,
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


def number(text: str, name: str, unit: str = "", units: tuple[str, ...] = ()) -> float:
    """A plain number, with one of the accepted units or none; raises OutOfRange for anything else."""
    match = _NUMBER.match(text)
    accepted = tuple(u for u in (unit, *units) if u)
    if match is None or (match[2] and match[2].lower() not in {u.lower() for u in accepted}):
        wanted = f"a number in {unit}" if unit else "a number"
        raise OutOfRange(f"{name} must be {wanted}; got {text!r}")
    value = float(match[1].replace(",", "."))
    if not math.isfinite(value):
        raise OutOfRange(f"{name} must be a finite number; got {text!r}")
    return value


def length_mm(text: str, name: str, default: str = "m") -> float:
    """A length in mm; a bare number is in `default`.  Raises OutOfRange for a unit that is no length."""
    match = _NUMBER.match(text)
    unit = (match[2].lower() or default) if match else ""
    if match is None or unit not in _LENGTH_MM:
        raise OutOfRange(
            f"{name} must be a length in m, cm, mm, ft or in (a bare number is in {default}); "
            f"got {text!r}"
        )
    return float(match[1].replace(",", ".")) * _LENGTH_MM[unit]


def section(text: str, name: str = "the cross-section") -> tuple[str, str | float]:
    """What kind of section a text names: ("mm2", area), ("awg", gauge) or ("sae", number).

    Raises UnknownSize for a doubtful size (`0.5?`) or an IEC 60757 colour alone, OutOfRange for anything else.
    """
    plain = text.strip()
    if plain.endswith("?"):
        raise UnknownSize(
            f"{name} is unknown: {plain!r} is written as doubtful, so nothing is sized by it"
        )
    if gauge := _GAUGE.match(plain):
        return "awg", gauge_name(gauge[1] or gauge[2])
    if sae := _SAE.match(plain):
        return "sae", sae[1] or sae[2]
    if _COLOUR.match(plain):
        raise UnknownSize(f"{name} is unknown: {plain!r} is a colour without a size")
    match = _NUMBER.match(plain)
    if match is None:
        raise OutOfRange(
            f'{name} must be in mm2 (0.5), AWG ("20 AWG") or SAE J1128 ("SAE 20"); got {text!r}, '
            "which states no size"
        )
    if match[2].lower() not in _METRIC:
        raise OutOfRange(f"{name} must be in mm2 or AWG, not in {match[2]!r}; got {text!r}")
    return "mm2", float(match[1].replace(",", "."))


def gauge_name(text: str) -> str:
    """The one spelling of a gauge: 20, 1/0, 4/0 (`0`, `00`, `0000` are read as well)."""
    plain = text.strip().lower().removesuffix("awg").removeprefix("awg").strip()
    if plain and set(plain) == {"0"} and len(plain) <= 4:
        return f"{len(plain)}/0"
    return plain.lstrip("0") if plain.isdigit() else plain
