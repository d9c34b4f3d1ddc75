"""Family `judged`: contacts that were measured live."""

from __future__ import annotations

from wiremap.evidence import MeasuredVolts, contradictions, measured_volts
from wiremap.model import EndKind, Treat
from wiremap.rules.cure import SIGN, typed
from wiremap.rules.live import is_unaccounted, live_contacts, may_switch
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.signals import Signal, level, most_volts
from wiremap.rules.view import View
from wiremap.trade.functions import called

JUDGED = Family("judged", Matter.UNIT)
MEAN = (
    "; of a signal that switches a meter shows the mean: say by name between which volts it does"
    + typed(': wiremap next JOB --about {at}.volts --answer "0 to 12"')
)


@JUDGED.stop(
    "measured-live",
    acceptable=False,
    what="{a} was measured live ({volts:g} V{key}), {but}, and is joined to {b} ({b_is}){cause}",
    why="Volts reach a contact that is not made for them.",
    fix="{mend}; a wrong reading is struck out by its mark"
    + typed(": wiremap next JOB --kept")
    + "{mean}",
)
def measured_live(view: View) -> Hits:
    """A contact that read live although its paper does not know it, connected with anything but
    a supply, or that read more volts than a unit's contact stands.
    """
    for measured, signal in view.once(live_contacts).values():
        also = ((measured.entry.place, "read here"),) if measured.entry.place else ()
        yield view.hit(
            measured.address,
            signal.address,
            also=also,
            volts=measured.volts,
            key=f", ignition {measured.key}" if measured.key else "",
            but=_objection(view, measured, signal),
            mend=_live_mend(view, measured, signal),
            b_is=called(signal.row.slug),
            cause=_cause(view, measured),
            mean=MEAN.format(at=measured.address) if may_switch(view, measured.address) else "",
        )


def _objection(view: View, measured: MeasuredVolts, signal: Signal) -> str:
    """What speaks against the volts of a reading, in words."""
    if is_unaccounted(view, measured) or signal.volts is None:
        return "which its paper does not account for"
    stands = f"{most_volts(signal.volts):.3g} V"
    return f"above the {stands} that {signal.address} stands by its paper ({level(signal.volts)})"


def _live_mend(view: View, measured: MeasuredVolts, signal: Signal) -> str:
    """What to do about it, in words: a supply that is what its paper says stays."""
    if is_unaccounted(view, measured):
        return "Find out what feeds it and leave it out"
    look = f"Look in its leaflet for the volts that {signal.address} stands"
    call = typed(f" and answer them (wiremap next JOB --about {signal.address}.volts)")
    return f"{look}{call}, or put a converter before it"


def _cause(view: View, measured: MeasuredVolts) -> str:
    """What such a reading means as a rule, in words; empty where nothing is known of it."""
    for reading in contradictions(view.job):
        if reading.entry is measured.entry and reading.why:
            return f": {reading.why}"
    return ""


@JUDGED.stop(
    "live-end-open",
    what="{a} was measured live ({volts:g} V{key}) and is left out without a cap: {treat}",
    why="A plug in the cavity does not insulate the cut end of a live wire: it shorts to the next "
    "metal it touches.",
    fix="Cap, seal and tie back the wire (`treat: cap`), or take it out of service at its fuse and "
    "have a named person sign" + SIGN,
)
def live_end_open(view: View) -> Hits:
    """A cut wire of the machine that read live, is not joined, and is not capped."""
    for measured in measured_volts(view.job).values():
        address = measured.address
        if not measured.is_live or view.is_joined(address):
            continue
        end = view.job.ends[address.end]
        left = view.job.not_joined.get(address)
        if end.kind != EndKind.CUT_TAIL or (left is not None and left.treat == Treat.CAP):
            continue
        yield view.hit(
            address,
            volts=measured.volts,
            key=f", ignition {measured.key}" if measured.key else "",
            treat=left.treat if left is not None and left.treat else "nothing is said of it",
        )
