"""American Wire Gauge by its definition (ASTM B258): 36 AWG is 0.005 in, 4/0 is 0.46 in, 39 equal ratios between."""


def solid_diameter_mm(n: int) -> float:
    """Diameter of the solid wire of gauge `n` [mm], 1/0 to 4/0 being 0 to -3: 0.127 mm x 92^((36 - n)/39).

    By the definition, 0.005 in for 36 and 0.46 in for 4/0:

    >>> round(solid_diameter_mm(36), 4), round(solid_diameter_mm(-3) / 25.4, 4)
    (0.127, 0.46)
    """
    return float(0.127 * 92 ** ((36 - n) / 39))
