"""Family `parts`: what an output can give against what hangs on it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.graph import Net
from wiremap.model import Cavity
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.signals import Signal
from wiremap.rules.view import View

PARTS = Family("parts", Matter.UNIT)


@dataclass(frozen=True, slots=True)
class Output:
    """A unit's output and the contacts of the machine that load it."""

    signal: Signal
    gives: Cavity
    loads: list[Cavity]
    addresses: list[str]

    def steady_amps(self) -> float | None:
        """What the loads draw together [A]; None where no load tells its amps."""
        return _sum([load.amps for load in self.loads])

    def peak_amps(self) -> float | None:
        """What the loads draw at the first moment [A]; None where none tells a peak."""
        if all(load.peak_amps is None for load in self.loads):
            return None
        return _sum([load.peak_amps or load.amps for load in self.loads])


def _sum(amps: list[float | None]) -> float | None:
    known = [figure for figure in amps if figure is not None]
    return sum(known) if known else None


def outputs(view: View) -> Iterator[Output]:
    """Every joined output of a unit or module, with what the machine hangs on it."""
    for net in view.nets:
        signals = view.signals(net) if net.circuits else []
        for signal in signals:
            if signal.side != "machine" and signal.drives:
                yield _output(view, net, signal)


def _output(view: View, net: Net, signal: Signal) -> Output:
    gives = view.points[signal.address].cavity
    assert gives is not None
    loads, addresses = [], []
    for other in view.signals(net):
        cavity = view.points[other.address].cavity
        if cavity is not None and other.owner != signal.owner and not other.drives:
            loads.append(cavity)
            addresses.append(other.address)
    return Output(signal, gives, loads, addresses)


@PARTS.stop(
    "load-over-output",
    source="the unit's own rating",
    what="{a} gives {gives:g} A, but its load {loads} draws {draws:g} A",
    why="An overloaded output shuts down or dies, and its wire is sized for less.",
    fix="Drive the load through a relay of its own, or from an output that is made for it.",
)
def load_over_output(view: View) -> Hits:
    """A load of the machine that draws more than the unit's output is rated for."""
    for output in outputs(view):
        gives, draws = output.gives.amps, output.steady_amps()
        if gives is not None and draws is not None and draws > gives * (1 + 1e-9):
            loads = ", ".join(map(view.name, output.addresses))
            yield view.described_hit(
                output.signal.address, *output.addresses, gives=gives, draws=draws, loads=loads
            )


@PARTS.stop(
    "inrush-over-output",
    source="the unit's own rating; a cold lamp draws about ten times its current, common practice",
    what="{a} gives {gives:g} A at the first moment, but its load {loads} draws {draws:g} A then",
    why="An output that trips or dies at switching on works on the bench and fails on the machine.",
    fix="Drive the load through a relay of its own, or state what the output bears under `peak_amps`.",
)
def inrush_over_output(view: View) -> Hits:
    """A load whose first moment draws more than the unit's output bears."""
    for output in outputs(view):
        gives, draws = output.gives.peak_amps or output.gives.amps, output.peak_amps()
        if gives is not None and draws is not None and draws > gives * (1 + 1e-9):
            loads = ", ".join(map(view.name, output.addresses))
            yield view.described_hit(
                output.signal.address, *output.addresses, gives=gives, draws=draws, loads=loads
            )
