"""Copies of the demo at each stage of the work, so that every card can be looked at by itself.

    python tests/page_states.py NAME FOLDER

lays the demo at one of them into a new folder, for a person to open.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Iterable
from dataclasses import replace
from itertools import takewhile
from pathlib import Path

from demo_jobs import copied_demo
from ringout_simulator import Copper

from wiremap.content.done import ON_PAPER
from wiremap.content.proving_cards import OF as PROVING
from wiremap.content.proving_cards import deed_of
from wiremap.content.sleeve_cards import OF as CLOSED
from wiremap.content.sleeve_cards import closings_left
from wiremap.content.start_cards import start_card
from wiremap.content.survey_deeds import PULLED, deeds_left
from wiremap.evidence.opened import OpenJob, open_job, save
from wiremap.firstpower.plan import power_plan
from wiremap.firstpower.step import PowerStep
from wiremap.model import OPEN, Address, Entry, EntryKind, Span, Stop
from wiremap.page.moment import Moment, WorkedOut
from wiremap.ringout.plan import plan
from wiremap.survey.later import LaterReading

CARDS = {
    "home": "/",
    "findings": "/findings",
    "questions": "/questions",
    "lock out": "/survey?at=8",
    "survey": "/survey",
    "survey list": "/survey?at=all",
    "fuse": "/survey",
    "plugs": "/survey",
    "deeds": "/joints",
    "cut stop": "/joints",
    "colours": "/joints",
    "difference": "/joints",
    "joint": "/joints",
    "bus": "/joints",
    "switch": "/joints",
    "owed": "/ringout",
    "bench": "/ringout",
    "start": "/ringout",
    "ring-out": "/ringout",
    "disagrees": "/ringout",
    "mended": "/ringout?at=mended",
    "bolted": "/sleeves",
    "switches proven": "/sleeves",
    "sleeves": "/sleeves",
    "again": "/again",
    "as before": "/again",
    "power": "/power",
    "volts": "/power",
    "table": "/table",
    "print": "/print",
}


JOINTS = ("cut stop", "colours", "difference", "joint", "bus", "switch")
CLOSED_UP = ("again", "as before", "power", "volts")
PASSED = ("bolted", "switches proven", "sleeves", *CLOSED_UP)
RUNG = ("bench", "start", "ring-out", "disagrees", *PASSED)


def done(what: str, points: tuple[str, ...] = ()) -> Entry:
    """A deed as an entry."""
    return Entry(kind=EntryKind.DONE, what=what, points=points, by="RK", date="2026-03-05")


def stop(which: Stop) -> Entry:
    """A stop that two people passed."""
    return Entry(kind=EntryKind.STOP_PASSED, stop=which, second="AM", by="RK", date="2026-03-05")


def keep(job: Path, entries: Iterable[Entry]) -> None:
    """Append entries to a job's notebook."""
    assert save(opened(job), tuple(entries)) is None


def opened(job: Path) -> OpenJob:
    """The job with its notebook."""
    found, findings = open_job(str(job))
    assert found is not None, findings
    return found


def rung_out(
    job: Path, *, wrong: tuple[str, str] | None = None, most: int = 1000, second: bool = False
) -> list[Entry]:
    """What the meter shows at every planned probe of the harness as built."""
    given = opened(job)
    copper = Copper(given.job, machine=True)
    if wrong is not None:
        copper.exchange(*wrong)
    made = plan(given.harness)
    probes = made.second if second else made.probes[:most]
    return [replace(copper.answer(probe), state=str(probe.state) or None) for probe in probes]


def until_wrong(job: Path) -> Iterable[Entry]:
    """The readings of a crossed bus, up to the first that is not as it is drawn."""
    sound, crossed = rung_out(job), rung_out(job, wrong=("donor.8", "donor.9"))
    for right, read in zip(sound, crossed, strict=True):
        yield read
        if right != read:
            return


def at(name: str, folder: Path) -> Path:
    """The demo at the state in which a card shows; gives the job file."""
    job = copied_demo(folder)
    if name == "findings":
        strike_line(job.with_name("notebook.yaml"), "rule: sleeves-overlap")
    if name == "bench":
        strike_line(job.with_name("notebook.yaml"), "about: equipment")
        strike_line(job.with_name("notebook.yaml"), "about: beeper")
    if name == "questions":
        replace_in(job, "ambient_C: 60, ", "")
    keep(job, tuple(before(name, job)))
    return job


def before(name: str, job: Path) -> Iterable[Entry]:
    """What was kept before a card shows."""
    now = Moment(opened(job), WorkedOut(opened(job), "near"))
    if name in ("survey", "survey list", "fuse", "plugs"):
        for deed in now.worked.survey.lock_out:
            yield Entry(
                kind=EntryKind.DONE,
                what=f"locked out before the ignition is on: {deed}",
                by="RK",
                date=now.today,
            )
    if name in ("survey", "survey list", "fuse"):
        deeds = deeds_left(now.worked.given, ())
        yield from (done(f"{each.under}: {each.deed}") for each in deeds.before)
    if name == "fuse":
        yield from surveyed(job)
        switched = takewhile(lambda each: each.under != PULLED, deeds.between)
        yield from (done(f"{each.under}: {each.deed}") for each in switched)
    if name in ("fuse", *JOINTS):
        yield from (
            done(f"{now.worked.tasks[0].name}: {deed}") for deed in now.worked.tasks[0].deeds
        )
    if name in JOINTS and name != "cut stop":
        yield stop(Stop.CUT)
        yield from surveyed(job)
    if name in ("difference", "joint", "bus", "switch"):
        yield from at_the_joints(name, now)
    if name in RUNG:
        yield done(ON_PAPER)
    if name in RUNG and name != "start":
        yield from begun(job)
    if name == "disagrees":
        yield from until_wrong(job)
    if name in PASSED:
        yield from rung_out(job)
    if name in PASSED:
        yield from proven(job, most={"bolted": 2, "switches proven": 5}.get(name, 100))
    if name in CLOSED_UP:
        yield stop(Stop.SLEEVES)
        yield from closed(job)
    if name in CLOSED_UP and name != "again":
        yield from rung_out(job, second=True)
    if name in ("power", "volts"):
        yield from later(now.worked.again)
    if name == "volts":
        yield stop(Stop.BATTERY)
        steps = [
            step for step in power_plan(now.opened.harness) if step.stage in ("lock-out", "lamp")
        ]
        for step in steps:
            if step.quantity:
                yield power(step)
            else:
                yield done(f"first power: {step.n}. {step.do}")


def at_the_joints(name: str, now: Moment) -> Iterable[Entry]:
    """The first half of the bus, as far as a card needs it."""
    bus, *_ = [task for task in now.worked.tasks if task.bus is not None]
    for tail in bus.tails:
        colour = now.opened.harness.points[tail].cavity.wire.colour.canonical
        yield done(f"colour as found: {'pink' if name == 'difference' else colour}", (tail,))
    if name != "difference":
        yield from (done(f"{bus.name}: {deed}") for deed in bus.deeds)
    if name in ("joint", "switch"):
        yield from later([bus.bus.alone])
    if name == "joint":
        yield Entry(
            kind=EntryKind.ANSWER, about="gateway.TA", answer="on", by="RK", date="2026-03-05"
        )


def begun(job: Path) -> Iterable[Entry]:
    """What is ticked before the first probe."""
    card = start_card(WorkedOut(opened(job), "near").start, ())
    assert card is not None
    return [done(f"{ask.of.under}: {ask.of.deed}") for ask in card.asks]


def proven(job: Path, most: int) -> Iterable[Entry]:
    """Deeds and readings between the ring-out and the sleeves."""
    for each in WorkedOut(opened(job), None).proving[:most]:
        if each.reading is None:
            yield done(f"{PROVING}: {deed_of(each)}")
        else:
            yield from later([each.reading])


def later(readings: Iterable[LaterReading]) -> Iterable[Entry]:
    """Ohms in the middle of each band."""
    for each in readings:
        ohms = middle(each.low, each.high)
        yield Entry(
            kind=EntryKind.SURVEY,
            red=(Address.read(each.red),),
            black=(Address.read(each.black),),
            state=each.state,
            volts=0.0,
            ohms=shown(ohms),
            by="RK",
            date="2026-03-05",
        )


def middle(low: float | None, high: float | None) -> float:
    """A figure in a band; beyond its foot where it has no top."""
    low = low or 0.0
    high = low if high is None else high
    return low * 2 if high == math.inf else (low + high) / 2


def surveyed(job: Path) -> Iterable[Entry]:
    """A reading in the middle of its band for every row of the survey."""
    for row in WorkedOut(opened(job), "near").survey.rows:
        figure = middle(row.low, row.high)
        volts = figure if row.block == "volts" else 0.0
        yield Entry(
            kind=EntryKind.SURVEY,
            red=(row.red,),
            black=(row.black,),
            volts=volts,
            ohms=None if row.block == "volts" else shown(figure),
            key=row.key,
            state=row.state,
            by="RK",
            date="2026-03-05",
        )


def shown(ohms: float) -> Span:
    """What a display shows of some ohms."""
    return OPEN if math.isinf(ohms) else Span.of(ohms)


def closed(job: Path) -> Iterable[Entry]:
    """Every deed of closing."""
    given = WorkedOut(opened(job), "near").given
    return [done(f"{CLOSED}: {deed}") for deed in closings_left(given, ())]


def power(step: PowerStep) -> Entry:
    """A figure at a step of first power."""
    return Entry(
        kind=EntryKind.POWER,
        red=(step.red,),
        black=(step.black,),
        key=step.key,
        state=step.state,
        amps=0.35,
        by="RK",
        date="2026-03-05",
    )


def strike_line(path: Path, containing: str) -> None:
    """Take a line out of a file."""
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    path.write_text("".join(line for line in lines if containing not in line), encoding="utf-8")


def replace_in(path: Path, old: str, new: str) -> None:
    """Change a file by hand."""
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


COLOURS = ("BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH")
FIRST = (
    "{signal: Permanent supply, function: permanent-supply, volts: 12, amps: 3, flow: to-unit, wire: 1.0 RD}",
    "{signal: Ground, function: power-ground, volts: 0, amps: 3, wire: 1.0 BN}",
    "{signal: Sensor supply 5 V, function: sensor-supply, volts: 5, amps: 0.05, flow: from-unit, wire: 0.5 PK}",
    "{signal: Sensor return, function: sensor-return, volts: 0, amps: 0.05, wire: 0.5 WH}",
)
KINDS = (
    "signal: Level {n}, function: analogue-input, volts: 5, flow: to-unit",
    "signal: Switch {n}, function: digital-input, volts: 12, flow: to-unit",
    "signal: Valve {n}, function: high-side-drive, volts: 12, amps: 0.3, flow: from-unit",
)


def wide(folder: Path, count: int) -> Path:
    """A splice of so many cavities on as many, straight through, its papers whole."""
    folder.mkdir()
    wires = [f"{one}/{two}" for one in COLOURS for two in COLOURS if one != two]
    rows = [*FIRST]
    for n in range(5, count + 1):
        kind = KINDS[n % 3].format(n=n)
        rows.append(f"{{{kind}, wire: 0.5 {wires[n % len(wires)]}}}")
    half = (count + 1) // 2
    face = [list(range(1, half + 1)), list(range(half + 1, count + 1))]
    for name in ("loom", "unit"):
        head = f"wiremap: pinout/1\ntitle: {name}\nletters: iec\nhalf: wired\n"
        head += f"connector: {{shell: {count}-way, contacts: socket, face: {{view: mating, key: top, rows: {face}}}}}\n"
        cavities = "".join(f"  {n}: {row}\n" for n, row in enumerate(rows, 1))
        text = f"{head}source: {{name: A drawing, basis: document}}\ncavities:\n{cavities}"
        if name == "loom":
            text += "behind:\n  - {between: [2, chassis], ohms: 0.2}\n"
            loads = {
                0: "{{between: [{n}, 4], ohms: 1000}}",
                2: "{{between: [{n}, chassis], ohms: 45}}",
            }
            kinds = [(n, loads[n % 3]) for n in range(5, count + 1) if n % 3 in loads]
            text += "".join(f"  - {load.format(n=n)}\n" for n, load in kinds)
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    joins = "".join(
        f"  - {{id: c{n}, join: [loom.{n}, unit.{n}], joint: butt-crimp}}\n"
        for n in range(1, count + 1)
    )
    job = folder / "job.yaml"
    job.write_text(
        f"wiremap: job/1\ntitle: {count} straight through\nid: wide\nrevision: 1\n"
        "supply: {volts: 12, min_volts: 9, max_volts: 15}\n"
        "surroundings: {ambient_C: 40, wet: false, moves: none, bundle: 8}\n"
        "ends:\n"
        "  loom: {pinout: loom.yaml, is: cut-tail, side: machine, tail_mm: 400, "
        "fed: {1: {fuse: F7, fuse_amps: 5, milliohm: 30, length_mm: 4000}}}\n"
        "  unit: {pinout: unit.yaml, is: pigtail, side: unit, tail_mm: 400}\n"
        f"runs: [{{between: [loom, unit], mm: 600}}]\ncircuits:\n{joins}"
        "readings: [notebook.yaml]\n",
        encoding="utf-8",
    )
    return job


if __name__ == "__main__":
    name, folder = sys.argv[1:]
    print(f"{at(name, Path(folder))} at {CARDS[name]}")
