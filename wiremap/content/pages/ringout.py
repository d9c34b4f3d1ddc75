"""The ring-out: what is out and where to probe, then the readings in the order of the plan."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from wiremap.content.bus import bus_halves, mated_reading
from wiremap.content.given import Given
from wiremap.content.pieces import Block, Section, TextPiece
from wiremap.content.probe_steps import probe_step, probe_steps
from wiremap.content.small_faces import small_faces
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.words import listed, ohms_band, sentence_case
from wiremap.evidence.probe_points import ADAPTER, kind_of
from wiremap.model import CHASSIS, LookedAt
from wiremap.ringout.before_start import probed, taken_out, told_out
from wiremap.ringout.probe import Probe
from wiremap.ringout.purpose import last_harmful

MOST_HOLES = 6  # cavities named in a sentence of a full page
BOLTED_OHMS = 1.0  # at most, from a ground contact to the frame it is bolted to
TITLES = {
    "sentinel": "First: was a plug read the wrong way round?",
    "harm": "What could do harm: each circuit through, then apart from what it must not touch",
    "through": "Every other circuit through",
    "apart": "Neighbours apart",
    "band": "Values",
    "clip": "Every clip still bites",
}
NOTHING = "There is nothing to ring out: no circuit of two points is within reach of a probe."
HOW = (
    "Red probe at the name before the dash, black at the one behind it. Touch the probes together "
    "before and after: silence counts only while they beep. A wrong reading: stop, find it."
)


def ringout_section(given: Given) -> Section:
    """The readings in the plan's order; what meets outside the harness is read last."""
    if not given.probes:
        return Section(key="ringout", title="Ring-out", blocks=(TextPiece(NOTHING),))
    blocks: list[Block] = [
        Steps(steps=tuple(_before(given))),
        *small_faces(given, given.new_faces, LookedAt.MATING),
        *_readings(given),
        *_parted(given),
        *_mated(given),
    ]
    return Section(
        key="ringout",
        title="Ring-out",
        drawn_from="cavity numbers as moulded",
        blocks=tuple(blocks),
        lead=HOW,
    )


def _readings(given: Given) -> Iterator[Steps]:
    """The readings, a block for each purpose."""
    refused = {a for c in given.job.circuits if given.refused_points(c) for a in c.join}
    last_harm = last_harmful(given.probes)

    def purpose(probe: Probe) -> str:
        if probe.n <= last_harm and probe.kind not in ("sentinel", "band"):
            return "harm"
        return probe.kind

    taken = [
        probe
        for probe in given.probes
        if not probe.state.parted and refused.isdisjoint(probe.red + probe.black)
    ]
    for key, group in groupby(taken, purpose):
        yield Steps(title=TITLES.get(key, key), steps=probe_steps(group))


def _before(given: Given) -> Iterator[Step]:
    """What is out before the first probe, and where each name is probed."""
    kind = kind_of(given.harness)
    first = (
        "Battery off, minus first; control units unplugged; sensors, valves and terminators left "
        "connected"
    )
    if kind == ADAPTER:
        first = "On the bench, nothing connected"
    out = told_out(taken_out(given.harness, kind, given.sizes))
    yield Step(text=f"{first}; out: {out}." if out else f"{first}.", note=_still_open(given))
    if kind != ADAPTER:
        for stud in _studs(given):
            words = "ring on its stud, bare metal, nut tight by hand: bolted for good further down"
            yield Step(at=stud, text=words)
    places = probed(given.harness, kind)
    told = [f"{listed(*names)}: {where}." for where, names in places.items()]
    told.append("No bare probe into a socket contact: a mating contact that fits.")
    yield Step(text=sentence_case(" ".join(told)), slot=Slot.NONE)


def _still_open(given: Given) -> str:
    """What is closed only after the last reading: the sleeves, the cavities that get a plug."""
    holes = [a for a, left in given.job.not_joined.items() if left.treat == "blank"]
    told = "No sleeve is shrunk yet" if given.harness.joints else ""
    if 0 < len(holes) <= MOST_HOLES:
        told = listed(told, f"no plug in {listed(*holes)}")
    elif holes:
        told = listed(told, "no blanking plug in")
    return f"{sentence_case(told)}." if told else ""


# -- what meets outside ---------------------------------------------------------------------------


def _parted(given: Given) -> Iterator[Steps]:
    """A circuit that meets others outside: read parted, then joined and read again."""
    steps: list[Step] = []
    for probe in given.met_outside:
        steps.append(probe_step(probe, _where_parted(given, probe)))
    for stud in _studs(given):
        steps += _bolted(given, stud)
    if steps and not given.adapter:
        yield Steps(title="What meets outside the harness", steps=tuple(steps), whole=True)


def _studs(given: Given) -> list[str]:
    """The studs that the job grounds something at."""
    studs = [extra.name for extra in given.job.extras.values() if extra.kind == "stud"]
    return [name for name in studs if given.harness.circuits_at(name)]


def _where_parted(given: Given, probe: Probe) -> str:
    """What the hand parts outside the harness: the guard, the ring on a stud, else the circuit."""
    circuits = given.circuits((*probe.red, *probe.black))
    points = [point for circuit in circuits for point in given.points(circuit)]
    if any(p.cavity is not None and p.cavity.chain for p in points):
        return "guard lifted"
    for point in points:
        if point.kind == "stud":
            return f"ring off {point.address} once more"
    return f"{probe.state.parted} parted outside the harness"


def _bolted(given: Given, stud: str) -> Iterator[Step]:
    """A ground that is bolted now, and read against the machine."""
    for circuit in given.circuits([stud]):
        for point in given.points(circuit):
            if point.cavity is None:
                continue
            yield Step(at=stud, text="ring bolted for good, bare metal, a place of its own")
            yield Step(
                at=f"{point.address} – {CHASSIS}",
                text="bolted",
                want=ohms_band(0.0, BOLTED_OHMS),
                slot=Slot.BLANK,
                unit="Ω",
                reading=True,
            )


# -- the bus with its unit mated ------------------------------------------------------------------


def _mated(given: Given) -> Iterator[Steps]:
    """Switches proven: each half of the bus with the in-line unit mated, battery still off."""
    halves = [half for half in bus_halves(given) if half.unit]
    units = list(dict.fromkeys(half.unit for half in halves))
    if not units:
        return
    steps = [Step(at=listed(*units), text="mated for these readings, battery and fuses still out")]
    steps += [mated_reading(half) for half in halves]
    steps.append(Step(at=listed(*units), text="unmated again"))
    yield Steps(title="The switches proven", steps=tuple(steps), whole=True)


PAGE = Page(key="ringout", stage=Stage.RING_OUT, make=ringout_section)
