"""The survey asks once: what was read is not listed again, what is lacking is named, and its lines are
read as those of the ring-out are.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from demo_jobs import filed_demo

from wiremap.cli.main import main
from wiremap.entries.probe_lines import batch
from wiremap.evidence.answers import stale
from wiremap.evidence.opened import open_job
from wiremap.model import Entry, Job, Span
from wiremap.survey.lines import typed_survey

DEMO = Path(__file__).resolve().parents[1] / "pinouts_demo"
OLD = """wiremap: pinout/1
title: old plug
cavities:
  1: {signal: "+12 always", volts: 12, wire: red}
  2: ground, brown
  3: {signal: hopper level sensor, function: analogue-input}
  4: sensor ground
  5: K-line
  6: CAN high
  7: CAN low
"""


@pytest.fixture
def old(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """One typed paper in the working folder."""
    (tmp_path / "old.yaml").write_text(OLD, "utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("WIREMAP_BY", "RK")
    return tmp_path


def read(folder: Path, lines: str) -> None:
    (folder / "bench.txt").write_text(lines, "utf-8")
    main(["survey", "old.yaml", "--readings", "bench.txt", "--save"])


def told(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    capsys.readouterr()
    main(["survey", "old.yaml", *words])
    return capsys.readouterr().out


@pytest.fixture(scope="module")
def filed() -> Job:
    return filed_demo()


def surveyed(filed: Job, line: str) -> list[Entry]:
    entries, faults, _ = typed_survey(filed, line, "bench.txt")
    assert not faults, [each.message for each in faults]
    return list(entries)


@pytest.mark.parametrize(
    "figure",
    [
        "1.8k",
        "1,8k",
        "1k8",
        "1.8 k",
        "1800 ohm",
        "1800ohm",
        "1.8 kOhm",
        "1800R",
        "1800 R",
        "0.0018M",
    ],
)
@pytest.mark.parametrize("between", [" to ", " - ", " TO ", "-"])
def test_one_figure_is_read_alike_by_survey_and_ring_out(
    filed: Job, figure: str, between: str
) -> None:
    """As people write ohms on a bench (common practice): 1800 by the survey, by the ring-out too."""
    line = f"loom.12{between}loom.8 {figure}"
    (entry,) = surveyed(filed, line)
    (probe,), faults = batch(line)
    assert not faults
    for each in (entry, probe):
        assert (each.red, each.black) == (("loom.12",), ("loom.8",))
        assert each.ohms is not None and each.ohms.low == pytest.approx(1800)


@pytest.mark.parametrize(
    "line",
    [
        "LOOM.1 12,6V off",
        "loom.1: 12.6 volts, ignition off",
        "Loom.1 to Battery Minus 12.6 V Key Off",
        "loom.1 to battery minus (ignition off): 12.6 V",
        "loom.1 +12.6 V key:off",
        "loom.1 12600 mV off",
    ],
)
def test_capitals_commas_and_marks_change_nothing(filed: Job, line: str) -> None:
    (entry,) = surveyed(filed, line)
    assert (str(entry.red[0]), str(entry.black[0])) == ("loom.1", "battery minus")
    assert (entry.volts, entry.key) == (pytest.approx(12.6), "off")


def test_several_readings_stand_in_one_line(filed: Job) -> None:
    found = surveyed(filed, "loom.1 12.6 V off, loom.2 0 V on, loom.12 - loom.8 1k8 # by the door")
    assert [str(entry.red[0]) for entry in found] == ["loom.1", "loom.2", "loom.12"]
    assert found[0].place is not None and found[0].place.col == 1
    assert found[1].place is not None and found[1].place.col == 20


def test_a_bare_figure_at_one_point_is_volts(filed: Job) -> None:
    """Ohms are read between two points."""
    (entry,) = surveyed(filed, "loom.1 12,6 key off")
    assert (entry.volts, entry.ohms, entry.key) == (pytest.approx(12.6), None, "off")


@pytest.mark.parametrize(
    ("line", "volts", "ohms"),
    [
        ("loom.12 - loom.8 1800", None, 1800),  # ohms alone are read there
        ("loom.2 - chassis 0,3", None, 0.3),  # volts too, never without the ignition
        ("loom.2 to chassis 0.02 on", 0.02, None),
    ],
)
def test_a_bare_figure_between_two_points(
    filed: Job, line: str, volts: float | None, ohms: float | None
) -> None:
    """It is taken for the one thing that it can mean, and told."""
    read = typed_survey(filed, line, "bench.txt")
    (entry,) = read.entries
    assert entry.volts == (None if volts is None else pytest.approx(volts))
    assert entry.ohms == (None if ohms is None else Span.of(ohms))
    assert len(read.taken) == 1 and ("V" if ohms is None else "ohm") in read.taken[0]


@pytest.mark.parametrize("line", ["loom.3 - chassis 12,4", "loom.1 - loom.3 12"])
def test_a_bare_figure_that_may_mean_two_things_is_asked_back(filed: Job, line: str) -> None:
    """Of a contact at which volts are read too it may be those; at others nothing is asked."""
    _, (fault,), _ = typed_survey(filed, line, "bench.txt")
    assert "has no unit" in fault.message


def test_what_lacks_is_named_by_what_is_to_be_read(
    old: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = told(capsys)
    assert "surveyed 0 of 7" in before and "volts to read: 1, 2, 3, 4, 5, 6, 7" in before
    read(old, "1 12.6 V off\n1 12.6 V on\n2 0 V on\n2 to chassis 0.2 ohm\n5 0 V off\n5 0 V on\n")
    after = told(capsys)
    assert "surveyed 2 of 7" in after
    assert "volts to read: 3, 4, 6, 7" in after
    assert "such readings do not show which signal it is: 5" in after
    assert "wiremap next old.yaml --about 5.basis --answer measured" in after


def test_the_position_of_the_ignition_that_lacks_is_named(
    old: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Who read one of the two is told which is left."""
    read(old, "1 12.6 V on\n5 0 V on\n")
    lacks = told(capsys)
    assert "volts to read, ignition off too: 1, 5\n" in lacks
    assert "volts to read: 2, 3, 4, 6, 7\n" in lacks
    read(old, "1 12.6 V off\n3 0 V off\n")
    lacks = told(capsys)
    assert "ignition off too: 5" in lacks and "ignition on too: 3" in lacks


def test_a_reading_against_the_paper_is_named_until_it_is_settled(
    old: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    read(old, "2 12.6 V on\n")
    assert "against the paper until settled: 2" in told(capsys)
    read(old, "2 0 V on\n2 to chassis 0.2 ohm\n")
    assert "against the paper" not in told(capsys)


def test_rows_that_were_read_are_not_listed_again(
    old: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Once is enough; --full shows all of them."""
    read(old, "1 12.6 V off\n1 12.6 V on\n2 to chassis 0.2 ohm\n6 to 7 60 ohm\n")
    brief, full = told(capsys), told(capsys, "--full")
    assert "4 of " in brief and "read and as told: --full shows all" in brief
    assert "2 to chassis" not in brief and "6 to 7: " not in brief
    assert "2 to chassis" in full and "6 to 7: " in full


def test_a_row_read_otherwise_stays(old: Path, capsys: pytest.CaptureFixture[str]) -> None:
    read(old, "6 to 7 3 ohm\n")
    assert "6 to 7: " in told(capsys)


def test_a_void_reading_is_read_anew_by_the_same_words(
    old: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What was read at a contact that has changed since counts for nothing; the same value read again is new."""
    lines = "2 0 V on\n2 to chassis 0.2 ohm\n"
    read(old, lines)
    assert "surveyed 1 of 7" in told(capsys)
    (old / "old.yaml").write_text(OLD.replace("2: ground, brown", "2: ground, black"), "utf-8")
    void = told(capsys, "--judge")
    assert "surveyed 0 of 7" in void and "1 void, to be read again" in void
    read(old, lines)
    renewed = told(capsys, "--judge")
    assert "surveyed 1 of 7" in renewed and "void" not in renewed
    read(old, lines)
    assert told(capsys, "--judge") == renewed


def test_what_was_answered_and_then_written_into_the_file_voids_nothing(
    old: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A wire's size, its colour spelt otherwise, volts and a function that the paper did not state: equal values are one."""
    read(old, "1 12.6 V off\n2 0 V on\n2 to chassis 0.2 ohm\n3 2.1 V on\n5 0 V on\n")
    for about, answer in (
        ("2.wire", "0.75 mm2"),
        ("1.wire", "1 RD"),
        ("5", "lin"),
        ("3.volts", "5"),
    ):
        assert main(["next", "old.yaml", "--about", about, "--answer", answer]) == 0
    filed = (
        OLD.replace("wire: red}", "wire: 1.0 red}")
        .replace("2: ground, brown", "2: {signal: ground, wire: 0.75 brown}")
        .replace("function: analogue-input}", "function: analogue-input, volts: 5}")
        .replace("5: K-line", "5: {signal: line, function: lin}")
    )
    (old / "old.yaml").write_text(filed, "utf-8")
    assert "void" not in told(capsys, "--judge")
    found = open_job("old.yaml")[0]
    assert found is not None and not found.job.replaced and not stale(found.job)
    wire = found.job.ends["end"].pinout.cavities["2"].wire
    assert wire is not None and (wire.csa_mm2, str(wire.colour and wire.colour.base)) == (
        0.75,
        "brown",
    )


def test_a_lamp_that_promises_nothing_is_written_down(
    old: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Over 0 ohm or open is every figure: the row says so, and none of them is promised."""
    (old / "old.yaml").write_text(OLD + "  8: work light, orange\n", "utf-8")
    told_all = told(capsys, "--full")
    (row,) = [line for line in told_all.splitlines() if " 8 to chassis" in line and "ohm" in line]
    assert "any figure: write it down" in row and "over 0 ohm" not in told_all


def test_a_contact_stands_in_one_list_of_verdicts(
    old: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Read twice, by volts and by ohms, or against the paper once: it is named once, the gravest first."""
    read(old, "1 12.6 V off\n1 12.5 V on\n2 to chassis 12 ohm\n2 0 V on\n3 2.1 V on\n")
    lines = told(capsys, "--judge").partition("surveyed")[0].splitlines()
    named = [line.partition(": ")[2].split(", ") for line in lines if line[0].isdigit()]
    contacts = [contact for each in named for contact in each]
    assert sorted(contacts) == sorted(set(contacts)) and "1" in contacts and "2" not in contacts
    assert any(line.startswith("contradicts: 2 ") for line in lines)
    read(old, "2 to chassis 0.2 ohm\n")
    renewed = told(capsys, "--judge")
    assert "1 reading taken again since" in renewed and "contradicts" not in renewed
