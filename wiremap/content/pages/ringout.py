"""The ring-out: what is out and where to probe, then the readings in the order of the plan."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from itertools import groupby

from wiremap.content.filled import rows_rung_out
from wiremap.content.given import Given
from wiremap.content.joint_places import joints_at
from wiremap.content.pieces import Block, Section, TextPiece
from wiremap.content.probe_steps import LIFTED, probe_step, probe_steps
from wiremap.content.proving import grounds_bolted, studs, switches_proven, taps_read
from wiremap.content.ringout_start import ringout_start
from wiremap.content.small_faces import small_faces
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Steps, Want
from wiremap.content.words import listed, signal_words, spaced
from wiremap.evidence.expected import Quantity
from wiremap.graph import Point, Reach
from wiremap.model import CHASSIS, PROBED_FROM
from wiremap.ringout.bunch import bunches
from wiremap.ringout.plan import Method
from wiremap.ringout.probe import Probe
from wiremap.ringout.purpose import last_harmful

TITLES = {
    "harm": "What could do harm: each circuit through, then apart from what it must not touch",
    "through": "Every other circuit through",
    "comb": "Every other circuit: through, then apart from all that are clipped together",
    "apart": "Neighbours apart",
    "band": "Values",
    "clip": "Every clip still bites",
}
NOTHING = "There is nothing to ring out: no circuit of two points is within reach of a probe."
HOW = (
    "Red probe at the name before the dash, black at the one behind it. Touch the probes together "
    "before and after: silence counts only while they beep. A wrong reading: stop, find it."
)
CLIPPED = (
    "A clip hangs alone until its row says that it joins the others on one lead; behind that, how "
    "many then hang there. Two points named before a dash: one after the other."
)
FROM_TIE = "Behind a joint stands its place, in mm from the machine's last tie."


def ringout_section(given: Given) -> Section:
    """The readings in the plan's order; what meets outside the harness is read last."""
    if not given.probes:
        return Section(key="ringout", title="Ring-out", blocks=(TextPiece(NOTHING),))
    blocks: list[Block] = [
        Steps(steps=tuple(ringout_start(given))),
        *small_faces(given, given.new_faces, PROBED_FROM),
        *_readings(given),
        *_parted(given),
        *_mated(given),
    ]
    return Section(
        key="ringout",
        title="Ring-out",
        drawn_from="cavity numbers as moulded",
        blocks=tuple(blocks),
        lead=_lead(given),
        faces_again=True,
    )


def _lead(given: Given) -> str:
    """How the rows are read."""
    clipped = CLIPPED if bunches(given.probes) else ""
    return spaced(_had(given), HOW, clipped, FROM_TIE if given.runs else "")


def _had(given: Given) -> str:
    """That it was rung out already, on a sheet that does not print what was read."""
    if given.filled_in or not given.rung_out.done:
        return ""
    rows, had = len(given.probes), len(rows_rung_out(given))
    left = f" ({rows - had} are left there)" if had < rows else ""
    return (
        f"The notebook has {had} of these {rows} rows, of the harness that was read{left}; of one "
        f"built by this sheet, crimped or opened since, all {rows} are read."
    )


def _readings(given: Given) -> Iterator[Steps]:
    """The readings, a block for each purpose."""
    refused = {a for c in given.job.circuits if given.refused_points(c) for a in c.join}
    last_harm = last_harmful(given.probes)
    growing = given.plan is not None and given.plan.method == Method.CLIPS
    where, clips, loads = joints_at(given), bunches(given.probes), _loads(given)
    others = _behind_fuses(given)

    def purpose(probe: Probe) -> str:
        if probe.n <= last_harm and probe.kind not in ("sentinel", "band"):
            return "harm"
        if growing and (probe.comb or probe.is_through) and probe.kind in ("through", "apart"):
            return "comb"
        return probe.kind

    taken = [
        probe
        for probe in given.probes
        if not probe.state.parted and refused.isdisjoint(probe.red + probe.black)
    ]
    for key, group in groupby(taken, purpose):
        probes = tuple(group)
        steps = probe_steps(probes, where=where, bunch=clips, loads=loads, instead=others)
        title = _sentinel(given, probes) if key == "sentinel" else TITLES.get(key, key)
        yield Steps(title=title, steps=steps)


def _sentinel(given: Given, probes: Iterable[Probe]) -> str:
    """Which plugs the first readings tell of: at a bare joint a wire is known by its flag alone."""
    points = [point for probe in probes for point in (*probe.red, *probe.black)]
    seen = (given.harness.points[p] for p in points if given.harness.reach(p) == Reach.FACE)
    ends = dict.fromkeys(point.owner for point in seen)
    return f"First: was {' or '.join(ends)} read the wrong way round?"


def _behind_fuses(given: Given) -> dict[int, str]:
    """Where a wire is first read against a ground: what else hangs behind its fuse shows there."""
    told: dict[int, list[str]] = {}
    for fuse in () if given.adapter else given.fuses_out:
        fed = {p for address in fuse.feeds for p in given.harness.sections.of(address).points}
        first = next((probe for probe in given.probes if _grounded(given, probe, fed)), None)
        if first is not None and not fuse.own:
            told.setdefault(first.n, []).append(fuse.out)
    words = "some ohms: another load behind {fuses}, unplugged till the battery stop"
    return {n: words.format(fuses=" or ".join(fuses)) for n, fuses in told.items()}


def _grounded(given: Given, probe: Probe, fed: set[str]) -> bool:
    """Whether a silence is asked for between what a fuse feeds and a ground."""
    if str(probe.expect) != Want.SILENT or probe.state.parted:
        return False
    for here, there in ((probe.red, probe.black), (probe.black, probe.red)):
        if fed.intersection(here) and any(_is_ground(given, point) for point in there):
            return True
    return False


def _is_ground(given: Given, address: str) -> bool:
    """Whether the machine's other loads end there."""
    same = given.harness.sections.of(address).points
    return any(given.harness.points[p].function == "power-ground" for p in same)


def _loads(given: Given) -> frozenset[str]:
    """The machine's wires behind which the survey reads a load to ground."""
    rows = given.survey.block(Quantity.OHMS) if given.survey else ()
    return frozenset(
        row.red
        for row in rows
        if row.black == CHASSIS and row.low and row.high is not None and math.isfinite(row.high)
    )


# -- what meets outside ---------------------------------------------------------------------------


def _parted(given: Given) -> Iterator[Block]:
    """A circuit that meets others outside: read parted, then joined and read again."""
    steps = [each.step for each in taps_read(given)]
    if steps and not given.adapter:
        tapped_ends = [end.name for end in given.job.ends.values() if end.is_tap]
        yield from small_faces(given, tapped_ends, PROBED_FROM)
    for probe in given.met_outside:
        steps.append(probe_step(probe, _where_parted(given, probe)))
    for stud in studs(given):
        steps += [each.step for each in grounds_bolted(given, stud)]
    if steps and not given.adapter:
        yield Steps(title="What meets outside the harness", steps=tuple(steps), whole=True)


def _where_parted(given: Given, probe: Probe) -> str:
    """What the hand parts outside the harness: the guard, the ring on a stud, else the circuit."""
    circuits = given.circuits((*probe.red, *probe.black))
    points = [point for circuit in circuits for point in given.points(circuit)]
    if any(p.cavity is not None and p.cavity.chain for p in points):
        return LIFTED
    for point in points:
        if point.is_stud:
            return f"ring off {point.address} once more"
    parted = probe.state.parted
    own = [p for p in points if parted in given.harness.circuits_at(p.address)] or points
    loads = [f"{signal_words(p)} ({p.address})" for p in own if _of_machine(p)]
    if any("ground" in p.function for p in own):
        return f"{listed(*loads)} off its bolt in the machine, then tight again"
    return f"{listed(*loads)} unplugged at its far end, then plugged in again"


def _of_machine(point: Point) -> bool:
    """Whether a point is a wire of the machine's, behind which its load hangs."""
    return point.is_machine


def _mated(given: Given) -> Iterator[Steps]:
    """Switches proven: each half of the bus with the in-line unit mated, battery still off."""
    steps = tuple(each.step for each in switches_proven(given))
    if steps:
        yield Steps(title="The switches proven", steps=steps, whole=True)


PAGE = Page(key="ringout", stage=Stage.RING_OUT, make=ringout_section)
