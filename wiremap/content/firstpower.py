"""The last bench page: first power one deed at a time, what is not proven, what was kept, who signs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from wiremap.content.given import Given
from wiremap.content.joints import closing
from wiremap.content.pieces import Block, Deed, Deeds, Fill, Section, Step, Text, Warning
from wiremap.content.words import NOTE, number, volts_band
from wiremap.ringout.fuses import fuses_out
from wiremap.ringout.gaps import summed

if TYPE_CHECKING:
    from wiremap.firstpower.judge import PowerStep
    from wiremap.ringout.probe import Probe

STAGES = {
    "lock-out": "",
    "lamp": "Fuses out, lamps in their place",
    "load": "The fuses that stay, each feed under a lamp, volts lost: probe on the lamp lead where it enters the contact",
    "in-line": "The in-line unit's own feed, volts lost while the lamp burns, then the unit",
    "mate": "Mate",
    "work": "At work: each output by itself works, and nothing else",
    "sleep": "Asleep",
}


def power_section(given: Given) -> Section:
    """First power, one box a deed or a reading, from left to right."""
    again = {q: _signed(given, q) for q in ("volts", "ohms")}
    blocks: list[Block] = list(_powered(given.power, again["volts"]))
    if blocks:
        first = "Every reading of the ring-out is right. A lamp burns or a reading is wrong: battery off, find it."
        blocks[:0] = [
            Deeds("", (Deed("0", first),)),
            *_parted(given),
            *_closed(given, again["ohms"]),
        ]
    else:
        blocks.append(
            Warning(
                "Block it",
                ("Everything that can move, turn or spray is locked out; nobody is near it.",),
            )
        )
        blocks += [*_closed(given, again["ohms"]), *_plain_power(given)]
    return Section(
        "power",
        "First power",
        "volts at the new face, unmated, black probe on its ground",
        tuple(blocks),
    )


def _signed(given: Given, quantity: str) -> tuple[Deed, ...]:
    """The signatures in volts or ohms as one deed of the order of work: their rows stand in the annex."""
    rows = [
        n
        for n, s in enumerate(given.survey.signatures if given.survey else (), 1)
        if s.quantity == quantity
    ]
    if not rows:
        return ()
    span = f"S{rows[0]} to S{rows[-1]}" if len(rows) > 1 else f"S{rows[0]}"
    return (Deed(span, f"signatures in {quantity}, at the new face (annex): as before the cut"),)


def _closed(given: Given, again: tuple[Deed, ...]) -> list[Block]:
    """What is closed for good, and what is then read again while the battery is still off."""
    deeds = (*closing(given), *again)
    return (
        [Deeds("Battery still off, after the last reading of the ring-out and not before", deeds)]
        if deeds
        else []
    )


def _parted(given: Given) -> list[Block]:
    """Nets that meet outside the harness: each silent while it is parted there, or a touch inside is never seen."""
    deeds = [
        Deed(
            f"r{p.n}",
            f"{_where_parted(given, p)}: {' + '.join(p.red)} – {' + '.join(p.black)}",
            "silent" if p.expect == "silent" else "",
        )
        for p in given.met_outside
    ]
    return (
        [Deeds("Battery still off: part what is named, read, join it again", tuple(deeds))]
        if deeds
        else []
    )


def _where_parted(given: Given, probe: Probe) -> str:
    """What the hand parts outside the harness: the guard, the ring on a stud of the job, else the net itself."""
    harness = given.harness
    circuits = [
        harness.circuit(c) for a in (*probe.red, *probe.black) for c in harness.circuits_at(a)
    ]
    points = [p for c in circuits for a in c.join if (p := harness.points.get(a)) is not None]
    if any(p.cavity is not None and p.cavity.chain for p in points):
        return "guard lifted"
    stud = next((p.address for p in points if p.kind == "stud"), "")
    return f"ring off {stud}" if stud else f"{probe.state.parted} parted outside the harness"


def _powered(steps: tuple[PowerStep, ...], signed: tuple[Deed, ...]) -> Iterator[Block]:
    """The worked-out steps stage by stage: deeds, and the volts of each unmated face with both key positions side by side."""
    stage = ""
    deeds: list[Deed] = []
    volts: list[PowerStep] = []
    before = next((s.n for s in steps if s.quantity == "A" and s.stage == "lamp"), 0)

    def so_far() -> Iterator[Block]:
        if volts:
            yield from _faces(volts)
            if signed:
                yield Deeds("", signed)
        if deeds:
            yield Deeds(STAGES.get(stage, stage), tuple(deeds))

    for step in steps:
        if step.stage != stage:
            yield from so_far()
            stage, deeds, volts = step.stage, [], []
        if step.stage == "volts" and step.red is not None:
            volts.append(step)
        else:
            blank = step.blank
            deeds.append(
                Deed(str(step.n), _do(step), _limits(step, before), 1, int(bool(blank)), blank)
            )
    yield from so_far()


def _faces(steps: list[PowerStep]) -> Iterator[Block]:
    """The unmated faces one after another: contacts that shall show nothing, then those with a band to write in."""
    faces: dict[str, dict[str, list[PowerStep]]] = {}
    for step in steps:
        assert step.red is not None
        faces.setdefault(step.red.partition(".")[0], {}).setdefault(step.red, []).append(step)
    for face, points in faces.items():
        none: list[tuple[str, Deed]] = []
        some: list[Deed] = []
        for point, found in points.items():
            numbers = "/".join(str(s.n) for s in found)
            bands = list(dict.fromkeys(volts_band(s.low, s.high) for s in found))
            if len(bands) == 1 and all(s.high is not None and s.high <= 0.5 for s in found):
                none.append((bands[0], Deed(numbers, point, "", len(found))))
            else:
                some.append(Deed(numbers, point, ", then ".join(bands), len(found), len(found)))
        usual = max((b for b, _ in none), key=[b for b, _ in none].count, default="")
        quiet = [d if b == usual else replace(d, want=b) for b, d in none]
        states = [k for k in dict.fromkeys(s.key for found in points.values() for s in found) if k]
        keys = (
            f"; left boxes key {states[0]}, then right ones key {states[1]}"
            if len(states) == 2
            else ""
        )
        black = next((s.black for found in points.values() for s in found if s.black), "ground")
        words = f"Unmated face of {face}, black probe on {black}{keys}"
        yield Deeds(
            f"{words}{f'; {usual} where no band is said' if usual else ''}", (*quiet, *some)
        )


def _do(step: PowerStep) -> str:
    """The deed in as few words as its line has room for: what its probes and its stage's heading say is not said again."""
    text = step.do
    if step.red and step.black and step.state == "lamp on":
        text = f"{step.black} to {step.red}"
    elif step.red:
        text = text.replace(f", unmated face of {step.red.partition('.')[0]}", "")
    elif step.stage == "work":
        text = text.removesuffix(" alone: it works and nothing else")
    return f"{text[:1].upper()}{text[1:]}"


def _limits(step: PowerStep, before: int) -> str:
    """What a reading outside the unmated faces shall show; without a limit it is only noted, the last beside the one before the work."""
    if not step.blank:
        return ""
    more = f" more than at {before}" if step.stage == "sleep" and before else ""
    if step.high is None:
        return f"{NOTE}: what is{more}, this job draws" if more else NOTE
    if step.blank == "A" or (step.low or 0) <= 0:
        return f"at most {number(step.high)} {step.blank}{more}"
    return (
        f"{step.red}: {volts_band(step.low, step.high)}"
        if step.red and step.red not in step.do
        else volts_band(step.low, step.high)
    )


def _plain_power(given: Given) -> Iterator[Step]:
    """The order that holds for every job, where no reading list was worked out."""
    yield Step("1", "Ring-out done and written down, connector unmated, all fuses of this job out.")
    yield Step(
        "2",
        "A small lamp or a limited feed in place of the upstream fuse. Battery on, key off: the lamp must stay dark.",
    )
    yield Step(
        "3",
        "Volts on every supply contact of the unmated face; every other contact under 0.1 V.",
        ("volts",),
    )
    yield Step(
        "4",
        "Fuses in. A test lamp between each supply and its ground burns fully: a beep alone proves no crimp.",
    )
    yield Step("5", "Key off, fuses out, mate, fuses in, key on.")
    yield Step(
        "6",
        "Sleep current after the bus has gone quiet, against the figure before the work.",
        ("before", "after"),
    )


def sign_section(given: Given) -> Section:
    """What was fitted, what is not proven, what was kept, and who signs."""
    blocks: list[Block] = []
    blocks += list(_fuses(given))
    blocks += list(_unproven(given))
    blocks += _places(given)
    blocks.append(
        Fill(
            (
                "what was kept: cut-off connector, old fuse, papers",
                "deviations from this sheet",
                "meter used, last checked",
            )
        )
    )
    eyes = (
        "second pair of eyes, date",
        *(("cautions of the first page read by them too, date",) if given.cautions else ()),
    )
    blocks.append(Fill(("built by, date", *eyes, "first power by, date")))
    return Section("sign", "Sign-off", "names and dates in ink", tuple(blocks), fresh=False)


def _fuses(given: Given) -> Iterator[Block]:
    """A row for each fuse that first power puts back or fits: which, of what rating, what becomes of the one found."""
    extras = given.harness.job.extras
    for fuse in fuses_out(given.harness, given.sizes):
        feeds = f" for {', '.join(fuse.feeds)}" if fuse.named and not fuse.own else ""
        form = f" {extras[fuse.name].detail}" if fuse.own else ""
        found = f" ({fuse.found_amps:g} A was found; relabel the box)" if fuse.swapped else ""
        yield Step(
            "fuse", f"{fuse.name}{feeds}: {fuse.rating}{form.rstrip()}{found}.", ("fitted", "where")
        )


def _places(given: Given) -> list[Block]:
    """Lines for where things were put that the job does not place: each stud, each T."""
    harness = given.harness
    labels = [
        f"where {x.name} is ({x.kind} {x.detail})".replace(" )", ")")
        for x in harness.job.extras.values()
        if x.kind == "stud"
    ]
    labels += [
        f"where the T on {a} is"
        for j in harness.joints.values()
        if j.tap
        for a in j.points
        if harness.points[a].is_tap
    ]
    return [Fill(tuple(labels[k : k + 3])) for k in range(0, len(labels), 3)]


def _unproven(given: Given) -> Iterator[Block]:
    if given.plan is None:
        return
    told = summed(g for g in given.plan.not_proven if g.kind not in ("hidden", "untested-pairs"))
    pairs = sum(len(g.pairs) for g in given.plan.not_proven if g.kind == "untested-pairs")
    if pairs:
        told.append(f"{pairs} pairs of nets that lie apart were not probed against each other")
    if told:
        yield Text("Not proven by the ring-out", strong=True)
        yield from (Text(f"– {t}.") for t in told)
