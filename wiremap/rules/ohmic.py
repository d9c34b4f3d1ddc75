"""What a load of the machine draws by its ohms, against what its paper says."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.graph import Bond, BondOrigin
from wiremap.model import CHASSIS
from wiremap.rules.limits import limit
from wiremap.rules.outputs import Output, outputs
from wiremap.rules.view import View
from wiremap.sizing.around import around_of
from wiremap.sizing.load import electrical_class
from wiremap.sizing.unjudged import About, NotJudged
from wiremap.trade.coils import names_a_coil

BY_PULSE = "proportional-output"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ohmic:
    """A load on a unit's output, by its ohms at work: amps at nominal and at the highest volts."""

    output: Output
    address: str
    ohms: float
    cold: bool
    stated_amps: float
    amps: float
    most_amps: float
    most_volts: float

    @property
    def by_pulse(self) -> bool:
        """Whether the unit may hold the stated current by pulse width: full on draws not too much
        more for such a coil.
        """
        pulsed = self.output.gives.pwm_hz is not None or self.output.signal.row.slug == BY_PULSE
        return pulsed and self.amps <= limit("full-on-ratio") * self.stated_amps

    @property
    def told(self) -> str:
        """Its ohms and what these draw, in words."""
        cold = " at rest, ten times that at work," if self.cold else ""
        return f"{self.ohms:g} ohm{cold} draw {self.most_amps:.3g} A at {self.most_volts:g} V"


def beyond_their_amps(view: View) -> list[Ohmic]:
    """The loads that draw more by their ohms at nominal volts than is stated of them."""
    more = 1 + limit("ohms-margin")
    return [load for load in _ohmic(view) if load.amps > more * load.stated_amps * (1 + 1e-9)]


def _ohmic(view: View) -> Iterator[Ohmic]:
    """Every load of a drive, lamps' feeds apart, of which amps and ohms are both known."""
    around = around_of(view.job)
    for output in _drives(view):
        for cavity, address in zip(output.loads, output.addresses, strict=True):
            ohms = _ohms(view, output, address)
            if cavity.amps is None or ohms is None:
                continue
            cold = not _has_coil(output, cavity.signal)
            share = limit("cold-share") if cold else 1.0
            nominal = around.volts or around.high_volts
            yield Ohmic(
                output=output,
                address=address,
                ohms=ohms,
                cold=cold,
                stated_amps=cavity.amps,
                amps=nominal / ohms * share,
                most_amps=around.high_volts / ohms * share,
                most_volts=around.high_volts,
            )


def _drives(view: View) -> Iterator[Output]:
    return (output for output in outputs(view) if output.signal.row.electrical == "drive")


def _has_coil(output: Output, signal: str) -> bool:
    return names_a_coil(signal) or names_a_coil(output.gives.signal)


def _ohms(view: View, output: Output, address: str) -> float | None:
    """The least ohms from a load's contact to where its current comes from or goes to."""
    low_side = output.signal.row.slug == "low-side-drive"
    siemens = 0.0
    for bond in view.fixed(_behind).get(address, ()):
        other = bond.b if bond.a == address else bond.a
        if _is_other_end(view, other, low_side=low_side):
            siemens += 1 / bond.ohms.low
    return 1 / siemens if siemens else None


def _behind(view: View) -> dict[str, list[Bond]]:
    """What papers tell of ohms behind each contact, whatever switch stands how."""
    found: dict[str, list[Bond]] = defaultdict(list)
    for bond in view.harness.bonds:
        if bond.origin == BondOrigin.BEHIND and bond.when is None and bond.ohms.low:
            found[bond.a].append(bond)
            found[bond.b].append(bond)
    return found


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
        if load.by_pulse:
            held = f"whether the unit holds it at {load.stated_amps:g} A is its paper's word"
            alike[f"full on, {load.told}; {held}"].append(load.address)
    for why, loads in alike.items():
        yield NotJudged(subject=tuple(loads), why=why, about=About.OTHER)


def beyond_their_supply(view: View) -> Iterator[NotJudged]:
    """Units whose outputs' loads come to more than the unit is stated to draw."""
    given: dict[str, list[float]] = defaultdict(list)
    for output in outputs(view):
        if output.signal.row.slug != "low-side-drive":
            given[output.signal.owner].append(output.consumed_amps())
    for owner, amps in given.items():
        drawn = _drawn(view, owner)
        if drawn and sum(amps) > drawn * (1 + 1e-9):
            why = (
                f"its outputs' loads come to {sum(amps):.3g} A, it is stated to draw {drawn:.3g} A"
            )
            why = f"{why}: its feed is judged by the latter"
            yield NotJudged(subject=(owner,), why=why, about=About.OTHER)


def _drawn(view: View, owner: str) -> float:
    """What a unit's joined supplies are stated to draw together [A]."""
    drawn = 0.0
    for point in view.joined():
        supply = electrical_class(point.function) == "supply"
        if supply and point.owner == owner and point.cavity is not None:
            drawn += point.cavity.amps or 0.0
    return drawn
