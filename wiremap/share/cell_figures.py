"""What stands in the cells of a table, read as figures, spans and sizes."""

from __future__ import annotations

import re

from wiremap.model import Span

AMPS = (0.0, 1000.0)  # what a pinout file may say
KBIT_S = (1e-6, 1e7)
MOST_VOLTS = 2000.0
NUMBER = re.compile(r"([+-]?\d+(?:[.,]\d+)?)\s*(?:V|A|kbit/s)?")
SPAN = re.compile(
    r"(\d+(?:[.,]\d+)?)\s*(?:to|\.\.\.?|-|–|bis)\s*(\d+(?:[.,]\d+)?)\s*V?",
)
MM2 = re.compile(r"\s*(mm2|mm²|mm\^2|qmm|sq\.? ?mm)", re.IGNORECASE)


def number(text: str) -> float | None:
    """A figure with a decimal point or comma, its unit left out."""
    hit = NUMBER.fullmatch(text.strip())
    return _float(hit.group(1)) if hit else None


def within(text: str, low: float, high: float) -> float | None:
    """A figure that a pinout may hold; any other is left to the remarks."""
    value = number(text)
    if value is None or text.lstrip().startswith("-"):
        return None
    return value if low <= value <= high else None


def span(text: str) -> Span | None:
    """Volts, one figure or from one to another."""
    hit = SPAN.fullmatch(text.strip())
    if hit:
        low, high = _float(hit.group(1)), _float(hit.group(2))
        return Span(low, high) if low <= high <= MOST_VOLTS else None
    value = number(text)
    if value is None or abs(value) > MOST_VOLTS:
        return None
    return Span.of(value)


def size(text: str) -> str:
    """A size as a wire's text begins with: decimal point, no unit but AWG."""
    return re.sub(r"(\d),(\d)", r"\1.\2", MM2.sub("", text.strip()))


def _float(text: str) -> float:
    return float(text.replace(",", "."))
