"""American Wire Gauge by its definition (ASTM B258): 36 AWG is 0.005 in, 4/0 is 0.46 in."""

from __future__ import annotations

import math

from wiremap.trade.tables import figure


def _defined(name: str) -> float:
    return figure("gauge.toml", "definition", name)


def solid_diameter_mm(n: int) -> float:
    """Diameter of the solid wire of gauge `n` [mm]: 0.127 mm x 92^((36 - n)/39).

    1/0 to 4/0 are 0 to -3.  Source: ASTM B258, by whose definition 36 is 0.005 in and 4/0 0.46 in:

    >>> round(solid_diameter_mm(36), 4), round(solid_diameter_mm(-3) / 25.4, 4)
    (0.127, 0.46)
    """
    steps = (_defined("base_gauge") - n) / _defined("steps")
    return _defined("base_diameter_mm") * math.pow(_defined("ratio"), steps)


def gauge_of_diameter(diameter_mm: float) -> float:
    """Gauge number of a solid wire's diameter [mm], not whole in general.  Source: ASTM B258.

    >>> round(gauge_of_diameter(0.127), 9)
    36.0
    """
    steps = math.log(diameter_mm / _defined("base_diameter_mm")) / math.log(_defined("ratio"))
    return _defined("base_gauge") - _defined("steps") * steps
