"""Family `parts`: what an output can give against what hangs on it."""

from __future__ import annotations

from wiremap.model import Address, Cavity, Clamp
from wiremap.rules.asleep import asleep_by_unit
from wiremap.rules.cure import SIGN, said_anew
from wiremap.rules.limits import is_over, limit
from wiremap.rules.ohmic import beyond_their_amps
from wiremap.rules.outputs import Output, outputs
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.view import View
from wiremap.trade.coils import names_a_coil

PARTS = Family("parts", Matter.UNIT)


@PARTS.stop(
    "load-over-output",
    source="the unit's own rating",
    what="{a} gives {gives:g} A, but its load {loads} draws {draws:g} A",
    why="An overloaded output shuts down or dies, and its wire is sized for less.",
    fix="Drive the load through a relay of its own, from an output that is made for "
    "it, or state its amps anew" + said_anew("amps"),
)
def load_over_output(view: View) -> Hits:
    """A load of the machine that draws more than the unit's output is rated for."""
    for output in outputs(view):
        gives, draws = output.cavity.amps, output.steady_amps()
        if gives is not None and draws is not None and is_over(draws, gives):
            loads = ", ".join(map(view.name, output.addresses))
            yield view.described_hit(
                output.signal.address, *output.addresses, gives=gives, draws=draws, loads=loads
            )


@PARTS.stop(
    "ohms-against-amps",
    source="Ohm's law; at rest a filament or motor has a tenth of its ohms, a PTC heater about "
    "half, common practice",
    what="{a}: {told}, its paper says {stated:g} A",
    why="Output, wire, contact and fuse are judged by the stated amps: one of the two is wrong.",
    fix="Read the ohms again; if they hold, state the amps that they draw"
    + said_anew("amps")
    + "; or the frequency on both sides where the unit holds the current by pulse width.",
)
def ohms_against_amps(view: View) -> Hits:
    """A load whose ohms, stated or surveyed, draw more than its stated amps at nominal volts; of
    one that is no coil a tenth counts, of a heater half.
    """
    for load in beyond_their_amps(view):
        if not load.may_be_pulsed:
            yield view.described_hit(load.address, told=load.ohms_words, stated=load.stated_amps)


@PARTS.stop(
    "inrush-over-output",
    source="the unit's own rating; a cold lamp draws about ten times its current, common practice",
    what="{a} gives {gives:g} A at the first moment, but its load {loads} draws {draws:g} A then",
    why="An output that trips or dies at switching on works on the bench and fails on the machine.",
    fix="Drive the load through a relay of its own, or state what the output bears"
    + said_anew("peak_amps"),
)
def inrush_over_output(view: View) -> Hits:
    """A load whose first moment draws more than the unit's output bears."""
    for output in outputs(view):
        gives, draws = output.cavity.peak_amps or output.cavity.amps, output.peak_amps()
        if gives is not None and draws is not None and is_over(draws, gives):
            loads = ", ".join(map(view.name, output.addresses))
            yield view.described_hit(
                output.signal.address, *output.addresses, gives=gives, draws=draws, loads=loads
            )


@PARTS.caution(
    "coil-without-clamp",
    what="{a} switches a coil ({load}) and nobody has said what limits its kick",
    why="Switched off, a coil drives several hundred volts back into the output and its "
    "neighbours.",
    fix="Say what limits it (diode, resistor, inside) where it is known"
    + said_anew("clamp")
    + "; or put a diode across the coil: cathode to the positive.",
    source="common practice; relay makers' notes",
)
def coil_without_clamp(view: View) -> Hits:
    """A unit's output to a valve, relay or other coil of which no side states a clamp, and across
    which the job puts no diode.
    """
    for output in outputs(view):
        if output.signal.row.electrical != "drive" or _is_clamped(view, output):
            continue
        cavities = [output.cavity, *output.loads]
        coils = [c.signal for c in cavities if c.clamp == Clamp.NONE or names_a_coil(c.signal)]
        if coils:
            yield view.described_hit(
                output.signal.address, *output.addresses, load=coils[-1] or "clamp: none"
            )


def _is_clamped(view: View, output: Output) -> bool:
    clamps = {cavity.clamp for cavity in (output.cavity, *output.loads)}
    if clamps - {None, Clamp.NONE}:
        return True
    return bool(view.extras(view.net_of(output.signal.address), "diode"))


@PARTS.caution(
    "pwm-unlike",
    matter=Matter.WORKING,
    what="{a} switches at {gives}, its load {load} at {wants}",
    why="A valve driven at another frequency than it is made for sticks or hums, and reads wrong "
    "currents.",
    fix="Set the unit to the load's frequency, or state it on both sides" + said_anew("pwm_hz"),
)
def pwm_unlike(view: View) -> Hits:
    """An output and a load of unlike stated frequency, or of which only one states it."""
    for output in outputs(view):
        for load, address in zip(output.loads, output.addresses, strict=True):
            if load.pwm_hz != output.cavity.pwm_hz:
                yield view.described_hit(
                    output.signal.address,
                    address,
                    gives=_hertz(output.cavity),
                    wants=_hertz(load),
                    load=view.name(address),
                )


def _hertz(cavity: Cavity) -> str:
    return "an unstated frequency" if cavity.pwm_hz is None else f"{cavity.pwm_hz:g} Hz"


@PARTS.caution(
    "open-load-noticed",
    matter=Matter.WORKING,
    what="{a} notices an open load and is left open",
    why="The unit reports a fault, and may refuse to work until the output is switched off in its "
    "set-up.",
    fix="Switch the output off in the unit's set-up, fit the load that its leaflet asks for, or "
    "sign it" + SIGN,
)
def open_load_noticed(view: View) -> Hits:
    """An output of a unit that detects an open load and that no circuit joins."""
    for point in view.points.values():
        if point.cavity is None or not point.cavity.detects_open or view.idle_tap(point):
            continue
        if not view.is_joined(point.address):
            yield view.described_hit(point.address)


@PARTS.caution(
    "plating-unlike",
    matter=Matter.WORKING,
    source="contact makers' guidance: unlike platings fret and corrode",
    what="{end}: contacts of unlike plating in one connector: {contacts}",
    why="Tin against gold or silver wears through and grows an oxide: the contact fails in a year.",
    fix="Fit contacts of the plating that the mating half has.",
)
def plating_unlike(view: View) -> Hits:
    """Joined contacts of one connector that state different platings."""
    for end in view.job.ends.values():
        stated = {}
        for cavity in end.pinout.cavities.values():
            if cavity.plating is None:
                continue
            address = Address(end.name, cavity.name)
            if view.is_joined(address):
                stated[address] = cavity.plating
        if len(set(stated.values())) > 1:
            contacts = ", ".join(f"{address} {plating}" for address, plating in stated.items())
            yield view.hit(*stated, end=end.name, contacts=contacts)


@PARTS.caution(
    "sleep-current",
    matter=Matter.WORKING,
    what="asleep {who} draws {milliamps:g} mA from the battery on paper: {hours:.1f} Ah a day",
    why="A machine that stands for some weeks does not start again.",
    fix="Feed it from a switched supply, or sign how the battery is kept" + SIGN,
)
def sleep_current(view: View) -> Hits:
    """Contacts on a permanent supply that draw more asleep than a whole machine may, or those of
    one unit more than is borne of a single one.
    """
    of_units = {
        unit: {address: amps for address, amps in stated.items() if amps}
        for unit, stated in asleep_by_unit(view).items()
    }
    of_job = {address: amps for stated in of_units.values() for address, amps in stated.items()}
    if is_over(sum(of_job.values()), limit("asleep-amps")):
        of_units = {"the job": of_job}
    for who, stated in of_units.items():
        amps = sum(stated.values())
        if is_over(amps, limit("asleep-added-amps")):
            yield view.hit(*stated, who=who, milliamps=1000 * amps, hours=24 * amps)
