"""What a short on the way to a fuse of its own does to a wire, while the fuse upstream opens."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.sizing.circuit import Protected, far_end_amps
from wiremap.sizing.fuse_judge import (
    ADIABATIC_S,
    Against,
    Objection,
    breaking,
    stands_A2s,
    would_reach,
)
from wiremap.sizing.fuse_limits import let_through_A2s, most_open_s
from wiremap.sizing.heat import adiabatic_temperature_C
from wiremap.sizing.sized import ROUND


def short_objections(rating: float, circuit: Protected) -> Iterator[Objection]:
    """What a bolted short does to a wire whose overload a fuse of its own prevents.

    The fuse of this rating [A] lies upstream.  Raises OutOfRange as `stands_A2s` does.
    """
    far = far_end_amps(circuit)
    i2t = let_through_A2s(rating, circuit.family)
    if far is not None:
        seconds = most_open_s(far, rating, circuit.family)
        i2t = far**2 * seconds if seconds <= ADIABATIC_S else 0.0  # else it clears too slowly
    stands = stands_A2s(circuit)
    if i2t > stands * (1 + ROUND):
        reached = adiabatic_temperature_C(i2t, circuit.wire.area_mm2, circuit.limit_C)
        wire = f"{would_reach(reached)}, as it stands {stands:.0f} A2s"
        text = f"it {wire} and {rating:g} A upstream let {i2t:.0f} A2s through"
        yield Objection(Against.BEFORE_FUSE, text)
    yield from breaking(circuit)
