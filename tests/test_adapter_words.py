"""Of a job in which nothing is cut, no text speaks of a cut, a splice or a tail."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
import sweeper
from test_words import texts

from wiremap.cli.main import main
from wiremap.content.compose import ANNEX_PARTS, compose
from wiremap.content.gather import gather
from wiremap.survey.question import WHO_KNOWS

OF_A_SPLICE = re.compile(
    r"(?:before|after|across|at|from) the cut\b|cut[- ]off|\bcutting\b|\bsplic(?:e|ed|ing)\b|\btails?\b"
    r"|machine half|\bpigtail|tie back|tied back",
    re.IGNORECASE,
)
OF_THE_TRADE = re.compile(r"splice trade|crimp splices")  # titles of sources
CALLS = (
    ("check",),
    ("next",),
    ("survey",),
    ("ringout",),
    ("ringout", "--power"),
    ("slips",),
    ("sign",),
)


@pytest.fixture(scope="module")
def adapters(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, ...]:
    """The demo's adapter, and one begun of the sweeper's plugs."""
    from demo_jobs import copied_demo

    folder = tmp_path_factory.mktemp("adapters")
    demo = copied_demo(folder / "demo").parent / "adapter" / "job.yaml"
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        patch.setattr("sys.stdin", io.StringIO(sweeper.ADAPTER))
        main(["start"])
    return demo, folder / "job.yaml"


def spliced(text: str) -> list[str]:
    """The lines that speak as if something were cut."""
    lines = text.splitlines()
    return [line for line in lines if OF_A_SPLICE.search(line) and not OF_THE_TRADE.search(line)]


@pytest.mark.parametrize("words", CALLS, ids=[" ".join(words) for words in CALLS])
@pytest.mark.parametrize("options", [(), ("--full",)], ids=["brief", "full"])
def test_no_command_speaks_of_a_cut(
    adapters: tuple[Path, ...],
    capsys: pytest.CaptureFixture[str],
    words: tuple[str, ...],
    options: tuple[str, ...],
) -> None:
    for job in adapters:
        capsys.readouterr()
        main([words[0], str(job), *words[1:], *options])
        said = capsys.readouterr()
        assert spliced(said.out + said.err) == []


def test_no_sheet_speaks_of_a_cut(adapters: tuple[Path, ...]) -> None:
    for job in adapters:
        given, _ = gather(job)
        assert given is not None
        assert spliced("\n".join(texts(compose(given, list(ANNEX_PARTS))))) == []


def test_who_could_know_is_told_of_any_job() -> None:
    assert spliced("\n".join(WHO_KNOWS.values())) == []


def test_the_test_finds_what_it_looks_for() -> None:
    found = ("machine half, after the cut", "cut-off connector", "near the splice", "tail")
    fine = ("orange, cut 320 mm", "cut on the lines", "a detail", "never cut, probed or joined")
    assert all(spliced(text) for text in found) and not any(spliced(text) for text in fine)
