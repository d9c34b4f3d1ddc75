"""What is printed is said in the trade's words: words of the code and of the first drafts stay out."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from demo_jobs import DEMO_JOB

from wiremap.cli.main import COMMANDS, main
from wiremap.cli.size_options import things
from wiremap.content.compose import ANNEX_PARTS, compose
from wiremap.content.gather import gather

RETIRED = re.compile(
    r"\bsentinels?\b|\bcombs?\b|\bnets?\b|\bdatums?\b|\babreast\b|\bstations?\b|\blumps?\b"
    r"|rests on document|\bowed\b|harm first|is a face misread|on one metal|the metal of|\bcmil\b"
    r"|signatures? (?:in|of) (?:ohms|volts)|(?:to|as) signatures|settings? of a probe"
    r"|control units alone|T behind|behind the T|no remake|pair of eyes|\bbare \d+-\d"
    r"|(?<!-)\bhearsay\b|(?<![-`])\blegs?\b(?!-)|[Nn]o home"
    r"|contact is good for is|only one paper says|\b1 more lines|first first|as built: hold"
    r"|\bkey (?:on|off|top|left|right|bottom)\b|with the key\b"
)
# (function words such as `interlock-out` are what a file says, and stay as the file says them)
PAPERS = ("papers/series1-loom.yaml", "papers/series2-donor.yaml")
CALLS = (
    ("check", "job.yaml", "--full"),
    ("check", "papers"),
    ("slips", "job.yaml", "--full"),
    ("survey", "job.yaml", "--full"),
    ("survey", "job.yaml"),
    ("survey", "job.yaml", "--readings", "read.txt", "--full"),
    ("ringout", "job.yaml", "--full"),
    ("ringout", "job.yaml", "--method", "rest", "--full"),
    ("ringout", "job.yaml", "--method", "ganged"),
    ("ringout", "job.yaml", "--readings", "probed.txt", "--full"),
    ("ringout", "job.yaml", "--power", "--full"),
    ("ringout", *PAPERS),
    ("ringout", *PAPERS, "--readings", "bought.txt"),
    ("propose", *PAPERS),
    ("propose", *PAPERS, "--adapter"),
    ("explain", "--all"),
    ("explain", "functions"),
    ("next", PAPERS[0], "--full"),
    ("next", "job.yaml", "--kept"),
    ("next", "job.yaml", "--about", "loom.2"),
    ("sign", "job.yaml"),
    ("compare", PAPERS[0], "series1-loom.yaml"),
    ("start", "job", *PAPERS),
    ("intake", "--back", "job.yaml"),
    ("size", "stagger", "--run", "390", "--tail", "350", "--tail", "180", "--joints", "16"),
    ("size", "joint", "--csa", "0.5", "--csa", "0.5"),
)


@pytest.fixture(autouse=True)
def eighty_columns(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")


def retired(text: str) -> list[str]:
    """The lines that bear a retired word."""
    return [line for line in text.splitlines() if RETIRED.search(line)]


@pytest.mark.parametrize("words", CALLS, ids=[" ".join(words) for words in CALLS])
def test_no_command_prints_a_retired_word(
    demo_folder: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    """On standard output and on standard error."""
    assert main(words) in (0, 1)
    said = capsys.readouterr()
    assert retired(said.out + said.err) == []


NAMES_OF_RULES = re.compile(r"\[[a-z]+(?:-[a-z]+)+\]|\binterlock-(?:out|back)\b")
TOLD_BRIEFLY = (
    ("check", "job.yaml"),
    ("check", "sketch.yaml"),
    ("sign", "sketch.yaml"),
    ("next", "sketch.yaml", "--full"),
    ("survey", "sketch.yaml"),
    ("slips", "job.yaml"),
    ("ringout", "job.yaml"),
    ("ringout", *PAPERS, "--readings", "bought.txt"),
    ("propose", *PAPERS, "-o", "anew.yaml"),
)


@pytest.mark.parametrize("words", TOLD_BRIEFLY, ids=[" ".join(words) for words in TOLD_BRIEFLY])
def test_what_is_brief_names_no_rule(
    demo_folder: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    """The ids of rules stand in `--full` and `--json`; a guard loop is called a guard loop."""
    assert main(("propose", *PAPERS, "-o", "sketch.yaml")) in (0, 1)
    capsys.readouterr()
    assert main(words) in (0, 1)
    said = capsys.readouterr()
    assert NAMES_OF_RULES.findall(said.out + said.err) == []


def test_no_help_prints_a_retired_word(capsys: pytest.CaptureFixture[str]) -> None:
    """Of any command, and of all that it sizes or starts."""
    calls = [[command] for command in COMMANDS]
    calls += [["size", thing] for thing in things()]
    for words in calls:
        with pytest.raises(SystemExit):
            main([*words, "--help"])
    assert retired(capsys.readouterr().out) == []


def test_the_sheet_prints_no_retired_word() -> None:
    """Bench pages and annex of the demo."""
    given, _ = gather(DEMO_JOB)
    assert given is not None
    assert retired("\n".join(texts(compose(given, list(ANNEX_PARTS))))) == []


def texts(value: object) -> Iterator[str]:
    """Every text within dataclasses, lists and mappings, without the names by which code knows it."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        yield from texts(list(value.values()))
    elif isinstance(value, list | tuple):
        for each in value:
            yield from texts(each)
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            if field.name != "key":
                yield from texts(getattr(value, field.name))


def test_the_test_finds_what_it_looks_for() -> None:
    """Each word in a sentence of its own is found; the same letters in other words are not."""
    found = (
        "two abreast",
        "the datum",
        "key off: 0 V",
        "bare 22-16",
        "as signatures",
        "one net",
        "the legs",
    )
    fine = ("network", "Key on (loom.4)", "keyway up", "no signature waives it", "magnetic")
    assert all(retired(text) for text in found)
    assert not any(retired(text) for text in fine)
