"""The volts that two signals of one metal stand at, and whether they meet."""

from __future__ import annotations

from wiremap.model import Span
from wiremap.rules.limits import limit
from wiremap.rules.signals import Signal, band
from wiremap.rules.view import View


def are_apart(view: View, a: Signal, b: Signal) -> bool:
    """Whether the volts of both are known and do not meet, within the usual margins."""
    one, two = volts_at(view, a), volts_at(view, b)
    if one is None or two is None or one == two:
        return False
    margin = limit("nominal-margin")
    if a.row.electrical == b.row.electrical == "reference":
        margin = limit("reference-margin")
    return not meet(one, two, margin)


def volts_at(view: View, signal: Signal) -> Span | None:
    """What a signal states; the machine's own volts where its contact works at them unsaid."""
    nominal = view.job.supply.volts
    unsaid = signal.volts is None and signal.is_machine and signal.row.volts == "system"
    return Span.of(nominal) if unsaid and nominal is not None else signal.volts


def meet(one: Span, two: Span, margin: float) -> bool:
    """Whether two bands overlap, each widened by a share of itself."""
    return band(one, margin).overlaps(band(two, margin))
