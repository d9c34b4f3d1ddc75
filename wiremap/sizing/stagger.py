"""Stagger as a figure: stations, abreast, lump, what more tail buys, lengths to cut."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import NamedTuple

from wiremap.sizing.sized import (
    Origin,
    OutOfRange,
    Sized,
    Value,
    in_range,
    source_title,
)
from wiremap.sizing.splices import FILE, rule
from wiremap.sizing.station_search import EPS
from wiremap.sizing.stations import (
    JointGroup,
    Layout,
    Window,
    fewest_abreast,
    lay_out,
    stations_in,
)
from wiremap.trade.tables import figure

TOLD = "range of this layout"
LEAST_RUN_MM, LEAST_TAIL_MM = 10, 1
SPACINGS_MM, DIAMETERS_MM, SLEEVES_MM = (1, 1000), (0, 100), (1, 200)  # that may be asked for
TAIL_STEP_MM = 10.0
MOST_STEPS = 60  # a run is tried in at most as many
MACHINE = "machine"
UNIT = "unit"


class MoreTail(NamedTuple):
    """What a longer tail buys: its side, length [mm], stations in the run, joints abreast."""

    side: str
    tail_mm: float
    stations: int
    abreast: int


class Slack(NamedTuple):
    """Length for remakes on the machine's and on the unit's tail [mm]."""

    machine_mm: float
    unit_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """How long the two conductors of a joint are cut from their datums [mm], with slack."""

    name: str
    machine_mm: float
    unit_mm: float
    machine_slack_mm: float
    unit_slack_mm: float

    @property
    def slack_mm(self) -> float:
        """The slack of both tails together [mm]."""
        return self.machine_slack_mm + self.unit_slack_mm


def remake_slack_mm() -> float:
    """Length wanted for all remakes of a joint [mm].  Source: common practice."""
    return rule("remakes") * rule("remake_mm")


def lengths_to_cut(layout: Layout, window: Window) -> tuple[Cut, ...]:
    """Lengths to cut for every joint [mm]: to its place, with half the slack on each tail.

    The joints of a pair get one slack, so that its conductors stay as long as each other.
    """
    spare: dict[str, Slack] = {}
    for placed in layout.placed:
        own = _spare(placed.at_mm, window)
        least = spare.get(placed.group, own)
        spare[placed.group] = Slack(*map(min, own, least))
    cuts = []
    for placed in layout.placed:
        slack = spare[placed.group]
        cut = Cut(
            name=placed.name,
            machine_mm=placed.at_mm + slack.machine_mm,
            unit_mm=window.run_mm - placed.at_mm + slack.unit_mm,
            machine_slack_mm=slack.machine_mm,
            unit_slack_mm=slack.unit_mm,
        )
        cuts.append(cut)
    return tuple(cuts)


def _spare(at_mm: float, window: Window) -> Slack:
    """What the tails leave for remakes of a joint at this place, up to what is wanted."""
    want = remake_slack_mm() / 2
    machine = max(0.0, window.machine_tail_mm - at_mm)
    unit = max(0.0, window.unit_tail_mm - (window.run_mm - at_mm))
    return Slack(min(want, machine), min(want, unit))


@lru_cache(maxsize=256)
def more_tail(
    groups: tuple[JointGroup, ...], window: Window, spacing_mm: float
) -> tuple[MoreTail, ...]:
    """What peeling back more tail buys, where it brings fewer abreast.

    Tried in steps of 10 mm, on long runs of a sixtieth of the run.
    """
    found: list[MoreTail] = []
    for side in (MACHINE, UNIT):
        found += _more_on(side, groups, window, spacing_mm)
    return tuple(found)


def _more_on(
    side: str, groups: tuple[JointGroup, ...], window: Window, spacing_mm: float
) -> Iterator[MoreTail]:
    """Each longer tail on one side with which fewer joints lie abreast than with a shorter one."""
    step = TAIL_STEP_MM * max(1, math.ceil(window.run_mm / TAIL_STEP_MM / MOST_STEPS))
    now = fewest_abreast(groups, spacing_mm, window.barred)
    best = math.inf if now is None else now
    tail = window.machine_tail_mm if side == MACHINE else window.unit_tail_mm
    at = math.floor(tail / step) * step + step
    while at < window.run_mm + step and best > 1:
        wider = _with_tail(window, side, at)
        abreast = fewest_abreast(_reaching(groups, window, wider), spacing_mm, window.barred)
        if abreast is not None and abreast < best:
            yield MoreTail(side, at, len(stations_in(wider, spacing_mm)), abreast)
            best = abreast
        at += step


def _with_tail(window: Window, side: str, tail_mm: float) -> Window:
    if side == MACHINE:
        return replace(window, machine_tail_mm=tail_mm)
    return replace(window, unit_tail_mm=tail_mm)


def _reaching(groups: Sequence[JointGroup], old: Window, new: Window) -> tuple[JointGroup, ...]:
    """The groups with the edges that were a tail's reach moved to the new reach."""
    found = []
    for group in groups:
        low = new.lo if group.lo == old.lo else group.lo
        high = new.hi if group.hi == old.hi else group.hi
        found.append(replace(group, lo=low, hi=high))
    return tuple(found)


def plain_groups(
    joints: int, pairs: int, window: Window, diameter_mm: float, sleeve_mm: float
) -> tuple[JointGroup, ...]:
    """Groups of one common window: `joints` in all, of which two times `pairs` lie in twos."""
    groups = []
    for number in range(1, pairs + 1):
        names = (f"pair{number}.a", f"pair{number}.b")
        groups.append(JointGroup(names, window.lo, window.hi, diameter_mm, sleeve_mm))
    for number in range(1, joints - 2 * pairs + 1):
        groups.append(JointGroup((f"j{number}",), window.lo, window.hi, diameter_mm))
    return tuple(groups)


def size_stagger(
    window: Window,
    joints: int,
    *,
    pairs: int = 0,
    spacing_mm: float | None = None,
    diameter_mm: float = 0.0,
    sleeve_mm: float | None = None,
    edge_mm: float | None = None,
) -> Sized:
    """Stations, how many abreast, the lump's diameter [mm], what more tail buys, lengths [mm].

    Valid for 1 to 400 joints on runs of 10 mm to 50 m; raises OutOfRange outside.  Source:
    vehicle workshop texts on splices.  No joint comes nearer to either tie than `edge_mm`, by
    itself half a sleeve.
    """
    spacing = rule("spacing_mm") if spacing_mm is None else spacing_mm
    if sleeve_mm is None:
        sleeve_mm = rule("pair_sleeve_mm")
    _check_lengths(window, spacing, diameter_mm, sleeve_mm)
    edge = math.ceil(sleeve_mm / 2) if edge_mm is None else edge_mm
    window = window.off_ties(edge)
    _check_counts(window, joints, pairs)
    inputs = (
        ("run_mm", window.run_mm),
        ("tails_mm", [window.machine_tail_mm, window.unit_tail_mm]),
        ("joints", joints),
        ("pairs", pairs),
        ("spacing_mm", spacing),
        ("keep_out_mm", [list(barred) for barred in window.keep_out]),
        ("sleeve_mm", sleeve_mm),
    )
    remakes = f"{rule('remakes'):g} more tries of {rule('remake_mm'):g} mm (common practice)"
    assumptions = (
        f"no joint within {edge:g} mm of a tie, its sleeve {sleeve_mm:g} mm long",
        "objective: fewest joints side by side, then the widest spacing in whole mm",
        f"joints share a place or lie at least {spacing:g} mm apart, but for pairs: a "
        "pair's two joints, and the next place, lie one sleeve apart and count as two side by side",
        f"slack for {remakes} where the tails have it",
    )
    groups = plain_groups(joints, pairs, window, diameter_mm, sleeve_mm)
    layout = lay_out(groups, spacing, window.barred)
    if layout is None:
        cure = tuple(_reach_cure(window))
        return Sized(inputs=inputs, assumptions=assumptions, why=_no_place(window), cure=cure)
    results = list(_results(window, layout, groups, spacing))
    if pairs:
        results.append(_origin().value("pair_untwisted", 2 * sleeve_mm, "mm", "two sleeves"))
    results += _cuts(window, layout)
    cautions = [*_cautions(window, layout), *_edge_cautions(edge, sleeve_mm)]
    if pairs:
        cautions += _pair_cautions(window, sleeve_mm)
    return Sized(
        results=tuple(results),
        inputs=inputs,
        assumptions=assumptions,
        cautions=tuple(cautions),
    )


def _check_lengths(window: Window, spacing: float, diameter: float, sleeve: float) -> None:
    most = rule("most_run_mm")
    in_range("the run", window.run_mm, LEAST_RUN_MM, most, unit="mm", source=TOLD)
    for tail in (window.machine_tail_mm, window.unit_tail_mm):
        in_range("a tail", tail, LEAST_TAIL_MM, most, unit="mm", source=TOLD)
    in_range("the spacing", spacing, *SPACINGS_MM, unit="mm", source=TOLD)
    in_range("the joint's diameter", diameter, *DIAMETERS_MM, unit="mm", source=TOLD)
    in_range("the sleeve's length", sleeve, *SLEEVES_MM, unit="mm", source=TOLD)


def _check_counts(window: Window, joints: int, pairs: int) -> None:
    most = rule("most_joints")
    if not 1 <= joints <= most:
        span = f"a whole number from 1 to {most:g} ({TOLD})"
        raise OutOfRange(f"joints must be {span}; got {joints}")
    if not 0 <= 2 * pairs <= joints:
        span = f"from 0 to half the joints ({joints // 2} here)"
        raise OutOfRange(f"pairs must be {span}; got {pairs}")
    for start, end in window.keep_out:
        if not 0 <= start < end:
            span = "from a smaller to a larger mm of the run"
            raise OutOfRange(f"a keep-out must run {span}; got {start:g} to {end:g}")


def _origin() -> Origin:
    return Origin(source_title(FILE, "workshop-texts"), "computed")


def _results(
    window: Window, layout: Layout, groups: tuple[JointGroup, ...], spacing: float
) -> Iterator[Value]:
    origin = _origin()
    stations = float(len(stations_in(window, spacing)))
    span = f"the window from {window.lo:g} to {window.hi:g} mm"
    formula = f"as many as {span} holds at {spacing:g} mm, keep-outs left out"
    yield origin.value("stations", stations, "", formula)
    yield origin.value("abreast", float(layout.abreast), "", "joints / places, rounded up")
    formula = "widest whole mm with as few side by side"
    yield origin.value("spacing", layout.spacing_mm, "mm", formula)
    places = ", ".join(f"{at:g}" for at in layout.stations_mm)
    formula = "packed from the machine's side at that spacing"
    yield origin.value("places", places, "mm from the machine's last tie", formula)
    if layout.lump_mm:
        bundle = Origin("bundle rule", "computed")
        yield bundle.value(
            "lump_diameter", layout.lump_mm, "mm", "bundle of the joints side by side"
        )
    for more in more_tail(groups, window, spacing):
        formula = f"gives {more.stations} places, {more.abreast} side by side"
        yield origin.value(f"more_{more.side}_tail", more.tail_mm, "mm", formula)


def _cuts(window: Window, layout: Layout) -> Iterator[Value]:
    practice = Origin(source_title(FILE, "practice-splices"), "common practice")
    for cut in lengths_to_cut(layout, window):
        slack = f"{cut.slack_mm:g} mm of it slack to make it again"
        formula = f"machine's tail + unit's tail, each from its last tie; {slack}"
        lengths = f"{cut.machine_mm:g} + {cut.unit_mm:g}"
        yield practice.value(f"cut_{cut.name}", lengths, "mm", formula)


def _cautions(window: Window, layout: Layout) -> Iterator[str]:
    if layout.abreast > 1:
        yield f"{layout.abreast} joints lie side by side: the bundle swells there"
    want = remake_slack_mm()
    slack = [cut.slack_mm for cut in lengths_to_cut(layout, window)]
    short = [mm for mm in slack if mm < want - EPS]
    if short:
        joints = f"{len(short)} of {len(slack)} joints"
        less = f"less than {want:g} mm of slack to make it again"
        yield f"{joints} have {less}, the least {min(short):g} mm"


def _edge_cautions(edge: float, sleeve: float) -> Iterator[str]:
    if edge < sleeve / 2:
        under = f"{sleeve:g} mm of sleeve may lie under a tie"
        yield f"kept out only {edge:g} mm from the ties: some of the {under}"


def _pair_cautions(window: Window, sleeve: float) -> Iterator[str]:
    most = figure("judging.toml", "row", "untwisted-mm")
    if 2 * sleeve > most:
        untwisted = f"{2 * sleeve:g} mm of a pair untwisted"
        yield f"two sleeves of {sleeve:g} mm leave {untwisted}, over {most:g} mm"
    if window.hi - window.lo < sleeve:
        short = f"the window is shorter than one sleeve of {sleeve:g} mm"
        yield f"{short}: a pair cannot be staggered in it"


def _no_place(window: Window) -> str:
    if window.lo > window.hi:
        return window.gap_told
    return f"the window from {window.lo:g} to {window.hi:g} mm lies wholly in a keep-out"


def _reach_cure(window: Window) -> Iterator[str]:
    if window.lo > window.hi:
        yield f"peel back {window.lo - window.hi:g} mm more in all"
        longer = "at least 100 mm longer than the gap, and two joints a wire"
        yield f"bridge the gap with a length of new wire, {longer}"
    else:
        yield "peel back more of a tail, so that the window passes the keep-out"
