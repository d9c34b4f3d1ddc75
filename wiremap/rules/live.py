"""Contacts that read live although their paper does not account for it, and what that endangers."""

from __future__ import annotations

from wiremap.evidence import MeasuredVolts, measured_volts
from wiremap.model import Address, Side
from wiremap.rules.signals import Signal, most_volts
from wiremap.rules.view import View

LIVE_ITSELF = ("supply", "unknown", "nothing", "refused")


def live_contacts(view: View) -> dict[Address, tuple[MeasuredVolts, Signal]]:
    """The joined contacts that read live and what each endangers first, by address."""
    found = {}
    for measured in measured_volts(view.job).values():
        if measured.live and view.is_joined(measured.address):
            endangered = _endangered(view, measured)
            if endangered:
                found[measured.address] = (measured, endangered[0])
    return found


def _endangered(view: View, measured: MeasuredVolts) -> list[Signal]:
    """What a reading endangers on its contact's metal, other connectors' contacts first."""
    owner = view.points[measured.address].owner
    found = []
    for signal in view.signals(view.net_of(measured.address)):
        unknown = not measured.expected and signal.row.electrical not in LIVE_ITSELF
        if unknown or _is_too_much(signal, measured.volts):
            found.append(signal)
    return sorted(found, key=lambda signal: signal.owner == owner)


def _is_too_much(signal: Signal, volts: float) -> bool:
    """Whether a unit's contact does not stand these volts."""
    if signal.side == Side.MACHINE or signal.volts is None:
        return False
    return abs(volts) > most_volts(signal.volts)
