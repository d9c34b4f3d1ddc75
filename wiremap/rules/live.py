"""Contacts that read live although their paper does not account for it, and what that endangers."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.evidence import MeasuredVolts, measured_volts
from wiremap.evidence.measured import is_mean_of, switches
from wiremap.model import Address, Cavity
from wiremap.rules.signals import Signal, most_volts
from wiremap.rules.view import View

LIVE_ITSELF = ("supply", "unknown", "nothing", "refused")  # classes that volts do not endanger


def live_contacts(view: View) -> dict[Address, tuple[MeasuredVolts, Signal]]:
    """The joined contacts that read live and what each endangers first, by address."""
    live = {}
    for measured in measured_volts(view.job).values():
        if measured.is_live and view.is_joined(measured.address):
            endangered = _endangered(view, measured)
            if endangered:
                live[measured.address] = (measured, endangered[0])
    return live


def _endangered(view: View, measured: MeasuredVolts) -> list[Signal]:
    """What a reading endangers on its contact's metal, other connectors' contacts first."""
    owner = view.points[measured.address].owner
    endangered = []
    unaccounted = is_unaccounted(view, measured)
    for signal in view.signals(view.net_of(measured.address)):
        unknown = unaccounted and signal.row.electrical not in LIVE_ITSELF
        if unknown or _is_too_much(signal, measured.volts):
            endangered.append(signal)
    return sorted(endangered, key=lambda signal: signal.owner == owner)


def is_unaccounted(view: View, measured: MeasuredVolts) -> bool:
    """Whether no paper accounts for what was read at a contact."""
    return not measured.expected and not _is_mean(view, measured)


def _is_mean(view: View, measured: MeasuredVolts) -> bool:
    """Whether a paper at either end says that the signal switches between volts of which those that
    were read are a mean.
    """
    return any(is_mean_of(cavity, measured.volts) for cavity in _cavities(view, measured.address))


def may_switch(view: View, address: Address) -> bool:
    """Whether a paper at either end has the signal as one of pulses, of whatever height."""
    return any(map(switches, _cavities(view, address)))


def _cavities(view: View, address: Address) -> Iterator[Cavity]:
    for point in view.net_of(address).points:
        cavity = view.points[point].cavity
        if cavity is not None:
            yield cavity


def _is_too_much(signal: Signal, volts: float) -> bool:
    """Whether a unit's contact does not stand these volts."""
    if signal.is_machine or signal.volts is None:
        return False
    return abs(volts) > most_volts(signal.volts)
