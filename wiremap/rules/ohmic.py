"""What a load of the machine draws by its ohms, against what its paper says."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace

from wiremap.graph import Bond, BondOrigin
from wiremap.model import CHASSIS
from wiremap.rules.limits import is_over, limit
from wiremap.rules.outputs import Output, outputs
from wiremap.rules.signals import LOW_SIDE_DRIVE
from wiremap.rules.view import View
from wiremap.sizing.around import around_of
from wiremap.sizing.load import electrical_class
from wiremap.sizing.unjudged import About, NotJudged
from wiremap.trade.coils import names_a_coil
from wiremap.trade.loads import kind_of_load

ALL_OF_IT = 1.0  # the share of a load that draws at work what its ohms tell
PROPORTIONAL = "proportional-output"


@dataclass(frozen=True, slots=True, kw_only=True)
class OhmicLoad:
    """A load by its ohms: `amps` at nominal volts and `most_amps` at the highest, at work.

    `share` is what it draws at work of what its ohms at rest would, as a filament heats; `pulsed`
    says that its unit's output switches.
    """

    address: str
    ohms: float
    share: float
    stated_amps: float
    amps: float
    most_amps: float
    most_volts: float
    pulsed: bool = False

    @property
    def may_be_pulsed(self) -> bool:
        """Whether the unit may hold the stated current by pulse width: full on draws not too much
        more for such a coil.
        """
        return self.pulsed and self.amps <= limit("full-on-ratio") * self.stated_amps

    @property
    def ohms_words(self) -> str:
        """Its ohms and what these draw, in words."""
        cold = f" at rest, {1 / self.share:g} times that at work," if self.share < 1 else ""
        return f"{self.ohms:g} ohm{cold} draw {self.most_amps:.3g} A at {self.most_volts:g} V"


def beyond_their_amps(view: View) -> list[OhmicLoad]:
    """The loads that draw more by their ohms at nominal volts than is stated of them."""
    more = 1 + limit("ohms-margin")
    loads = (*_on_outputs(view), *_in_units(view))
    return [load for load in loads if is_over(load.amps, more * load.stated_amps)]


def _on_outputs(view: View) -> Iterator[OhmicLoad]:
    """Every load of an output, lamps' feeds apart, of which amps and ohms are both known."""
    for output in _drives(view):
        pulsed = output.cavity.pwm_hz is not None or output.signal.row.slug == PROPORTIONAL
        for cavity, address in zip(output.loads, output.addresses, strict=True):
            ohms = _ohms_of_load(view, output, address)
            if cavity.amps is not None and ohms is not None:
                share = _share(cavity.signal, output.cavity.signal)
                load = _at_work(view, address, ohms, share=share, stated_amps=cavity.amps)
                yield replace(load, pulsed=pulsed)


def _in_units(view: View) -> Iterator[OhmicLoad]:
    """Every joined supply of a unit of known amps whose paper tells the ohms to its ground."""
    for bond in view.harness.bonds:
        if bond.origin != BondOrigin.INSIDE or bond.when is not None or not bond.ohms.low:
            continue
        ends = [view.points[each] for each in (bond.a, bond.b) if each in view.points]
        fed = [each for each in ends if electrical_class(each.function) == "supply"]
        grounded = [each for each in ends if electrical_class(each.function) == "ground"]
        cavity = fed[0].cavity if fed and grounded and view.is_joined(fed[0].address) else None
        if cavity is not None and cavity.amps is not None:
            share = _share(cavity.signal, fed[0].end.pinout.title if fed[0].end else "")
            address = fed[0].address
            yield _at_work(view, address, bond.ohms.low, share=share, stated_amps=cavity.amps)


def _at_work(
    view: View, address: str, ohms: float, *, share: float, stated_amps: float
) -> OhmicLoad:
    around = around_of(view.job)
    nominal = around.volts or around.high_volts
    return OhmicLoad(
        address=address,
        ohms=ohms,
        share=share,
        stated_amps=stated_amps,
        amps=nominal / ohms * share,
        most_amps=around.high_volts / ohms * share,
        most_volts=around.high_volts,
    )


def _drives(view: View) -> Iterator[Output]:
    driven = ("drive", "supply")
    return (output for output in outputs(view) if output.signal.row.electrical in driven)


def _share(*wordings: str) -> float:
    """What a load of these wordings draws at work, of what its ohms at rest would."""
    if any(map(names_a_coil, wordings)):
        return ALL_OF_IT
    heats = any(kind.heats for kind in map(kind_of_load, wordings) if kind)
    return limit("heater-share") if heats else limit("cold-share")


def _ohms_of_load(view: View, output: Output, address: str) -> float | None:
    """The least ohms from a load's contact to where its current comes from or goes to."""
    low_side = output.signal.row.slug == LOW_SIDE_DRIVE
    siemens = sum(
        1 / bond.ohms.low
        for bond in view.fixed(_bonds_behind).get(address, ())
        if _is_other_end(view, bond.b if bond.a == address else bond.a, low_side=low_side)
    )
    return 1 / siemens if siemens else None


def _bonds_behind(view: View) -> dict[str, list[Bond]]:
    """What papers tell of ohms behind each contact, whatever switch stands how."""
    bonds: dict[str, list[Bond]] = defaultdict(list)
    for bond in view.harness.bonds:
        if bond.origin == BondOrigin.BEHIND and bond.when is None and bond.ohms.low:
            bonds[bond.a].append(bond)
            bonds[bond.b].append(bond)
    return bonds


def _is_other_end(view: View, other: str, *, low_side: bool) -> bool:
    if other == CHASSIS:
        return not low_side
    signal = view.signal(other)
    if signal is None:
        return False
    return signal.row.electrical == "supply" if low_side else signal.row.electrical == "ground"


def held_by_pulse(view: View) -> Iterator[NotJudged]:
    """Loads that draw their stated amps only while the unit holds them by pulse width."""
    alike: dict[str, list[str]] = defaultdict(list)
    for load in beyond_their_amps(view):
        if load.may_be_pulsed:
            held = f"whether the unit holds it at {load.stated_amps:g} A is its paper's word"
            alike[f"full on, {load.ohms_words}; {held}"].append(load.address)
    for why, loads in alike.items():
        yield NotJudged(subject=tuple(loads), why=why, about=About.OTHER)
