"""A worse, older or missing statement never takes a finding away.

Every statement that the table of `worse.py` knows is made worse, one at a time, in the demo, in the small
jobs and in random ones.  Each finding that spoke before is kept (the same family about the same subject, at
no less weight), or its subject is told as not judged; the verdict never improves.
"""

from __future__ import annotations

import random
from functools import cache, lru_cache
from pathlib import Path
from tempfile import mkdtemp

import pytest
from demo_jobs import DEMO
from pair_jobs import serial, trailer
from test_small_jobs import FILES, read
from worse import BLADES, JOB, SECTIONS, TABLE, Change, Row, Texts, changed, changes, written

from wiremap.base import Finding, Severity
from wiremap.check import Checked, PaperVerdict, check
from wiremap.rules import FAMILIES, load

PAPERS = ("series1-loom", "series2-donor", "gateway", "socket16", "notebook")
SEED = 20260302
PUBLISHED = {"trailer": trailer, "serial": serial}
RANDOM_JOBS = 24
FEW, MANY = 5, 100  # changes that are tried of each row of the table


def texts_of(folder: Path, *names: str) -> Texts:
    """Files of a folder by their names."""
    return {name: (folder / name).read_text(encoding="utf-8") for name in names}


def random_job(rng: random.Random) -> Texts:
    """Three wires between a loom and a unit, with figures drawn at random: sound ones and others."""
    volts = rng.choice((12, 24))
    amps = rng.choice((0.2, 1, 3, 6, 12))
    old, new = rng.choice(SECTIONS), rng.choice(SECTIONS)
    fuse, found = rng.choice(BLADES), rng.choice((5, 20, 80, 400))
    way = rng.choice((200, 2000, 9000, 40000))
    around = f"ambient_C: {rng.choice((20, 40, 60, 80))}, bundle: {rng.choice((1, 3, 7, 20))}"
    basis = rng.choice(("measured", "document"))

    def pinout(title: str, size: str, colour: str, drive: float, known: str) -> str:
        return (
            f"wiremap: pinout/1\ntitle: {title}\nletters: iec\n"
            f"source: {{name: drawn at random, basis: {known}}}\n"
            f"connector: {{shell: plug, contacts: socket, accepts: {{csa_mm2: [0.35, 2.5], "
            f"insulation_mm: [1.2, 3], amps: {rng.choice((4, 8, 20))}}}}}\ncavities:\n"
            f"  1: {{signal: Supply, function: permanent-supply, wire: {size} RD/{colour}, "
            f"volts: {volts}, amps: {amps}, flow: to-unit}}\n"
            f"  2: {{signal: Ground, function: power-ground, wire: {size} BN/{colour}, volts: 0, "
            f"amps: {amps}}}\n"
            f"  3: {{signal: Pump, function: high-side-drive, wire: {size} GN/{colour}, "
            f"volts: {volts}, amps: {drive}, flow: from-unit, clamp: diode}}\n"
        )

    job = (
        f"wiremap: job/1\ntitle: drawn at random\nsupply: {{volts: {volts}}}\n"
        f"surroundings: {{{around}, wet: false, moves: none}}\nends:\n"
        "  loom: {pinout: loom.yaml, is: cut-tail, side: machine, tail_mm: 300, limit_C: 105, fed: {1: "
        f"{{fuse: F1, fuse_amps: {fuse}, milliohm: {found}, length_mm: {way}}}}}}}\n"
        "  unit: {pinout: unit.yaml, is: pigtail, side: unit, tail_mm: 300}\ncircuits:\n"
        "  - {id: plus, join: [loom.1, unit.1], joint: butt-crimp}\n"
        "  - {id: minus, join: [loom.2, unit.2], joint: butt-crimp}\n"
        "  - {id: pump, join: [loom.3, unit.3], joint: butt-crimp}\n"
    )
    loom = pinout("loom", old, "WH", rng.choice((0.5, 2, 5)), basis)
    unit = pinout("unit", new, "BK", rng.choice((1, 3, 6)), "document")
    return {JOB: job, "loom.yaml": loom, "unit.yaml": unit}


@lru_cache(maxsize=1)
def jobs() -> dict[str, Texts]:
    """The demo, the published pairs, the small jobs, and some drawn at random."""
    rng = random.Random(SEED)
    found = {path.stem: read(path).files for path in FILES}
    found["demo"] = texts_of(DEMO, JOB, *(f"{name}.yaml" for name in PAPERS))
    for name, make in PUBLISHED.items():
        path = make(Path(mkdtemp()) / name)
        found[name] = texts_of(path.parent, *(file.name for file in path.parent.glob("*.yaml")))
    for n in range(RANDOM_JOBS):
        found[f"random-{n}"] = random_job(rng)
    return found


@lru_cache(maxsize=1)
def every_change() -> dict[Row, list[tuple[str, Change]]]:
    """The changes of each row of the table, in all jobs."""
    found: dict[Row, list[tuple[str, Change]]] = {row: [] for row in TABLE}
    for name, texts in jobs().items():
        for change in changes(texts):
            found[change.row].append((name, change))
    return found


@cache
def first_look(name: str) -> Checked:
    """A job as it is, checked."""
    return looked_at(jobs()[name], Path(mkdtemp()))


def looked_at(texts: Texts, folder: Path) -> Checked:
    """The job, checked."""
    report = check([written(texts, folder)])
    return report.jobs[0]


def family(finding: Finding) -> str:
    rule = load().get(finding.rule)
    return rule.family if rule else finding.rule


def about(job: Checked, subject: tuple[str, ...]) -> set[str]:
    """What a subject speaks of: its own words, the points of its circuits, the circuits of its points."""
    found = set(subject)
    for circuit in job.job.circuits if job.job else ():
        if circuit.id in subject or not found.isdisjoint(circuit.join):
            found |= {circuit.id, *circuit.join}
    return found


def kept(before: Checked, finding: Finding, after: Checked) -> bool:
    """Whether a finding still stands after the change, or its subject is told as not judged."""
    mine = about(before, finding.subject)
    for other in after.findings:
        shared = not mine.isdisjoint(about(after, other.subject))
        shared = shared or not finding.subject or not other.subject
        weight = other.severity.rank <= finding.severity.rank
        if shared and weight and family(other) == family(finding):
            return True
        if shared and family(other) == "judged":
            return True
    told = [about(after, entry.subject) for entry in after.not_judged]
    return any(not mine.isdisjoint(subjects) for subjects in told)


def lost(before: Checked, after: Checked, row: Row) -> list[str]:
    """What a change for the worse took away."""
    if after.job is None:  # what can no longer be read holds
        return []
    found = []
    released = before.verdict == PaperVerdict.HOLD and after.verdict != PaperVerdict.HOLD
    if released and not row.counted and not _only_empty(before, row):
        found.append(f"{before.verdict} became {after.verdict}")
    for finding in before.findings:
        if finding.severity is Severity.NOTE or finding.rule in row.empty:
            continue
        if not kept(before, finding, after):
            found.append(f"{finding.severity.value} {finding.rule} {finding.subject} is gone")
    return found


def _only_empty(before: Checked, row: Row) -> bool:
    """Whether all that held is better off by this change, as the table says."""
    return all(f.rule in row.empty for f in before.findings if f.holds)


def test_the_table_names_rules_and_reasons() -> None:
    """Every empty cell names a rule of the book and gives its reason; a row without a cell is no row."""
    known = load()
    for row in TABLE:
        assert [rule for rule in row.empty if rule not in known] == []
        assert all(len(reason) > 10 for reason in row.empty.values())
        families = {known[rule].family for rule in row.empty}
        assert families < set(FAMILIES), row.field
    counted = ["all that a contact accepts", "ohms inside", "ohms behind", "rating of a contact"]
    counted += ["alternating volts", "further claim"]
    assert sorted(counted) == sorted(row.field for row in TABLE if row.counted)


def test_every_row_finds_something_to_make_worse() -> None:
    """No row of the table points at nothing: the jobs state each kind of figure."""
    bare = [f"{row.field} {row.direction}" for row, found in every_change().items() if not found]
    assert bare == []


def gone(row: Row, count: int, folder: Path) -> list[str]:
    """What some changes of one kind take away, drawn from all jobs that have findings; some of the demo."""
    rng = random.Random(f"{SEED} {row.field} {row.direction}")
    loud = [(name, change) for name, change in every_change()[row] if first_look(name).findings]
    shipped = [(name, change) for name, change in loud if name == "demo"]
    tried = rng.sample(loud, min(count, len(loud))) + rng.sample(shipped, min(2, len(shipped)))
    found = []
    for n, (name, change) in enumerate(tried):
        after = looked_at(changed(jobs()[name], change), folder / str(n))
        found += [f"{name}, {change}: {what}" for what in lost(first_look(name), after, row)]
    return found


@pytest.mark.parametrize("row", TABLE, ids=lambda row: f"{row.field} {row.direction}")
def test_worse_never_helps(row: Row, tmp_path: Path) -> None:
    """No change of this kind takes a finding away, nor a job off its hold."""
    assert gone(row, FEW, tmp_path) == []


@pytest.mark.by_hand
@pytest.mark.parametrize("row", TABLE, ids=lambda row: f"{row.field} {row.direction}")
def test_worse_never_helps_in_more_jobs(row: Row, tmp_path: Path) -> None:
    """Nor does one of many more changes of this kind."""
    assert gone(row, MANY, tmp_path) == []
