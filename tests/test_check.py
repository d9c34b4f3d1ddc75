"""Check from the outside: verdicts, exit codes, JSON, signatures and the tricks that must not work."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from called import called
from demo_jobs import DEMO, DEMO_JOB, ROOT

from wiremap.base import Accepted, Finding, Place, Severity
from wiremap.check import Report, check

CASES = Path(__file__).parent / "cases"


def copied(case: str, folder: Path, *entries: str) -> Path:
    """A bad case copied, with a notebook of these entries; an existing notebook is replaced."""
    for file in (CASES / case).glob("*.yaml"):
        (folder / file.name).write_text(file.read_text(encoding="utf-8"), encoding="utf-8")
    job = folder / "bad.yaml"
    text = job.read_text(encoding="utf-8")
    text = (
        "\n".join(x for x in text.splitlines() if not x.startswith("readings:"))
        + "\nreadings: [signed.yaml]\n"
    )
    job.write_text(text, encoding="utf-8")
    lines = "".join(f"  - {e}\n" for e in entries)
    (folder / "signed.yaml").write_text(f"wiremap: notebook/1\nentries:\n{lines}", encoding="utf-8")
    return job


def of_rule(report: Report, rule: str) -> list[Finding]:
    """The findings of one rule."""
    assert not [f.message for f in report.findings if f.fault]
    return [f for f in report.findings if f.rule == rule]


def accept(
    rule: str,
    subject: tuple[str, ...],
    by: str = "RK",
    date: str = "2026-03-02",
    why: str = "wires traced by hand",
) -> str:
    """A signature as a notebook line."""
    return f"{{kind: accept, rule: {rule}, subject: [{', '.join(subject)}], by: {by}, date: {date}, why: {why}}}"


def test_a_good_signature_counts(tmp_path: Path) -> None:
    """Rule and the very subject named, with who, when and why: the stop no longer holds, and the name is kept."""
    bare = copied(
        "return-off-star",
        tmp_path,
        "{kind: survey, red: loom.1, seen: silent, by: RK, date: 2026-03-02}",
    )
    found = of_rule(check([bare]), "return-off-star")
    assert found and all(f.holds for f in found)
    signed = of_rule(
        check([copied("return-off-star", tmp_path, *(accept(f.rule, f.subject) for f in found))]),
        "return-off-star",
    )
    assert [f.accepted.by for f in signed if f.accepted] == ["RK"] * len(found) and not any(
        f.holds for f in signed
    )


def test_a_signature_under_another_rule_or_subject_does_not(tmp_path: Path) -> None:
    """Neither a part of the subject, nor more than it, nor another rule's name."""
    bare = copied(
        "return-off-star",
        tmp_path,
        "{kind: survey, red: loom.1, seen: silent, by: RK, date: 2026-03-02}",
    )
    for f in of_rule(check([bare]), "return-off-star"):
        for rule, subject in (
            ("unlike-signals", f.subject),
            (f.rule, f.subject[:1]),
            (f.rule, (*f.subject, "loom.12")),
        ):
            job = copied("return-off-star", tmp_path, accept(rule, subject))
            assert all(x.holds for x in of_rule(check([job]), f.rule))


@pytest.mark.parametrize(
    ("case", "rule"),
    [
        ("supply-to-ground", "supply-to-ground"),
        ("sources-joined", "sources-joined"),
        ("over-voltage", "over-voltage"),
        ("class-b", "class-b"),
        ("restraint", "restraint"),
        ("guard-bridged", "guard-bridged"),
    ],
)
def test_what_nobody_may_accept(case: str, rule: str, tmp_path: Path) -> None:
    """Signed in full, it still holds and says so."""
    found = of_rule(
        check(
            [
                copied(
                    case,
                    tmp_path,
                    "{kind: survey, red: loom.1, seen: silent, by: RK, date: 2026-03-02}",
                )
            ]
        ),
        rule,
    )
    assert found
    report = check([copied(case, tmp_path, *(accept(rule, f.subject) for f in found))])
    again = of_rule(report, rule)
    assert len(again) == len(found) and report.exit_code == 1
    assert all(
        f.holds and f.accepted is None and "nobody may accept it" in f.message for f in again
    )


BRIDGE = "join: [donor.9, donor.10], joint: butt-crimp}"
TRICKS = {
    "renamed circuit": [("id: guard-out", "id: trailer-plug")],
    "renamed chains": [
        ("function: interlock-back, chain: guard", "function: interlock-back, chain: other")
    ],
    "split over a fuse": [
        (
            BRIDGE,
            "join: [donor.9, F8.a], wire: 0.5 BU, length_mm: 50}\n"
            "  - {id: x, join: [F8.b, donor.10], wire: 0.5 BU, length_mm: 50}",
        ),
        ("circuits:\n", "extras:\n  F8: {fuse: blade, amps: 1}\ncircuits:\n"),
    ],
    "split over two studs": [
        (BRIDGE, "join: [donor.9, G8]}\n  - {id: x, join: [G9, donor.10]}"),
        ("circuits:\n", "extras:\n  G8: {stud: M6}\n  G9: {stud: M6}\ncircuits:\n"),
    ],
    "through a resistor": [
        (BRIDGE, "join: [donor.9, R8.a]}\n  - {id: x, join: [R8.b, donor.10]}"),
        ("circuits:\n", "extras:\n  R8: {resistor: 1, watts: 0.5}\ncircuits:\n"),
    ],
    "through two resistors": [
        (
            BRIDGE,
            "join: [donor.9, R8.a]}\n  - {id: x, join: [R8.b, R9.a]}\n  - {id: y, join: [R9.b, donor.10]}",
        ),
        (
            "circuits:\n",
            "extras:\n  R8: {resistor: 1, watts: 0.5}\n  R9: {resistor: 1, watts: 0.5}\ncircuits:\n",
        ),
    ],
    "by way of the loom": [
        ("join: [donor.9, donor.10], joint", "join: [donor.9, loom.9, donor.10], joint"),
        ("  loom.9: {why: bridged, treat: cap}\n", ""),
    ],
}


@pytest.mark.parametrize("trick", TRICKS, ids=str)
def test_no_trick_hides_a_bridged_guard(trick: str, tmp_path: Path) -> None:
    """Renaming, splitting and detours: the bridge is still found, and a signature still counts for nothing."""
    job = copied("guard-bridged", tmp_path, accept("guard-bridged", ("donor.9", "donor.10")))
    done = 0
    for file in tmp_path.glob("*.yaml"):
        text = file.read_text(encoding="utf-8")
        for old, new in TRICKS[trick]:
            done += old in text
            text = text.replace(old, new)
        file.write_text(text, encoding="utf-8")
    assert done >= len(TRICKS[trick])
    found = of_rule(check([job]), "guard-bridged")
    assert found and all(f.holds for f in found)


def test_supply_to_ground_is_found_over_fuse_and_stud(tmp_path: Path) -> None:
    """The short is split over a fuse and ends on the chassis by two circuits."""
    job = copied(
        "supply-to-ground",
        tmp_path,
        "{kind: survey, red: loom.1, seen: silent, by: RK, date: 2026-03-02}",
    )
    extras = "extras:\n  F8: {fuse: blade, amps: 2}\n  G8: {stud: M6}\ncircuits:\n"
    text = job.read_text(encoding="utf-8").replace("circuits:\n", extras)
    split = "join: [loom.1, F8.a], wire: 0.5 RD}\n  - {id: x, join: [F8.b, G8], wire: 0.5 RD}"
    text = text.replace("join: [loom.1, donor.2], joint: butt-crimp}", split)
    text = text.replace(
        "join: [loom.2, donor.1], joint: butt-crimp}", "join: [loom.2, donor.2], joint: butt-crimp}"
    )
    job.write_text(text, encoding="utf-8")
    assert any(
        {"loom.1", "chassis"} <= set(f.subject) for f in of_rule(check([job]), "supply-to-ground")
    )


# -- verdicts, exit codes, output ----------------------------------------------------------------------


def test_exit_codes(tmp_path: Path) -> None:
    """0 in order, 1 held, 2 unread or nothing there; 2 outranks 1."""
    held, good = str(CASES / "supply-to-ground" / "bad.yaml"), str(DEMO_JOB)
    (tmp_path / "empty.yaml").write_text("", encoding="utf-8")
    (tmp_path / "folder").mkdir()
    cases = {
        (good,): 0,
        (held,): 1,
        (good, held): 1,
        (good, str(tmp_path / "none.yaml")): 2,
        (held, str(tmp_path / "empty.yaml")): 2,
        (str(tmp_path / "folder"),): 2,
        (str(DEMO / "gateway.yaml"),): 0,
    }
    assert cases == {paths: check(paths).exit_code for paths in cases}


def test_many_files_and_folders_each_with_its_verdict() -> None:
    """A folder stands for its jobs; pinouts that a job names are not looked at twice."""
    report = check([DEMO, CASES / "legs-crossed" / "bad.yaml", CASES / "legs-crossed"])
    assert {Path(j.path).relative_to(ROOT).as_posix(): j.verdict for j in report.jobs} == {
        "pinouts_demo/job.yaml": "in-order",
        "pinouts_demo/adapter/job.yaml": "in-order",
        "pinouts_demo/adapter/splice.yaml": "in-order",
        "tests/cases/legs-crossed/bad.yaml": "hold",
        "tests/cases/legs-crossed/good.yaml": "in-order",
    }
    assert not {Path(p).name for p in report.others} & {
        "gateway.yaml",
        "socket16.yaml",
        "loom.yaml",
    }
    assert len(set(report.findings)) == len(report.findings)


def test_json_shape() -> None:
    """The documented keys, in the documented words, for a held, a good and an unread file in one call."""
    done = called(
        "check",
        "pinouts_demo/job.yaml",
        "tests/cases/legs-crossed/bad.yaml",
        "nowhere.yaml",
        "--json",
    )
    shown = json.loads(done.stdout)
    assert (done.returncode, next(iter(shown)), shown["wiremap"]) == (2, "wiremap", "check/1")
    verdicts = {j["file"]: j["verdict"] for j in shown["jobs"]}
    assert (
        verdicts["pinouts_demo/job.yaml"] == "in-order"
        and verdicts["tests/cases/legs-crossed/bad.yaml"] == "hold"
    )
    first = shown["jobs"][0]
    keys = {"file", "verdict", "boxes", "cautions", "wrong_at_power", "not_judged", "hash"}
    assert set(first) == keys
    assert set(first["boxes"]) == {"surveyed", "rung_out"}
    assert {("subject", "why")} == {tuple(each) for each in first["not_judged"]}
    keys = {
        "rule",
        "severity",
        "subject",
        "file",
        "line",
        "column",
        "message",
        "why",
        "fix",
        "accepted",
    }
    assert all(set(f) == keys for f in shown["findings"])
    crossed = next(f for f in shown["findings"] if f["rule"] == "legs-crossed")
    assert (
        crossed["severity"] == "stop"
        and crossed["file"].endswith("bad.yaml")
        and crossed["line"] > 10
    )
    assert set(next(f for f in shown["findings"] if f["accepted"])["accepted"]) == {
        "by",
        "date",
        "why",
    }


def test_an_unread_job_has_its_verdict(tmp_path: Path) -> None:
    """A broken job still stands in the list, as unread."""
    broken = tmp_path / "job.yaml"
    ends = "{a: {pinout: missing.yaml}, b: {pinout: missing.yaml}}"
    broken.write_text(f"wiremap: job/1\ntitle: x\nends: {ends}\n", encoding="utf-8")
    report = check([broken])
    assert (report.exit_code, [j.verdict for j in report.jobs]) == (2, ["unread"])


def test_same_bytes_whatever_the_hash_seed() -> None:
    """Text, JSON and SARIF do not depend on the order of sets."""
    files = [
        str(CASES / name / "bad.yaml")
        for name in ("supply-to-ground", "guards-crossed", "table-misread", "terminators")
    ]
    calls = [["check", *files, *flag] for flag in ((), ("--json",), ("--sarif",))]
    code = f"from wiremap.cli.main import main\nfor words in {calls!r}: main(words)"
    outs = set()
    for seed in ("0", "1", "77"):
        around = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONHASHSEED": seed}
        call = [sys.executable, "-c", code]
        outs.add(subprocess.run(call, cwd=ROOT, env=around, capture_output=True).stdout)
    assert len(outs) == 1 and outs.pop()


def test_explain_every_rule_and_unknown_ones() -> None:
    """A rule's page has what, why, mend; a wrong name gets near ones and exit 2."""
    done = called("explain", "supply-to-ground")
    assert done.returncode == 0 and all(
        w in done.stdout for w in ("what", "why", "mend", "nobody may accept")
    )
    wrong = called("explain", "suply-to-ground")
    assert (wrong.returncode, wrong.stdout) == (2, "") and "supply-to-ground" in wrong.stderr
    bare = called("explain")
    assert bare.returncode == 0 and len(bare.stdout.splitlines()) <= 40
    assert all(word in bare.stdout for word in ("licensed-work", "functions", "readings"))
    assert called("explain", "--all").stdout.startswith("# The rule book")
    assert json.loads(called("explain", "--all", "--json").stdout)["rules"]


def test_a_missing_file_is_not_counted_as_looked_at() -> None:
    """Only the fault is told of it; nothing says that it was looked at."""
    report = check(["nowhere.yaml"])
    assert (2, ()) == (report.exit_code, report.others)


def test_a_folder_that_cannot_be_looked_into_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is no empty folder: what lies in it was not checked, and the exit code says so."""
    (tmp_path / "locked").mkdir()
    look = os.scandir

    def refused(path: str) -> object:
        if str(path).endswith("locked"):
            raise PermissionError(13, "Permission denied", str(path))
        return look(path)

    monkeypatch.setattr(os, "scandir", refused)
    report = check([DEMO_JOB, tmp_path])
    told = [found for found in report.findings if found.rule == "unreadable-file"]
    assert ["the folder cannot be looked into: permission denied"] == [f.message for f in told]
    assert report.exit_code == 2


def test_a_signature_waves_through_what_nobody_forbids() -> None:
    """A stop holds until somebody stands to it by name; what no signature waives holds on."""
    signed = Accepted(by="RK", date="2026-03-02", why="looked at it")
    stop = Finding(rule="some-rule", severity=Severity.STOP, message="something")
    assert stop.holds and not replace(stop, accepted=signed).holds
    assert replace(stop, accepted=signed, acceptable=False).holds


def test_a_folder_tells_apart_jobs_and_papers_that_no_job_names() -> None:
    """A job is told once, with its verdict."""
    report = check([DEMO])
    jobs = {job.path for job in report.jobs}
    assert len(jobs) > 1 and jobs.isdisjoint(report.others)


def test_a_job_that_cannot_be_read_has_no_box_ticked(tmp_path: Path) -> None:
    (tmp_path / "job.yaml").write_text("wiremap: job/1\nends: [\n", encoding="utf-8")
    (job,) = check([tmp_path / "job.yaml"]).jobs
    assert job.as_dict()["boxes"] == {"surveyed": [0, 0], "rung_out": [0, 0]}
    assert Place("job.yaml") == Place("job.yaml", 1, 1)
