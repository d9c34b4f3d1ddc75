"""A check as a person takes it in: within a screen, the verdict first, like things as one line."""

from __future__ import annotations

from pathlib import Path

import pytest
from called import last_step
from demo_jobs import DEMO_JOB

from wiremap.base import Accepted, Finding, Place, Severity
from wiremap.check import Checked, PaperVerdict, Report, check
from wiremap.cli.main import main
from wiremap.reports.brief import MOST_CAUTIONS, brief
from wiremap.reports.screen import named_up_to

pytestmark = pytest.mark.usefixtures("usual_screen")
FINISHED_LINES = 40
SKETCH_LINES = 60


def caution(rule: str, *subject: str, accepted: Accepted | None = None) -> Finding:
    """A caution about something."""
    words = f"{subject[0]} may be wrong"
    return Finding(rule, Severity.CAUTION, words, subject, Place("j.yaml", 3), accepted=accepted)


def report(*findings: Finding) -> Report:
    """A report of one job with these findings."""
    holds = any(finding.holds for finding in findings)
    verdict = PaperVerdict.HOLD if holds else PaperVerdict.IN_ORDER
    return Report((Checked("j.yaml", verdict, findings),), findings, {})


def test_the_finished_demo_fits_a_screen() -> None:
    """The verdict is the first line, what comes next the last."""
    lines = brief(check([DEMO_JOB])).splitlines()
    assert len(lines) <= FINISHED_LINES
    assert lines[0].startswith(str(DEMO_JOB))
    assert last_step(lines)


def test_a_first_sketch_fits_a_long_screen(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two plugs of twenty ways, nothing stated but the wordings; `--full` still tells all."""
    words = ["Supply", "Ground", "CAN high", "CAN low", *(f"Sensor {n}" for n in range(16))]
    for name in ("old", "new"):
        rows = "\n".join(f"  {n}: {word}" for n, word in enumerate(words, 1))
        text = f"wiremap: pinout/1\ntitle: {name} plug\ncavities:\n{rows}\n"
        (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
    job = tmp_path / "job.yaml"
    main(["propose", str(tmp_path / "old.yaml"), str(tmp_path / "new.yaml"), "-o", str(job)])
    capsys.readouterr()
    main(["check", str(job)])
    told = capsys.readouterr().out.splitlines()
    main(["check", str(job), "--full"])
    full = capsys.readouterr().out.splitlines()
    assert len(told) <= SKETCH_LINES
    assert len(full) > 3 * len(told)


def test_like_things_are_one() -> None:
    """Twelve cautions of a rule are one sentence, with the others named or counted."""
    found = [caution("some-rule", f"loom.{n}") for n in range(1, 13)]
    told = brief(report(*found))
    assert told.count("CAUTION") == 1
    assert "likewise loom.2, loom.3, loom.4, loom.5, loom.6, loom.7 and 5 more" in told


def test_what_is_counted_names_the_flag_that_tells_it() -> None:
    """Nobody guesses how the rest is read; where all is named nothing stands behind."""
    contacts = ("loom.1", "loom.2", "loom.3")
    assert named_up_to(contacts, 2) == "loom.1, loom.2 and 1 more (--full)"
    assert named_up_to(contacts, 2, by="--json") == "loom.1, loom.2 and 1 more (--json)"
    assert named_up_to(contacts, 3) == "loom.1, loom.2, loom.3"


def test_signed_ones_are_one_line() -> None:
    """By whom, and none of their sentences."""
    signed = Accepted("RK", "2026-03-02", "looked at it")
    told = brief(report(caution("a", "x", accepted=signed), caution("b", "y", accepted=signed)))
    assert "signed: 2 cautions, by RK" in told
    assert "CAUTION" not in told


def test_what_is_not_shown_is_counted() -> None:
    """Kinds beyond what a person takes in at once stand as a number."""
    found = [caution(f"rule-{n:02}", "loom.1") for n in range(MOST_CAUTIONS + 3)]
    told = brief(report(*found))
    assert told.count("CAUTION") == MOST_CAUTIONS
    assert "and 3 more cautions of other kinds: --full tells them" in told


def test_no_line_is_too_wide() -> None:
    """Long sentences wrap, and what is cut off is marked."""
    found = Finding("r", Severity.STOP, "word " * 800, ("loom.1",), fix="mend " * 800)
    told = brief(report(found)).splitlines()
    assert max(map(len, told)) <= 100
    assert sum(line.endswith("...") for line in told) == 2


def test_a_sentence_is_told_whole_where_it_fits_the_screen() -> None:
    """Of many long ones fewer are told, the others counted, before any is cut off."""
    long = [Finding(f"r{n}", Severity.STOP, f"word{n} " * 60, (f"loom.{n}",)) for n in range(11)]
    few = brief(report(*long[:3]))
    assert "..." not in few and few.count("word2") == 60
    many = brief(report(*long))
    assert "..." not in many and "and 3 more stops of other kinds: --full tells them" in many


def test_a_name_cannot_forge_a_line() -> None:
    """Line breaks and escapes in what files say are shown as what they are."""
    told = brief(report(caution("r", "loom.1\nnext: power up", accepted=None)))
    assert "\nnext: power up" not in told
    assert "<U+000A>" in told


def test_a_command_is_never_cut_out_of_a_cure() -> None:
    """Where words must go, they go before the command: it is what a person copies."""
    call = "wiremap next j.yaml --about loom.1.fuse_amps"
    stop = Finding("r", Severity.STOP, "word", ("loom.1",), fix=f"{'mend ' * 800}: {call}")
    told = brief(report(stop))
    assert call in told and " ..." in told
