"""What mends a finding, as a screen tells it and as paper does."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from sheet_cases import demo_given, given_of

from wiremap.base import Accepted, Finding, Severity
from wiremap.check import check
from wiremap.content.cautions import ACTS, Act, caution_steps
from wiremap.content.compose import compose
from wiremap.content.pieces import Ledger
from wiremap.content.steps import Steps
from wiremap.evidence.allowed import allowed
from wiremap.rules.cure import by_hand, on_screen, typed
from wiremap.rules.registry import RULES

CASES = Path(__file__).parent / "cases"
COMMAND = re.compile(r"wiremap [a-z]+ (?:JOB|--)|--[a-z]")


@cache
def told() -> tuple[Finding, ...]:
    """Every finding of every bad case, its sentences filled in."""
    return tuple(f for path in sorted(CASES.glob("*/bad*.yaml")) for f in check([path]).findings)


def commanding() -> Iterator[Finding]:
    return (finding for finding in told() if COMMAND.search(finding.fix))


def test_no_filled_cure_on_paper_tells_a_command() -> None:
    """Who stands at the machine has no terminal: what hands do is left, and is a whole sentence."""
    assert len({finding.rule for finding in commanding()}) > 25
    for finding in commanding():
        words = finding.on_paper
        assert words and not COMMAND.search(words), finding.rule
        assert words.count("(") == words.count(")") and words.count('"') % 2 == 0, words
        assert words[-1] not in ":;," and ": ;" not in words and "  " not in words, words


def test_no_finding_bears_a_mark() -> None:
    for finding in told():
        assert (finding.message + finding.why + finding.fix + finding.on_paper).isprintable()


def test_no_filled_cure_on_paper_is_cut_in_an_address() -> None:
    """Each piece that is left ends where its command begins, not inside what the command is about."""
    for finding in commanding():
        for word in finding.on_paper.split():
            whole = re.split(r"[\s,;:()]+|\.(?=\s|$)", finding.fix)
            assert word.strip(".,;:()") in whole, word


@pytest.mark.parametrize(
    ("rule", "words"),
    [
        ("ask-unsettled", "Find out at the machine, then say it by name"),
        ("wire-needed", "Say which, and how long"),
        ("licensed-work", "if the words mean something else, say what; or leave the contact out."),
    ],
)
def test_cures_on_paper(rule: str, words: str) -> None:
    """Of these paper once told pieces: `say it by name.1 - new.3 - new.4"`."""
    for finding in told():
        if finding.rule == rule:
            assert finding.on_paper.endswith(words)


def test_a_path_with_dots_is_no_end_of_a_command() -> None:
    cure = "Say it by name" + typed(": wiremap next ../a.b/job.yaml --about loom.6") + "; or sign."
    assert by_hand(cure) == "Say it by name; or sign."
    assert (
        on_screen(cure) == "Say it by name: wiremap next ../a.b/job.yaml --about loom.6; or sign."
    )


def test_the_questions_of_a_held_sheet_tell_no_command() -> None:
    given = given_of(check([CASES / "ask-unsettled" / "bad.yaml"]).jobs[0])
    sections = {section.key: section for section in compose(given, ["findings"]).sections}
    section = sections["questions"]
    notes = [
        step.note for block in section.blocks if isinstance(block, Steps) for step in block.steps
    ]
    assert "Find out at the machine, then say it by name" in notes
    assert not any("wiremap" in note or '"' in note for note in notes)
    ledger = next(b for b in sections["findings"].blocks if isinstance(b, Ledger))
    assert not any(COMMAND.search(cell) for row in ledger.rows for cell in row)


def test_only_what_says_so_is_done_once_signed(monkeypatch: pytest.MonkeyPatch) -> None:
    """The words of an act decide nothing: a gauge step is looked at though it was signed."""
    monkeypatch.setitem(ACTS, "gauge-step", Act("look at the signal wire and its fuse"))
    signed = Accepted(by="RK", date="2026-01-01", why="seen")
    given = demo_given()
    found = [
        Finding(rule, Severity.CAUTION, "told", ("loom.1",), accepted=signed)
        for rule in ("gauge-step", "voltage-drop")
    ]
    words = [step.text for step in caution_steps(replace(given, findings=tuple(found)))]
    assert words == ["loom.1: told: look at the signal wire and its fuse", "loom.1: told"]


ASKS_FOR_TYPING = re.compile(
    r"\b(?:signs?|states?|stated|correct|figures?|say|answer|written|write|list|name)\b",
    re.IGNORECASE,
)
FIELD = re.compile(r"`[a-zA-Z_]+(?:: [a-z]+)?`")
ON_PAPER_OR_IN_THE_MAP = frozenset(  # what is written by hand, or into the map of the file itself
    {"fuse-no-such-rating", "fuse-to-be-changed", "one-point", "table-misread", "two-fuses"}
    | {"unknown-cavity"}
)


def test_every_cure_that_asks_for_typing_names_its_command() -> None:
    """With the address filled in; or the field of the file, where no command writes it."""
    seen = {finding.rule for finding in told()}
    assert seen > ON_PAPER_OR_IN_THE_MAP
    for finding in told():
        if finding.rule in ON_PAPER_OR_IN_THE_MAP or finding.rule not in RULES:
            continue
        if ASKS_FOR_TYPING.search(finding.fix):
            assert "wiremap " in finding.fix or FIELD.search(finding.fix), finding


def test_every_address_that_a_cure_names_can_be_answered() -> None:
    """Each `--about` of each finding speaks of something of its job that takes an answer."""
    asked = 0
    for path in sorted(CASES.glob("*/bad*.yaml")):
        checked = check([path]).jobs
        if not checked or checked[0].job is None:
            continue
        for finding in checked[0].findings:
            for about in re.findall(r'--about (?:"([^"]+)"|(\S+?))[.,;:)]*(?:\s|$)', finding.fix):
                address = next(filter(None, about))
                if address.isupper() or "CONTACT" in address:
                    continue
                asked += 1
                assert allowed(checked[0].job, address) is not None, (path, finding.rule, address)
    assert asked > 100
