"""Family `metal`: a sender that sends a current, on an input that reads volts."""

from __future__ import annotations

from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.view import View
from wiremap.trade.told_figures import tells_current_loop

METAL = Family("metal", Matter.UNIT)


@METAL.caution(
    "current-loop-on-volts",
    matter=Matter.WORKING,
    what="{a} sends or reads a current, {b} speaks of volts",
    why="A current loop of 4 to 20 mA on an input of volts reads its limit, or nothing; on one "
    "without a burden it brings the whole supply.",
    fix="Set the input to current, fit the burden of its leaflet (250 ohm make 1 to 5 V), "
    "or take a sender of volts.",
)
def current_loop_on_volts(view: View) -> Hits:
    """A contact whose words tell a current loop, joined with one that states volts and no loop."""
    for net in view.nets:
        loops, volts = [], []
        for signal in view.signals(net):
            cavity = view.points[signal.address].cavity
            if cavity is None or signal.row.electrical != "input":
                continue
            if tells_current_loop(cavity.signal):
                loops.append(signal)
            elif cavity.volts is not None:
                volts.append(signal)
        burden = view.extras(net, "resistor")
        if loops and volts and not burden:
            yield view.described_hit(loops[0].address, volts[0].address)
