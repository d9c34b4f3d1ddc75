"""An in-line module told to the guided start: what is known is built, what is not stays open."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from test_guided import KEPT, files, type_in

from wiremap.check import check
from wiremap.cli.main import main
from wiremap.evidence import settle
from wiremap.evidence.confirmed import confirmed_circuits
from wiremap.files import load_job
from wiremap.model import Address, Circuit, EndKind, Job, Side
from wiremap.survey.questions import questions

PLUGS = {
    "old": ("+12 always, 1.0 red", "earth, 1.0 brown", "CAN H, yellow", "CAN L, green"),
    "new": ("GND, 1.0 black", "Battery 12 V, 1.0 red", "CAN high, white", "CAN low, blue"),
    "module": (
        "CAN A high, yellow",
        "CAN A low, green",
        "CAN B high, white",
        "CAN B low, blue",
        "supply 12 V, 0.5 red",
        "ground, 0.5 black",
    ),
}
BEFORE = ("old.yaml", "no", "new.yaml", "no", "splice", "12", "F7 10")
TOLD = (
    "yes",
    "module.yaml",
    "plug",
    "1/2",
    "old.1",
    "0.15",
    "blade 2",
    "0.5 red, 150 mm",
    "0.5 red, 600 mm",
    "M6",
    "0.5 brown, 30 cm",
    "unit",
)
ALL = (*BEFORE, *TOLD)

pytestmark = pytest.mark.usefixtures("papers")


@pytest.fixture
def papers(empty_folder: Path) -> Path:
    for name, rows in PLUGS.items():
        lines = [f'  {number}: "{row}"' for number, row in enumerate(rows, 1)]
        text = "\n".join(["wiremap: pinout/1", f"title: {name}", "cavities:", *lines])
        Path(f"{name}.yaml").write_text(text + "\n", "utf-8")
    return empty_folder


def written() -> Job:
    """The job that was written, read without a fault."""
    assert [] == [f.message for f in check(["job.yaml"]).findings if f.fault]
    job = load_job("job.yaml").value
    assert job is not None
    return job


def joined(job: Job, point: str) -> Circuit:
    return next(circuit for circuit in job.circuits if point in circuit.join)


def joins(job: Job) -> set[str]:
    return {" - ".join(circuit.join) for circuit in job.circuits}


def test_what_is_told_is_built(monkeypatch: pytest.MonkeyPatch) -> None:
    """The pair is parted at the module, fed through a fuse of its own, grounded at a stud."""
    type_in(monkeypatch, *ALL)
    job = written()
    assert (EndKind.MATE, Side.BETWEEN) == (job.ends["module"].kind, job.ends["module"].side)
    assert joins(job) >= {
        "old.1 - new.2 - F1.a",
        "old.3 - module.1",
        "old.4 - module.2",
        "module.3 - new.3 - R1.a",
        "module.4 - new.4 - R1.b",
        "F1.b - module.5",
        "module.6 - G1",
    }
    fuse, stud, resistor = (job.extras[name] for name in ("F1", "G1", "R1"))
    assert ("blade", 2, "M6", 120) == (fuse.detail, fuse.amps, stud.detail, resistor.ohms)
    leg = joined(job, "F1.a").legs[Address.read("F1.a")]
    assert leg.wire is not None and (leg.wire.csa_mm2, leg.length_mm) == (0.5, 150)
    assert [joined(job, point).length_mm for point in ("F1.b", "G1")] == [600, 300]
    pinout = job.ends["module"].pinout
    assert (pinout.bridges, pinout.cavities["5"].amps) == ((("a", "b"),), 0.15)
    assert pinout.segment_of("1") == pinout.segment_of("2") != pinout.segment_of("3")


def test_its_own_paper_stays_as_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is told beside it goes into a copy; a paper that tells all is used as it lies."""
    before = Path("module.yaml").read_text("utf-8")
    type_in(monkeypatch, *ALL)
    assert before == Path("module.yaml").read_text("utf-8")
    whole = Path("module-2.yaml").read_text("utf-8")
    Path("job.yaml").unlink()
    type_in(monkeypatch, *BEFORE, "yes", "module-2.yaml", *TOLD[2:5], *TOLD[6:])
    assert whole == Path("module-2.yaml").read_text("utf-8")
    assert "module-2.yaml" == Path(written().ends["module"].pinout.path).name


def test_nothing_known_is_nothing_guessed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """No fuse, stud, size or number is made up; which port faces the machine is asked, and what is
    not joined yet is said.
    """
    type_in(monkeypatch, *BEFORE, "yes", *["d"] * 7)
    told = " ".join(capsys.readouterr().out.split())
    assert "not told of the module: what feeds it, where it is grounded;" in told
    job = written()
    assert not Path(KEPT).exists()
    assert {} == dict(job.extras)
    assert not any({"module.supply", "module.ground"} & {*c.join} for c in job.circuits)
    asked = [q.about for q in questions(settle(job))]
    assert "old.3 - module.a-high" in asked
    assert "old.3 - module.a-high.wire" in asked
    held = {f.rule for f in check(["job.yaml"]).findings if f.holds}
    assert {"cavity-forgotten", "bit-rate-missing"} <= held
    assert "module" not in " ".join(a for a in asked if a.endswith(".pair"))


def test_each_unknown_of_one_that_is_fed_is_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its amps, and each wire that nobody told; no YAML is typed for them."""
    fed = ("yes", "module.yaml", "d", "1/2", "old.1", "d", "d", "d", "d", "M6", "d", "d")
    type_in(monkeypatch, *BEFORE, *fed)
    job = written()
    assert job.extras["F1"].size_wanted
    asked = {q.about for q in questions(settle(job))}
    assert asked >= {
        "module.5.amps",
        "old.1 - new.2 - F1.a.wire",
        "F1.b - module.5.wire",
        "module.6 - G1.wire",
        "old.3 - module.1.wire",
    }


def test_fed_from_another_plug_and_grounded_at_the_machine(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """With leads of its own it takes no new wire; in an adapter as in a splice."""
    tap = ("other", "hand", "16: +12 permanent, 1.0 red", "4: ground", ".", "d", "F2 15")
    rest = ("0.1", "blade", "0.5 red, 100 mm", "old.2", "both")
    type_in(
        monkeypatch, *BEFORE[:4], "adapter", "12", "F7 10", "yes", "module.yaml", "leads", "3/4",
        *tap, *rest,
    )  # fmt: skip
    job = written()
    feed = job.ends["feed"]
    assert (EndKind.TAP, Side.MACHINE, "F2") == (feed.kind, feed.side, feed.fed["16"].fuse)
    assert EndKind.PIGTAIL == job.ends["module"].kind
    assert joins(job) >= {
        "feed.16 - F1.a",
        "F1.b - module.5",
        "old.2 - new.1 - module.6",
        "old.3 - module.3 - R1.a",
        "module.1 - new.3 - R2.a",
    }
    assert joined(job, "F1.b").wire is None


def test_of_several_pairs_one_is_chosen(monkeypatch: pytest.MonkeyPatch) -> None:
    """By its contacts; the other pair stays as it was proposed."""
    for name in ("old", "new"):
        path = Path(f"{name}.yaml")
        text = path.read_text("utf-8").replace("CAN", "CAN 1")
        path.write_text(text + '  5: "CAN 2 H"\n  6: "CAN 2 L"\n', "utf-8")
    type_in(monkeypatch, *BEFORE, *TOLD[:3], "old.5/old.6", "new.5/new.6", *TOLD[3:])
    made = joins(written())
    assert {"old.5 - module.1", "module.3 - new.5 - R1.a", "old.3 - new.3"} <= made


@pytest.mark.parametrize("way", ["splice", "adapter"])
def test_a_gateway_between_two_rates_is_no_open_logic(
    monkeypatch: pytest.MonkeyPatch, way: str
) -> None:
    """What a splice cannot join, the module does: nothing of it stays proposed or left out."""
    for name, rate in (("old", 250), ("new", 500)):
        path = Path(f"{name}.yaml")
        lines = []
        for line in path.read_text("utf-8").splitlines():
            number, _, rest = line.partition(": ")
            said = f"{{signal: {rest[1:].partition(',')[0]}, kbit_s: {rate}}}"
            lines.append(f"{number}: {said}" if "CAN" in line else line)
        path.write_text("\n".join(lines) + "\n", "utf-8")
    type_in(monkeypatch, *BEFORE[:4], way, *BEFORE[5:], *TOLD)
    assert "more than a splice" not in Path("job.yaml").read_text("utf-8")
    job = written()
    assert {"old.3 - module.1", "module.3 - new.3 - R1.a"} <= joins(job)
    assert not any(point.startswith("new.") for point in job.not_joined)


def test_without_a_pair_it_is_not_cut_in(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """That is said; feed and ground are built all the same, and the check holds its ports."""
    text = Path("old.yaml").read_text("utf-8").replace("CAN L", "buzzer")
    Path("old.yaml").write_text(text, "utf-8")
    type_in(monkeypatch, *BEFORE, *TOLD[:-1])
    assert "not cut in yet" in " ".join(capsys.readouterr().out.split())
    job = written()
    assert "module.6 - G1" in joins(job)
    held = {name for f in check(["job.yaml"]).findings if f.holds for name in f.subject}
    assert {"module.1", "module.4"} <= held


@pytest.mark.parametrize("stopped", range(len(BEFORE), len(ALL)))
def test_stopped_anywhere_it_goes_on(
    papers: Path, monkeypatch: pytest.MonkeyPatch, stopped: int
) -> None:
    """Nothing that was told of the module is asked twice, and the same files come of it."""
    type_in(monkeypatch, *ALL)
    whole = files(papers)
    for name in ("job.yaml", "module-2.yaml"):
        Path(name).unlink()
    type_in(monkeypatch, *ALL[:stopped])
    type_in(monkeypatch, *ALL[stopped:])
    assert whole == files(papers)


@pytest.mark.parametrize(
    ("before", "wrong", "said"),
    [
        (TOLD[:3], "5/6", "one of: 1/2, 3/4"),
        (TOLD[:4], "new.2", "one of: old.1, other"),
        (TOLD[:5], "much", "amps, as 0.15"),
        (TOLD[:6], "2", "begin with its form"),
        (TOLD[:7], "150 mm", "its size and colour"),
        (TOLD[:9], "old.1", "a thread, as M6"),
    ],
)
def test_what_is_no_answer_is_asked_again(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    before: tuple[str, ...],
    wrong: str,
    said: str,
) -> None:
    type_in(monkeypatch, *BEFORE, *before, wrong)
    assert said in " ".join(capsys.readouterr().out.split())


def test_which_port_faces_the_machine_is_one_question(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody works a bus and sees a contact change; a yes settles all four wires, also in a job proposed anew."""
    monkeypatch.setenv("WIREMAP_BY", "RK")
    type_in(monkeypatch, *BEFORE, *TOLD[:3], "d", *TOLD[4:])
    (asked,) = (q for q in questions(settle(written())) if q.text.startswith("Which port"))
    assert "old.3" in asked.text and "module.1" in asked.text and "work it" not in asked.how
    assert not [q for q in questions(settle(written())) if q.text.startswith("Are old.")]
    call = ["next", "job.yaml", "--about", asked.about, "--answer", "yes", "--how", "its leaflet"]
    assert main(call) == 0
    ports = {joined(written(), f"module.{n}").id for n in (1, 2, 3, 4)}
    assert ports <= confirmed_circuits(settle(written()))
    assert main(["propose", "--keep-answers", "job.yaml", "-o", "anew.yaml"]) in (0, 1)
    again = load_job("anew.yaml").value
    assert again is not None and ports <= confirmed_circuits(settle(again))


def test_a_no_to_the_port_turns_both_round(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing leads past the module, nothing else is asked of its ports; the job made anew is settled."""
    monkeypatch.setenv("WIREMAP_BY", "RK")
    type_in(monkeypatch, *BEFORE, *TOLD[:3], "d", *TOLD[4:])
    (asked,) = (q for q in questions(settle(written())) if q.text.startswith("Which port"))
    call = ["next", "job.yaml", "--about", asked.about, "--answer", "no", "--how", "its leaflet"]
    assert main(call) == 0
    ports = {f"module.{n}" for n in (1, 2, 3, 4)} | {"old.3", "old.4", "new.3", "new.4"}
    partners = {q.about for q in questions(settle(written())) if q.about.endswith(".partner")}
    assert partners.isdisjoint(f"{port}.partner" for port in ports)
    assert not [q for q in questions(settle(written())) if q.text.startswith("Which port")]
    assert "propose --keep-answers" in capsys.readouterr().err
    assert main(["propose", "--keep-answers", "job.yaml", "-o", "anew.yaml"]) in (0, 1)
    again = load_job("anew.yaml").value
    assert again is not None
    assert joins(again) >= {"old.3 - module.3", "old.4 - module.4"}
    assert joins(again) >= {"module.1 - new.3 - R1.a", "module.2 - new.4 - R1.b"}
    turned = {joined(again, f"module.{n}").id for n in (1, 2, 3, 4)}
    assert turned <= confirmed_circuits(settle(again))
    main(["propose", "--keep-answers", "anew.yaml", "-o", "third.yaml"])
    third = load_job("third.yaml").value
    assert third is not None and joins(third) == joins(again)


def test_help_tells_why_each_question_of_the_module_is_asked(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    type_in(monkeypatch, *BEFORE)
    for line in TOLD:
        capsys.readouterr()
        type_in(monkeypatch, "?", "q")
        assert "  why: " in capsys.readouterr().out
        type_in(monkeypatch, line)


def test_what_is_counted_is_what_is_listed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The wires of the module are counted with the proposed ones, on the screen as in the file."""
    type_in(monkeypatch, *BEFORE, *TOLD[:3], "d", *TOLD[4:])
    told = capsys.readouterr().out
    (asked,) = re.findall(r"ask, a person settles it \((\d+)\)", told)
    assert f", {asked} ask," in told.partition("written: job.yaml: ")[2].splitlines()[0]
    assert f", {asked} ask," in Path("job.yaml").read_text("utf-8")
