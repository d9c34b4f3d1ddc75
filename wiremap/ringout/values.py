"""What is read by its value: parts and loads, fuses in their holders, nets parted outside."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wiremap.graph import Reach
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Expectation, Shows, expected_apart
from wiremap.mistakes.tie import Tie
from wiremap.model import State
from wiremap.ringout.planner import Planner, pair_of
from wiremap.ringout.probe import Points, Probe, ProbeKind


def bands(planner: Planner) -> Iterator[Probe]:
    """Each part and load by its value, a diode both ways; those read already left out.

    A diode beside so few ohms that the meter may beep shows no drop: it is read backwards alone.
    """
    for tie in planner.drawn.ties:
        one = planner.drawn.net_of[tie.a]
        two = planner.drawn.net_of[tie.b]
        if one == two or one not in planner.reached or two not in planner.reached:
            continue
        if planner.drawn.inseparable(one, two):
            continue
        pair = pair_of(one, two)
        known = pair in planner.pairs
        planner.pairs.add(pair)
        here, there = planner.reached[one][:1], planner.reached[two][:1]
        if tie.diode:
            if not _is_drowned(planner.drawn, here, there):
                yield _forward(tie, here, there)
            if not known:
                yield _backwards(planner, tie, here, there)
        elif not known:
            yield _value(planner, tie_name(tie), here, there)


def load_value(planner: Planner, red: str, black: str) -> Iterator[Probe]:
    """What lies behind the loom between two points, by its value; nothing if out of reach."""
    one, two = planner.drawn.net_of[red], planner.drawn.net_of[black]
    if one == two or one not in planner.reached or two not in planner.reached:
        return
    here, there = planner.reached[one][:1], planner.reached[two][:1]
    yield _value(planner, f"{red} to {black}", here, there)


def _is_drowned(drawn: Drawn, anode: Points, cathode: Points) -> bool:
    """Whether something beside a diode may beep in its place."""
    return drawn.sound.ohms(anode, cathode).low < drawn.beeper.silent_ohms


def _backwards(planner: Planner, tie: Tie, anode: Points, cathode: Points) -> Probe:
    expected = expected_apart(planner.drawn.sound, cathode, anode)
    if expected.shows == Shows.OHMS:
        return _value(planner, f"what lies beside {tie_name(tie)}", cathode, anode)
    return Probe(
        kind=ProbeKind.BAND,
        red=cathode,
        black=anode,
        expectation=expected,
        proves=(f"{tie_name(tie)} blocks backwards",),
        why="diode range",
        diode_range=True,
    )


def _value(planner: Planner, part: str, red: Points, black: Points) -> Probe:
    return Probe(
        kind=ProbeKind.BAND,
        red=red,
        black=black,
        expectation=expected_apart(planner.drawn.sound, red, black),
        proves=(f"{part} there and of its value",),
    )


def fuses(planner: Planner) -> Iterator[Probe]:
    """Each fuse of the job in its holder, those read already left out."""
    read = {edge.state.fuse for edge in planner.done}
    for extra in planner.harness.job.extras.values():
        if not extra.is_fuse or extra.name in read:
            continue
        if planner.drawn.reach_set.issuperset(extra.legs):
            yield Probe(
                kind=ProbeKind.BAND,
                red=extra.legs[:1],
                black=extra.legs[1:],
                expectation=Expectation(Shows.BEEP),
                proves=(f"{extra.name} sound and seated",),
                state=State(fuse=extra.name),
            )


def met_outside(planner: Planner) -> Iterator[Probe]:
    """Each net that meets others outside, parted there and read against the one that stays.

    Every face contact of both: a touch inside shows only so, and a contact in the wrong one of
    them.
    """
    for stays, *others in planner.drawn.meeting:
        for net in others:
            yield _parted(planner, net, stays)


def _parted(planner: Planner, net: int, stays: int) -> Probe:
    drawn = planner.drawn
    name = drawn.names[net]
    proves = f"{name} apart from {drawn.names[stays]} in the harness"
    read = while_parted(drawn, net, stays, State(parted=name), proves)
    return replace(read, why=planner.why_dangerous(net, stays))


def while_parted(drawn: Drawn, net: int, stays: int, state: State, proves: str) -> Probe:
    """A net against one that it meets outside, at their faces, in the state that parts them."""
    red = face_points(drawn, drawn.reached[net])
    black = face_points(drawn, drawn.reached[stays])
    return Probe(
        kind=ProbeKind.APART,
        red=red,
        black=black,
        expectation=expected_apart(drawn.sound, red, black, state),
        proves=(proves,),
        state=state,
    )


def _forward(tie: Tie, anode: Points, cathode: Points) -> Probe:
    return Probe(
        kind=ProbeKind.BAND,
        red=anode,
        black=cathode,
        expectation=Expectation(Shows.DIODE),
        proves=(f"{tie_name(tie)} there, anode at {anode[0]}",),
        why="diode range",
        diode_range=True,
    )


def tie_name(tie: Tie) -> str:
    """A part by its name, a load by the points that it lies between."""
    return tie.name or f"{tie.a} to {tie.b}"


def face_points(drawn: Drawn, points: Points) -> Points:
    """The points of a net on unmated faces; all of them if there are none.

    What is parted last is read when joints may be closed.
    """
    return tuple(point for point in points if drawn.harness.reach(point) == Reach.FACE) or points
