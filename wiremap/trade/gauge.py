"""American Wire Gauge by its definition (ASTM B258): 36 AWG is 0.005 in, 4/0 is 0.46 in, 39 equal ratios between."""

from __future__ import annotations

import math
import re

LEAST, MOST = -3, 40                  # 4/0 is -3


def awg_number(gauge: str) -> int:
    """The gauge as a number (`1/0` is 0, `4/0` is -3); raises ValueError for what is no gauge."""
    text = str(gauge).strip()
    if re.fullmatch(r"[1-4]/0", text):
        return 1 - int(text[0])
    if re.fullmatch(r"\d{1,2}", text) and int(text) <= MOST:
        return int(text)
    raise ValueError(f"{text} is no American wire gauge; they run from 4/0 to {MOST}")


def awg_diameter_mm(gauge: str) -> float:
    """Solid diameter [mm]: 0.127 mm x 92^((36 - n) / 39).

    >>> round(awg_diameter_mm("36"), 4), round(awg_diameter_mm("4/0") / 25.4, 4)
    (0.127, 0.46)
    """
    return float(0.127 * 92 ** ((36 - awg_number(gauge)) / 39))


def awg_area_mm2(gauge: str) -> float:
    """Area of the solid wire [mm2]."""
    return math.pi / 4 * awg_diameter_mm(gauge) ** 2
