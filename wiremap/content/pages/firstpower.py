"""First power, one deed at a time."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from wiremap.content.given import Given
from wiremap.content.joint_work import closing
from wiremap.content.pieces import Block, Deed, Deeds, Section, Step, Warning
from wiremap.content.stages import Page, Stage
from wiremap.content.words import NOTE, number, sentence_case, volts_band
from wiremap.firstpower.step import PowerStep
from wiremap.model import Address
from wiremap.ringout.probe import Probe

STAGES = {
    "lock-out": "",
    "lamp": "Fuses out, lamps in their place",
    "load": "The fuses that stay, each feed under a lamp, volts lost: probe on the lamp lead where "
    "it enters the contact",
    "in-line": "The in-line unit's own feed, volts lost while the lamp burns, then the unit",
    "mate": "Mate",
    "work": "At work: each output by itself works, and nothing else",
    "sleep": "Asleep",
}
FIRST = (
    "Every reading of the ring-out is right. A lamp burns or a reading is wrong: battery off, find "
    "it."
)
BLOCK_IT = "Everything that can move, turn or spray is locked out; nobody is near it."
CLOSE = "Battery still off, after the last reading of the ring-out and not before"
PART = "Battery still off: part what is named, read, join it again"
QUIET_VOLTS = 0.5  # a contact of which no more is expected shall show nothing


def power_section(given: Given) -> Section:
    """First power, one box a deed or a reading, from left to right."""
    closed = _deeds(CLOSE, [*closing(given), *_signatures(given, "ohms")])
    blocks: list[Block]
    if given.power:
        first = Deeds("", (Deed(n="0", text=FIRST),))
        parted = _deeds(PART, [_parted(given, probe) for probe in given.met_outside])
        blocks = [first, *parted, *closed, *_powered(given)]
    else:
        blocks = [Warning("Block it", (BLOCK_IT,)), *closed, *_plain_power()]
    return Section(
        key="power",
        title="First power",
        drawn_from="volts at the new face, unmated, black probe on its ground",
        blocks=tuple(blocks),
    )


def _deeds(title: str, deeds: Sequence[Deed]) -> list[Deeds]:
    """Deeds under their heading, or nothing where there are none."""
    return [Deeds(title, tuple(deeds))] if deeds else []


def _signatures(given: Given, quantity: str) -> list[Deed]:
    """The signatures in volts or ohms as one deed: their rows stand in the annex."""
    signatures = given.survey.as_before if given.survey else ()
    rows = [f"S{n}" for n, s in enumerate(signatures, 1) if s.quantity == quantity]
    if not rows:
        return []
    span = rows[0] if len(rows) == 1 else f"{rows[0]} to {rows[-1]}"
    text = f"{quantity} at the new face (annex): as before the cut"
    return [Deed(n=span, text=text)]


def _parted(given: Given, probe: Probe) -> Deed:
    """A net that meets outside the harness: silent while parted, or a touch inside is not seen."""
    probes = f"{' + '.join(probe.red)} – {' + '.join(probe.black)}"
    return Deed(
        n=f"r{probe.n}",
        text=f"{_where_parted(given, probe)}: {probes}",
        want="silent" if probe.expect == "silent" else "",
    )


def _where_parted(given: Given, probe: Probe) -> str:
    """What the hand parts outside the harness: the guard, the ring on a stud, else the net."""
    circuits = given.circuits((*probe.red, *probe.black))
    points = [point for circuit in circuits for point in given.points(circuit)]
    if any(p.cavity is not None and p.cavity.chain for p in points):
        return "guard lifted"
    for point in points:
        if point.kind == "stud":
            return f"ring off {point.address}"
    return f"{probe.state.parted} parted outside the harness"


def _powered(given: Given) -> Iterator[Block]:
    """The worked-out steps stage by stage: deeds, and the volts of each unmated face."""
    draws = [s.n for s in given.power if s.quantity == "A" and s.stage == "lamp"]
    before = draws[0] if draws else 0
    for stage, group in groupby(given.power, lambda step: step.stage):
        steps = list(group)
        volts = [s for s in steps if stage == "volts" and s.red is not None]
        deeds = [_deed(s, before) for s in steps if s not in volts]
        if volts:
            yield from _faces(volts)
            yield from _deeds("", _signatures(given, "volts"))
        yield from _deeds(STAGES.get(stage, stage), deeds)


def _deed(step: PowerStep, before: int) -> Deed:
    return Deed(
        n=str(step.n),
        text=_do(step),
        want=_limits(step, before),
        blanks=int(bool(step.blank)),
        unit=step.blank,
    )


def _faces(steps: Sequence[PowerStep]) -> Iterator[Block]:
    """The unmated faces: contacts that shall show nothing, then those with a band to write in."""
    faces: dict[str, dict[str, list[PowerStep]]] = {}
    for step in steps:
        point = Address.read(step.red or "")
        faces.setdefault(point.end, {}).setdefault(point, []).append(step)
    for face, points in faces.items():
        yield _face(face, points)


def _face(face: str, points: dict[str, list[PowerStep]]) -> Deeds:
    """One unmated face, both positions of the ignition key side by side."""
    silent: list[Deed] = []
    alive: list[Deed] = []
    for point, found in points.items():
        count = len(found)
        numbers = "/".join(str(step.n) for step in found)
        bands = list(dict.fromkeys(volts_band(step.low, step.high) for step in found))
        deed = Deed(n=numbers, text=point, want=", then ".join(bands), boxes=count)
        if len(bands) == 1 and all(_shall_be_dead(step) for step in found):
            silent.append(deed)
        else:
            alive.append(replace(deed, blanks=count))
    steps = [step for found in points.values() for step in found]
    black = next((step.black for step in steps if step.black), "ground")
    title = f"Unmated face of {face}, black probe on {black}"
    keys = list(dict.fromkeys(step.key for step in steps if step.key))
    if len(keys) == 2:
        title += f"; left boxes ignition {keys[0]}, then right ones ignition {keys[1]}"
    if silent:
        usual, _ = Counter(deed.want for deed in silent).most_common(1)[0]
        title += f"; {usual} where no band is said"
        silent = [replace(deed, want="") if deed.want == usual else deed for deed in silent]
    return Deeds(title, (*silent, *alive))


def _shall_be_dead(step: PowerStep) -> bool:
    return step.high is not None and step.high <= QUIET_VOLTS


def _do(step: PowerStep) -> str:
    """The deed in few words: what its probes and its stage's heading say is not said again."""
    text = step.do
    if step.red and step.black and step.state == "lamp on":
        text = f"{step.black} to {step.red}"
    elif step.red:
        text = text.replace(f", unmated face of {Address.read(step.red).end}", "")
    elif step.stage == "work":
        text = text.removesuffix(" alone: it works and nothing else")
    return sentence_case(text)


def _limits(step: PowerStep, before: int) -> str:
    """What a reading outside the unmated faces shall show; without a limit it is only noted."""
    if not step.blank:
        return ""
    more = f" more than at {before}" if step.stage == "sleep" and before else ""
    if step.high is None:
        return f"{NOTE}: what is{more}, this job draws" if more else NOTE
    if step.blank == "A" or (step.low or 0) <= 0:
        return f"at most {number(step.high)} {step.blank}{more}"
    band = volts_band(step.low, step.high)
    if step.red and step.red not in step.do:
        return f"{step.red}: {band}"
    return band


def _plain_power() -> tuple[Step, ...]:
    """The order that holds for every job, where no reading list was worked out."""
    return (
        Step("1", "Ring-out done and written down, connector unmated, all fuses of this job out."),
        Step(
            "2",
            "A small lamp or a limited feed in place of the upstream fuse. Battery on, ignition "
            "off: the lamp must stay dark.",
        ),
        Step(
            "3",
            "Volts on every supply contact of the unmated face; every other contact under 0.1 V.",
            ("volts",),
        ),
        Step(
            "4",
            "Fuses in. A test lamp between each supply and its ground burns fully: a beep alone "
            "proves no crimp.",
        ),
        Step("5", "Ignition off, fuses out, mate, fuses in, ignition on."),
        Step(
            "6",
            "Sleep current after the bus has gone quiet, against the figure before the work.",
            ("before", "after"),
        ),
    )


PAGE = Page(key="power", stage=Stage.POWER, make=power_section)
