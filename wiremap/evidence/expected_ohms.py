"""The ohms that a meter should show into the loom of a machine, battery off."""

from __future__ import annotations

import math

from wiremap.evidence.expected import (
    COIL,
    FLOATING,
    Expected,
    Quantity,
    WhereRead,
    as_found,
    electrical,
    refused,
)
from wiremap.evidence.ohms_by_function import (
    SENSORS,
    Promise,
    by_function,
    cavity_row,
    open_to_others,
)
from wiremap.graph import ResistorNetwork
from wiremap.graph.build import link_point
from wiremap.model import CHASSIS, Address, Cavity, End, Link, OnOff, Span
from wiremap.trade.functions import CAN_HALVES

PAPER = "the unit's paper"
BLACK = frozenset({"sensor-return", "power-ground"})  # what goes under the black probe


def expected_ohms(end: End, coil: Span = COIL) -> list[Expected]:
    """The ohms to read: from the stated loads, otherwise from functions.

    `coil` are the usual ohms of a coil.
    """
    rows: list[Expected] = []
    stated: set[str] = set()
    states = {link.when for link in end.pinout.behind}
    networks = {state: ResistorNetwork(network(end, state)) for state in (None, *states)}
    for link in end.pinout.behind:
        if not _never_ohmed(end, link):
            rows.append(_load_row(end, link, networks[link.when]))
            stated |= {link.a, link.b}
    for cavity in end.pinout.cavities.values():
        if not refused(cavity) and cavity.name not in stated:
            rows += by_function(end, cavity, coil)
        if cavity.function == "sensor-return" and not _stated_to_chassis(end, cavity):
            promise = Promise(FLOATING, WhereRead.RETURN, telling=True)
            rows.append(cavity_row(end, cavity, CHASSIS, promise))
        if cavity.function == "sensor-supply" and not refused(cavity):
            rows += open_to_others(end, cavity, networks[None])
    return rows


# -- stated loads ---------------------------------------------------------------------------------


def network(end: End, state: str | None = None) -> list[tuple[str, str, Span]]:
    """The loads behind a machine's loom as edges: two points, and the ohms between them.

    A link tied to a state replaces the plain one in that state.
    """
    links = end.pinout.behind
    tied = {_pair(link) for link in links if link.when is not None and link.when == state}
    edges: list[tuple[str, str, Span]] = []
    for link in links:
        always = link.when is None and _pair(link) not in tied
        if always or link.when == state:
            edges.append((link_point(end, link.a), link_point(end, link.b), as_found(link.ohms)))
    return edges


def inside_ohms(end: End) -> list[Expected]:
    """What a unit's paper and its switches say of the ohms between its contacts."""
    on = [*_inside(end), *_switched(end, OnOff.ON)]
    perhaps = _switched(end, None)
    most, least = ResistorNetwork(on), ResistorNetwork([*on, *perhaps])  # more paths, fewer ohms
    rows: dict[frozenset[str], Expected] = {}
    for a, b, _ in (*on, *perhaps):
        first, second = (end.pinout.cavities.get(name) for name in (a, b))
        if first is None or second is None or refused(first) or refused(second):
            continue
        low = least.span(a, b).low
        band = FLOATING if math.isinf(low) else Span(low, most.span(a, b).high)
        promise = Promise(band, WhereRead.INSIDE, source=end.pinout.source.name or PAPER)
        rows[frozenset((a, b))] = cavity_row(end, first, Address(end.name, b), promise)
    return list(rows.values())


def _inside(end: End) -> list[tuple[str, str, Span]]:
    return [(x.a, x.b, as_found(x.ohms)) for x in end.pinout.inside if x.when is None]


def _switched(end: End, how: OnOff | None) -> list[tuple[str, str, Span]]:
    """What the switches of a unit join that are on or off; None: at which nobody has looked."""
    switches = end.pinout.switches.items()
    here = [switch for name, switch in switches if end.switches.get(name) == how]
    return [(x.a, x.b, as_found(Span.of(x.ohms))) for x in here]


def _pair(link: Link) -> frozenset[str]:
    """The two points of a link, whichever comes first."""
    return frozenset((link.a, link.b))


def _cavities(end: End, link: Link) -> list[Cavity]:
    """The cavities of the machine's connector among the two points of a link."""
    known = end.pinout.cavities
    return [known[name] for name in (link.a, link.b) if name in known]


def _never_ohmed(end: End, link: Link) -> bool:
    """Whether a contact of a link is one that no ohmmeter is put to: refused, or a supply."""
    return any(refused(c) or electrical(c) == "supply" for c in _cavities(end, link))


def _stated_to_chassis(end: End, cavity: Cavity) -> bool:
    """Whether the pinout states what lies between a contact and the chassis."""
    to_chassis = frozenset((cavity.name, CHASSIS))
    return any(_pair(link) == to_chassis for link in end.pinout.behind)


def _load_row(end: End, link: Link, loads: ResistorNetwork) -> Expected:
    """What to read across a stated load; returns and grounds go under the black probe."""
    red, black = sorted((link.a, link.b), key=lambda name: _blackness(end, name))
    a, b = link_point(end, red), link_point(end, black)
    ohms = loads.span(a, b)
    cavity = end.pinout.cavities.get(link.a)
    source = (cavity.source if cavity else "") or end.pinout.source.name
    return Expected(
        red=a,
        black=b,
        quantity=Quantity.OHMS,
        band=FLOATING if math.isinf(ohms.low) else ohms,
        source=source or "stated in the pinout",
        telling=True,
        state=link.when,
        where=_where(end, link) if link.when is None else None,
    )


def _blackness(end: End, name: str) -> tuple[bool, bool]:
    """Of two points the one with more of it goes under the black probe: the chassis before all."""
    is_chassis = name == CHASSIS
    return is_chassis, not is_chassis and end.pinout.cavities[name].function in BLACK


def _where(end: End, link: Link) -> WhereRead:
    """What kind of reading a stated load is, by the functions of its contacts."""
    cavities = _cavities(end, link)
    functions = {cavity.function for cavity in cavities}
    if functions == CAN_HALVES:
        return WhereRead.PAIR
    if functions == {"interlock-out", "interlock-back"}:
        return WhereRead.LOOP
    if functions == {"power-ground"}:
        return WhereRead.GROUND
    if functions == {"sensor-return"}:
        return WhereRead.RETURN
    if any(electrical(cavity) == "lamp" for cavity in cavities):
        return WhereRead.LAMP
    return WhereRead.SENDER if functions & SENSORS.keys() else WhereRead.LOAD
