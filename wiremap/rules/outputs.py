"""A unit's outputs, and what the machine hangs on each."""

from __future__ import annotations

from dataclasses import dataclass

from wiremap.graph import Net
from wiremap.model import Cavity
from wiremap.rules.signals import Signal
from wiremap.rules.view import View
from wiremap.trade.functions import FUNCTIONS

CONSUMERS = ("drive", "lamp", "supply")


@dataclass(frozen=True, slots=True)
class Output:
    """A unit's output and the contacts of the machine that load it."""

    signal: Signal
    cavity: Cavity  # the unit's own contact: `amps` are what it can give
    loads: list[Cavity]
    addresses: list[str]  # of the loads, in their order

    def steady_amps(self) -> float | None:
        """What the loads draw together [A]; None where no load tells its amps."""
        return _sum([load.amps for load in self.loads])

    def consumed_amps(self) -> float:
        """What the loads among them are stated to draw together [A]; an input draws nothing."""
        return sum(load.amps for load in self.loads if load.amps and _consumes(load))

    @property
    def has_unknown_load(self) -> bool:
        """Whether one of its loads tells no amps; an input that only listens is none."""
        return any(_consumes(load) and load.amps is None for load in self.loads)

    def peak_amps(self) -> float | None:
        """What the loads draw at the first moment [A]; None where none tells a peak."""
        if all(load.peak_amps is None for load in self.loads):
            return None
        return _sum([load.peak_amps or load.amps for load in self.loads])


def _consumes(load: Cavity) -> bool:
    return FUNCTIONS[load.function].electrical in CONSUMERS


def _sum(amps: list[float | None]) -> float | None:
    known = [figure for figure in amps if figure is not None]
    return sum(known) if known else None


def outputs(view: View) -> tuple[Output, ...]:
    """Every joined output of a unit or module, with what the machine hangs on it."""
    return view.once(_outputs)


def _outputs(view: View) -> tuple[Output, ...]:
    found_outputs = []
    for net, signals in view.carried:
        for signal in signals if net.circuits else ():
            if not signal.is_machine and signal.drives:
                found_outputs.append(_output(view, net, signal))
    return tuple(found_outputs)


def _output(view: View, net: Net, signal: Signal) -> Output:
    own = view.points[signal.address].cavity
    assert own is not None
    loads, addresses = [], []
    for other in view.signals(net):
        cavity = view.points[other.address].cavity
        if cavity is not None and other.owner != signal.owner and not other.drives:
            loads.append(cavity)
            addresses.append(other.address)
    return Output(signal, own, loads, addresses)
