"""What can hurt people at a job's contacts: told by words and functions, settled by named
answers.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.model import Cavity
from wiremap.rules.view import View
from wiremap.trade.dangers import DangerKind, NamedDanger, Treatment, dangers_in

OF_FUNCTION = {  # functions that are a danger by themselves, whatever the words
    "brake": DangerKind.BRAKES,
    "steering": DangerKind.STEERING,
    "wheel-speed": DangerKind.WHEEL_SPEED,
    "restraint": DangerKind.RESTRAINT,
    "voltage-class-b": DangerKind.HIGH_VOLTAGE,
}
MUST_STAY_METAL = (  # what stops a machine in danger acts through its own wire
    DangerKind.EMERGENCY_STOP,
    DangerKind.GUARD,
    DangerKind.OPERATOR_PRESENCE,
    DangerKind.TWO_HAND,
    DangerKind.HOLD_TO_RUN,
    DangerKind.LOAD_MOMENT,
    DangerKind.START_INTERLOCK,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenDanger(NamedDanger):
    """A danger at a contact that no answer has settled."""

    address: str


def open_dangers(view: View) -> dict[str, list[OpenDanger]]:
    """The dangers at each contact that no answer has settled, by address."""
    dangers: dict[str, list[OpenDanger]] = {}
    for point in view.points.values():
        if point.cavity is not None:
            named = list(_unsettled(view, point.address, point.cavity))
            if named:
                dangers[point.address] = named
    return dangers


def dangers_at(view: View, address: str) -> list[OpenDanger]:
    """The dangers at one contact that no answer has settled."""
    return view.fixed(open_dangers).get(address, [])


def names_danger(view: View, address: str, kind: DangerKind) -> bool:
    """Whether a contact names an open danger of a kind, and not as a lamp only."""
    return any(named.kind == kind and not named.lamps_only for named in dangers_at(view, address))


def worded_dangers(view: View, address: str) -> list[OpenDanger]:
    """The dangers that a contact names, whoever has answered what it is; not as a lamp only, nor
    where somebody has said that the words mislead.
    """
    cavity = view.points[address].cavity
    every = [] if cavity is None else _unexplained(view, address, cavity)
    return [named for named in every if not named.lamps_only]


def joined_in_danger(view: View) -> Iterator[str]:
    """The joined contacts at which an open danger is named, in the order of the ends."""
    return (address for address in view.fixed(open_dangers) if view.is_joined(address))


def takes_licence(view: View) -> bool:
    """Whether a joined contact names a danger that is a licensed person's work: answering what the
    contact is lets the job go on, and the work stays theirs.

    A typed guard loop has rules of its own.
    """
    for point in view.joined():
        if point.cavity is not None and not point.cavity.chain:
            for named in _unexplained(view, point.address, point.cavity):
                if named.treatment == Treatment.LICENSED and not named.lamps_only:
                    return True
    return False


def _unsettled(view: View, address: str, cavity: Cavity) -> Iterator[OpenDanger]:
    every = list(_unexplained(view, address, cavity))
    if every and _is_licensed(view, address):
        every = [named for named in every if named.treatment == Treatment.REFUSED]
    yield from every


def _unexplained(view: View, address: str, cavity: Cavity) -> Iterator[OpenDanger]:
    """The dangers that a contact names; not those whose words mislead, as somebody has said."""
    every = list(_named(address, cavity, view.said_to_mean(address)))
    explained = bool(every) and view.is_explained(address)
    for named in every:
        if not explained or OF_FUNCTION.get(cavity.function) == named.kind:
            yield named


def _named(address: str, cavity: Cavity, meant: str) -> Iterator[OpenDanger]:
    """Every danger that functions, words or what they are said to mean name, one of a kind."""
    kinds: dict[DangerKind, OpenDanger] = {}
    for function in (cavity.function, *(claim.reading.function for claim in cavity.also)):
        kind = OF_FUNCTION.get(function)
        if kind is not None:
            kinds[kind] = OpenDanger(address=address, kind=kind, said=function)
    for wording in (cavity.signal, *(claim.signal for claim in cavity.also), meant):
        for danger in dangers_in(wording):
            named = OpenDanger(
                address=address, kind=danger.kind, said=danger.said, lamps_only=danger.lamps_only
            )
            kinds.setdefault(danger.kind, named)
    yield from kinds.values()


def _is_licensed(view: View, address: str) -> bool:
    """Whether a named licensed person has answered what a contact is."""
    for about in (address, f"{address}.function"):
        entry = view.answers.get(about)
        if entry is not None and entry.by.strip() and entry.licence:
            return True
    return False
