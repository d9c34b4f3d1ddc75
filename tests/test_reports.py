"""Findings as text: every place shown with its line and the spot marked, nothing that could steer a terminal."""

from __future__ import annotations

import json
import re
import unicodedata
from pathlib import Path

import pytest
from called import called
from demo_jobs import DEMO_JOB
from hypothesis import given
from hypothesis import strategies as st

from wiremap.base import Accepted, Finding, Place, Severity, fault, numbers_told
from wiremap.check import Checked, PaperVerdict, Report, check
from wiremap.evidence import Count
from wiremap.reports.text import text as report_text

SEEN = {"a.yaml": "first: line\ncircuits: [loom.1 - donor.3]\n", "b.yaml": "x: äöü 線 = y\n"}


def stop(message: str = "loom.1 and loom.2 are joined", **more: object) -> Finding:
    return Finding(
        "supply-to-ground", Severity.STOP, message, ("loom.1",), Place("a.yaml", 2, 12), **more
    )  # type: ignore[arg-type]


def shown(*findings: Finding, colour: bool = False) -> str:
    return report_text(Report((), findings, SEEN, ()), colour=colour)


def test_a_finding_tells_everything() -> None:
    """Severity word, message, place, the line with the spot, second place, why, mend; in that order."""
    lines = shown(
        stop(why="It burns.", fix="Part them.", also=((Place("b.yaml", 1, 4), "the other side"),))
    ).splitlines()
    assert lines[0].startswith("STOP loom.1 and loom.2 are joined")
    assert "a.yaml:2:12" in lines[1] and "supply-to-ground" in lines[1]
    assert "circuits: [loom.1 - donor.3]" in lines[2]
    assert lines[2].index("loom.1") == lines[3].index("^")
    assert [line.strip() for line in lines[4:]] == [
        "b.yaml:1:4: the other side",
        "why: It burns.",
        "mend: Part them.",
    ]


@pytest.mark.parametrize(
    ("line", "col"),
    [
        ("x: äöü 線 = y", 8),
        ("x: e\u0301 = y", 5),
        ("\tx: y", 2),
        ("a" * 300 + "HERE" + "b" * 300, 301),
    ],
)
def test_the_mark_stands_under_the_spot(line: str, col: int) -> None:
    """Wide, combining and control characters and long lines do not move the mark (widths: Unicode East Asian Width)."""
    text = report_text(
        Report(
            (),
            (Finding("r", Severity.NOTE, "m", (), Place("c.yaml", 1, col)),),
            {"c.yaml": line},
            (),
        )
    )
    excerpt, mark = (row for row in text.splitlines()[2:4])
    before = excerpt[: excerpt.index(line[col - 1 : col + 2])] if col > 1 else excerpt
    width = sum(
        0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1
        for c in before
    )
    assert width == mark.index("^")
    assert len(excerpt) <= 110


def test_colour_only_when_told() -> None:
    plain, coloured = shown(stop()), shown(stop(), colour=True)
    assert "\x1b" not in plain
    assert plain == re.sub(r"\x1b\[[0-9;]*m", "", coloured) != coloured


HOSTILE = (
    "\x1b[2J",
    "\x1b]0;x\x07",
    "a\u202eb",
    "a\u200bb",
    "a\rb",
    "a\x00b",
    "a\x9bb",
    "\ud800",
    "a\u2028b",
    "a\nb",
    "\u0085",
    "\ufeff",
    "\x7f",
    "\U000e0001",
    "\u2066x\u2069",
)


@pytest.mark.parametrize("words", HOSTILE)
def test_nothing_steers_a_terminal(words: str) -> None:
    """Wherever the words of a user come through: message, place, why, mend, other places, signature, excerpt."""
    f = Finding(
        words,
        Severity.STOP,
        words,
        (words,),
        Place(words, 1, 1),
        words,
        words,
        ((Place(words, 1, 1), words),),
        Accepted(words, words, words),
    )
    text = report_text(Report((Checked(words, "hold", (f,)),), (f,), {words: words}, (words,)))
    assert [
        c for c in text if c != "\n" and unicodedata.category(c) in ("Cc", "Cf", "Cs", "Zl", "Zp")
    ] == []
    assert text.encode("utf-8")


@given(st.text(max_size=80))
def test_any_text_is_shown_and_none_is_lost(words: str) -> None:
    """Printable words come through as they are."""
    text = shown(stop(words))
    assert [c for c in text if c != "\n" and not c.isprintable() and not c.isspace()] == []
    assert (
        "".join(w for w in words.split() if w.isprintable())[:20] in "".join(text.split())
        or not words.isprintable()
    )


def test_a_signature_is_shown_and_told_apart() -> None:
    signed = Accepted("RK", "2026-03-02", "measured")
    assert "signed: RK, 2026-03-02: measured" in shown(stop(accepted=signed))
    assert "does not count" in shown(stop(accepted=signed, acceptable=False))


def test_the_verdict_line_of_each_job() -> None:
    """HOLD or paper in order, stops, cautions and how many are signed; a tally of several jobs; never `ready`."""
    signed = Accepted("RK", "2026-03-02", "x")
    caution = Finding("drop", Severity.CAUTION, "c")
    jobs = (
        Checked(
            "a.yaml",
            "hold",
            (stop(), stop("other"), caution, caution.accepted_as(signed)),
            Count(1, 2),
            Count(0, 3),
        ),
        Checked("b.yaml", "in-order", ()),
        Checked("c.yaml", "unread", ()),
    )
    lines = report_text(Report(jobs, (), {}, ())).splitlines()
    assert (
        lines[0] == "a.yaml: HOLD; 2 stops, 2 cautions (1 signed); surveyed 1 of 2, rung out 0 of 3"
    )
    assert (
        lines[1]
        == "b.yaml: paper in order; no stops, no cautions; surveyed 0 of 0, rung out 0 of 0"
    )
    assert "c.yaml: could not be read" in lines[2]
    assert lines[3] == "3 jobs: 1 could not be read, 1 HOLD, 1 paper in order"
    assert "ready" not in "".join(lines)


def test_the_demo_s_report_shows_every_finding_once() -> None:
    report = check([DEMO_JOB])
    text = report_text(report)
    assert len(report.findings) == len(re.findall(r"^(?:STOP|CAUTION|NOTE) ", text, re.MULTILINE))
    assert text.count("^") >= sum(f.place is not None for f in report.findings)


def test_unreadable_input_says_what_where_and_how_to_mend(tmp_path: Path) -> None:
    (tmp_path / "j.yaml").write_text(
        "wiremap: job/1\ntitle: x\nends: {a: none.yaml}\ncircuits: [a.1 - a.2]\n"
    )
    done = called("check", tmp_path / "j.yaml")
    assert done.returncode == 2
    assert (
        "none.yaml" in done.stdout
        and "mend: " in done.stdout
        and "Traceback" not in done.stdout + done.stderr
    )


def test_json_has_the_documented_shape() -> None:
    """Keys in their order, places as numbers, null where there is none."""
    done = called("check", "--json", DEMO_JOB)
    body = json.loads(done.stdout)
    assert list(body) == ["wiremap", "jobs", "findings", "wordings"]
    assert list(body["jobs"][0]) == [
        "file",
        "verdict",
        "boxes",
        "cautions",
        "wrong_at_power",
        "not_judged",
        "hash",
    ]
    keys = [
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
    ]
    assert all(keys == list(f) for f in body["findings"])
    assert all(isinstance(f["line"], int) for f in body["findings"] if f["file"])
    nowhere = Report((), (fault("r", "m"),), {}, ()).as_dict()["findings"][0]
    assert (nowhere["file"], nowhere["line"], nowhere["column"], nowhere["accepted"]) == (
        None,
        None,
        None,
        None,
    )


def test_numbers_in_a_row_are_told_by_their_ends() -> None:
    """Two are no row, and what stands alone is told by itself."""
    assert numbers_told([3, 5, 6, 7, 9, 10]) == "3, 5 to 7, 9, 10"


@pytest.mark.parametrize("count", [1, 2])
def test_several_verdicts_are_summed_up(count: int) -> None:
    """One stands for itself."""
    jobs = tuple(Checked(f"{n}.yaml", PaperVerdict.HOLD, ()) for n in range(count))
    lines = report_text(Report(jobs, (), {}, ())).splitlines()
    assert len(lines) == (1 if count == 1 else count + 1)
