"""Two old plugs into one new one, one into two, and a proposal made anew for a job already begun."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from wiremap.check import check
from wiremap.cli.main import main
from wiremap.files import load_job
from wiremap.model import NotJoined

LIGHTS = """wiremap: pinout/1
title: Sweeper console, plug A
letters: iec
source: {name: Console drawing, basis: document}
cavities:
  1: +24 permanent, red
  2: ground, black
  3: ignition on, white
  4: CAN H, yellow
  5: CAN L, green
  6: water pump relay, blue
  7: brush motor valve left, grey
  8: brush motor valve right, grey/pink
  9: "?, violet"
"""
SENSORS = """wiremap: pinout/1
title: Sweeper console, plug B
letters: iec
source: {name: Console drawing, basis: document}
cavities:
  1: hopper level, white/green
  2: sensor ground, brown
  3: sensor supply 5V, red/blue
  4: fan speed, white/brown
  5: suction nozzle up, blue/white
  6: suction nozzle down, blue/black
  7: work lamp rear, orange
  8: "-"
"""
CONSOLE = """wiremap: pinout/1
title: New console
letters: iec
source: {name: Leaflet of the new console, basis: document}
cavities:
  1: Battery +24V, red
  2: Battery +24V power, red
  3: GND, black
  4: GND power, black
  5: Ignition, white
  6: CAN1 high, yellow
  7: CAN1 low, green
  8: CAN2 high, yellow/white
  9: CAN2 low, green/white
  10: Hopper level sensor, grey
  11: Fan speed sensor, grey/red
  12: Sensor 5V, pink
  13: Sensor GND, brown
  14: Water pump, blue
  15: Side brush left, violet
  16: Side brush right, violet/white
  17: Nozzle lift, orange
  18: Nozzle lower, orange/white
  19: Work light rear, white/red
  20: Beacon, white/blue
  21: Config 1
  22: reserve
  23: "-"
"""
pytestmark = pytest.mark.usefixtures("usual_screen")
FIRST_SKETCH = 40  # lines on a screen
CONFIRMED = 'confirmed: [{circuit: old1.1, by: RK, date: 2026-03-03, how: "24 V, key off"}]\n'


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A sweeper's old console of 9 and 8 cavities and its new one of 23; 24 V, all invented."""
    for name, text in (("a", LIGHTS), ("b", SENSORS), ("new", CONSOLE)):
        (tmp_path / f"{name}.yaml").write_text(text, "utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def proposed(*words: str) -> None:
    assert 1 == main(["propose", "--old", "a.yaml", "b.yaml", "--new", "new.yaml", *words])


def joins(path: str) -> dict[str, tuple[str, ...]]:
    job = load_job(path).value
    assert job is not None
    return {circuit.join[0]: tuple(map(str, circuit.join)) for circuit in job.circuits}


@pytest.mark.parametrize("kind", [[], ["--adapter"]])
def test_the_first_sketch_fits_a_screen(
    folder: Path, capsys: pytest.CaptureFixture[str], kind: list[str]
) -> None:
    """Two plugs into one, spliced or as an adapter: the check of what is proposed."""
    proposed(*kind, "-o", "job.yaml")
    capsys.readouterr()
    assert 1 == main(["check", "job.yaml"])
    assert len(capsys.readouterr().out.splitlines()) <= FIRST_SKETCH


def test_each_old_plug_finds_its_contacts_in_the_new_one(folder: Path) -> None:
    proposed("-o", "job.yaml")
    found = joins("job.yaml")
    assert ("old2.1", "new.10") == found["old2.1"]
    assert ("old2.7", "new.19") == found["old2.7"]
    assert ("old1.6", "new.14") == found["old1.6"]


def test_one_plug_into_two(folder: Path) -> None:
    """The other way round the same contacts meet."""
    assert 1 == main(
        ["propose", "--old", "new.yaml", "--new", "a.yaml", "b.yaml", "-o", "job.yaml"]
    )
    assert ("old.10", "new2.1") == joins("job.yaml")["old.10"]


def test_a_lamp_is_not_the_valve_that_is_left_over(folder: Path) -> None:
    """`Beacon` and `brush motor valve left` name two things."""
    proposed("-o", "job.yaml")
    assert "old1.7" not in joins("job.yaml")


def test_cavities_of_an_adapter_are_blanked_not_capped(folder: Path) -> None:
    """What is left out of a mated plug has no wire to cap."""
    proposed("--adapter", "-o", "job.yaml")
    assert "cap" not in {entry.treat for entry in _left("job.yaml")}
    proposed("-o", "splice.yaml")
    assert "cap" in {entry.treat for entry in _left("splice.yaml")}


def _left(path: str) -> list[NotJoined]:
    job = load_job(path).value
    assert job is not None
    return list(job.not_joined.values())


def test_what_was_settled_stays_and_what_changed_is_told(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An answer frees a contact of its guess; the confirmed circuit and its words stay."""
    proposed("-o", "job.yaml")
    job = folder / "job.yaml"
    job.write_text(job.read_text() + CONFIRMED, "utf-8")
    book = "{kind: answer, about: old1.6, answer: unused, by: RK, date: 2026-03-03, how: empty}"
    (folder / "job-notebook.yaml").write_text(f"wiremap: notebook/1\nentries:\n  - {book}\n")
    capsys.readouterr()
    main(["propose", "--keep-answers", "job.yaml", "-o", "job2.yaml"])
    told = capsys.readouterr().err
    assert "kept as they stand: 1 circuit settled by name; 1 change" in told
    assert "no longer proposed: old1.6 - new.14" in told
    before, after = load_job("job.yaml").value, load_job("job2.yaml").value
    assert before is not None and after is not None
    assert before.circuits[0].join == after.circuits[0].join
    assert before.confirmed[0].how == after.confirmed[0].how
    assert ["job-notebook.yaml"] == [Path(each.path).name for each in after.notebooks]


def test_a_newer_paper_takes_the_place_of_the_old_one(folder: Path) -> None:
    """It is named by the end that it is of; the other ends keep theirs."""
    proposed("-o", "job.yaml")
    (folder / "newer.yaml").write_text(CONSOLE, "utf-8")
    papers = ["--old", "a.yaml", "b.yaml", "--new", "newer.yaml"]
    main(["propose", "--keep-answers", "job.yaml", *papers, "-o", "job2.yaml"])
    job = load_job("job2.yaml").value
    assert job is not None
    found = {name: Path(end.pinout.path).name for name, end in job.ends.items()}
    assert {"old1": "a.yaml", "old2": "b.yaml", "new": "newer.yaml"} == found


def test_what_was_made_by_hand_stays(folder: Path) -> None:
    """A circuit without a grade, its wire and joint, an extra and the supply come through."""
    proposed("-o", "job.yaml")
    job = folder / "job.yaml"
    hand = "  - {id: beacon, join: [old1.8, new.20], wire: 0.75 RD, length_mm: 300}\n"
    text = job.read_text().replace("circuits:\n", f"circuits:\n{hand}", 1)
    text = "".join(line for line in text.splitlines(True) if "[old1.9, new.20]" not in line)
    text = "".join(line for line in text.splitlines(True) if not line.startswith("  old1.8:"))
    job.write_text(text + "supply: {volts: 24}\nextras: {F1: {fuse: blade, amps: 2}}\n", "utf-8")
    assert [] == [f.message for f in check([job]).findings if f.fault]
    main(["propose", "--keep-answers", "job.yaml", "-o", "job2.yaml"])
    after = load_job("job2.yaml").value
    assert after is not None
    kept = next(circuit for circuit in after.circuits if circuit.id == "beacon")
    assert ("old1.8", "new.20") == kept.join
    assert 300 == kept.length_mm
    assert (24, ("F1",)) == (after.supply.volts, tuple(after.extras))
    assert not any("new.20" in circuit.join for circuit in after.circuits if circuit != kept)


def test_json_of_a_proposal_made_anew(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The shape of a proposal, with what stays and what changes."""
    proposed("-o", "job.yaml")
    (folder / "job.yaml").write_text((folder / "job.yaml").read_text() + CONFIRMED, "utf-8")
    capsys.readouterr()
    main(["propose", "--keep-answers", "job.yaml", "--json"])
    told = json.loads(capsys.readouterr().out)
    assert [{"id": "old1.1", "join": ["old1.1", "new.1", "new.2"]}] == told["kept"]
    assert [] == told["changes"]
    assert "old1.1" not in {point for each in told["circuits"] for point in each["join"]}


def test_the_map_is_told_within_a_screen(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each grade with its circuits, what is left out, then the next step."""
    proposed("-o", "job.yaml")
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) <= 40
    assert lines[0].startswith("certain (") and lines[-1].startswith("next: ")
    told = " ".join(lines)
    job = load_job("job.yaml").value
    assert job is not None
    for circuit in job.circuits:
        assert " - ".join(circuit.join) in " ".join(told.split())


def test_an_answered_circuit_tells_who_settled_it(folder: Path) -> None:
    """What was open about it gives way; it stays as it is though its answer stands in a notebook."""
    proposed("-o", "job.yaml")
    before = load_job("job.yaml").value
    assert before is not None
    asked = next(circuit for circuit in before.circuits if circuit.grade == "ask")
    points = " - ".join(asked.join)
    said = ("--about", points, "--answer", "yes", "--how", "worked it", "--by", "RK")
    assert 0 == main(["next", "job.yaml", *said])
    main(["propose", "--keep-answers", "job.yaml", "-o", "again.yaml"])
    after = load_job("again.yaml").value
    assert after is not None
    (kept,) = [circuit for circuit in after.circuits if circuit.join == asked.join]
    assert not any(reason.startswith("open:") for reason in kept.because)
    assert kept.because[-1].startswith("settled by RK, ")
    assert kept.because[-1].endswith(": worked it")


@pytest.mark.parametrize(("at", "other"), [("new.14", "old1.9"), ("old1.9", "new.14")])
def test_a_partner_is_told_from_either_side(
    folder: Path, capsys: pytest.CaptureFixture[str], at: str, other: str
) -> None:
    """The unit's contact or the machine's, one circuit comes of it, told as settled by name."""
    proposed("-o", "job.yaml")
    call = ("next", "job.yaml", "--by", "RK", "--how", "worked the pump", "--about")
    assert 0 == main([*call, f"{at}.partner", "--answer", other])
    job = load_job("job.yaml").value
    assert job is not None
    asked = next(c for c in job.circuits if c.grade == "ask" and "new.14" not in c.join)
    assert 0 == main([*call, " - ".join(asked.join), "--answer", "yes"])
    capsys.readouterr()
    main(["propose", "--keep-answers", "job.yaml", "-o", "job2.yaml"])
    told = capsys.readouterr()
    assert {"old1.9", "new.14"} == set(joins("job2.yaml")["old1.9"])
    assert "new: old1.9 - new.14 (settled by name)" in told.err
    assert "1 circuit settled by name" in told.err
    by_name = " ".join(told.out.partition("certain (")[0].split())
    assert "settled by name (2)" in by_name and " - ".join(asked.join) in by_name


def test_a_reason_of_the_proposal_gives_way_to_the_new_one(folder: Path) -> None:
    """A person's own reason for leaving a contact out stays, what a proposal wrote does not."""
    proposed("-o", "job.yaml")
    text = Path("job.yaml").read_text("utf-8")
    old = {entry.point: entry.why for entry in _left("job.yaml")}
    by_hand = next(iter(old))
    assert "old1.4" in old["new.8"]
    Path("job.yaml").write_text(text.replace(old[by_hand], "not on this machine"), "utf-8")
    Path("job-notebook.yaml").write_text(
        "wiremap: notebook/1\nentries:\n  - {kind: answer, about: old1.4, answer: unused, "
        "by: RK, date: '2026-03-03'}\n",
        "utf-8",
    )
    main(["propose", "--keep-answers", "job.yaml", "-o", "again.yaml"])
    new = {entry.point: entry.why for entry in _left("again.yaml")}
    assert "not on this machine" == new[by_hand]
    assert "old1.4" not in new["new.8"]


def test_contacts_merged_into_one_circuit_are_told_as_a_joint(
    two_papers: Callable[[str, str], Path], capsys: pytest.CaptureFixture[str]
) -> None:
    """Nobody takes it for two wires in one cavity; where two meet nothing is said of it."""
    paper = "wiremap: pinout/1\ntitle: plug\ncavities:\n  1: earth, brown\n"
    two_papers(f"{paper}  2: earth, black\n", paper)
    told = capsys.readouterr().out
    assert "old.1 - new.1 - old.2" in told or "old.1 - old.2 - new.1" in told
    assert "they meet in a joint: one wire goes into each cavity" in told
    for name in ("old.yaml", "new.yaml"):
        Path(name).write_text(paper, encoding="utf-8")
    main(["propose", "old.yaml", "new.yaml", "-o", "other.yaml"])
    assert "meet in a joint" not in capsys.readouterr().out
