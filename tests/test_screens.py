"""No command and no turn of a talk fills more than a screen: forty lines, sixty for a first sketch's check."""

from __future__ import annotations

import contextlib
import io
import shutil
from pathlib import Path

import pytest
import sweeper
from keyboard import Keyboard

from wiremap.cli.main import COMMANDS, main

pytestmark = pytest.mark.usefixtures("usual_screen")
SCREEN, SKETCH = 40, 60
PROMPT = "> "
OF_A_JOB = (
    ("check",),
    ("next",),
    ("next", "--kept"),
    ("sign",),
    ("survey",),
    ("survey", "--judge"),
    ("ringout",),
    ("ringout", "--judge"),
    ("ringout", "--method", "rest"),
    ("ringout", "--method", "ganged"),
    ("ringout", "--power"),
    ("ringout", "--power", "--judge"),
    ("slips",),
)
PAPERS = ("papers/series1-loom.yaml", "papers/series2-donor.yaml")
OTHERS = (
    ("check", "."),
    ("check", "papers"),
    ("check", PAPERS[1]),
    ("next", PAPERS[1]),
    ("survey", PAPERS[0]),
    ("compare", *PAPERS),
    ("compare", "job.yaml", "adapter/job.yaml"),
    ("compare", "--ways", "adapter/splice.yaml", "adapter/job.yaml"),
    ("propose", *PAPERS, "-o", "new.yaml"),
    ("propose", *PAPERS, "--adapter", "-o", "new.yaml"),
    ("propose", "--keep-answers", "job.yaml", "-o", "new.yaml"),
    ("sheet", "job.yaml", "-o", "s.pdf"),
    ("explain",),
    ("explain", "readings"),
    ("explain", "functions"),
)
BOUGHT = (
    ("ringout", *PAPERS),
    ("ringout", *PAPERS, "--readings", "bought.txt"),
)


@pytest.fixture(scope="module")
def sketched(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sweeper begun as a splice with a module, and beside it as an adapter."""
    above = tmp_path_factory.mktemp("sweeper")
    with pytest.MonkeyPatch.context() as patch:
        for name, text in (("splice", sweeper.SPLICE), ("adapter", sweeper.ADAPTER)):
            (above / name).mkdir()
            patch.chdir(above / name)
            patch.setattr("sys.stdin", io.StringIO(text))
            assert main(["start"]) == 0
            assert (above / name / "job.yaml").exists()
    return above


@pytest.fixture
def sketch(sketched: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = shutil.copytree(sketched, tmp_path / "sweeper")
    monkeypatch.chdir(folder)
    return folder


def screens(
    capsys: pytest.CaptureFixture[str], words: tuple[str, ...], typed: str | None = None
) -> list[int]:
    """How many lines a call prints on both streams, one figure for each turn of a talk."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("sys.stdin", io.StringIO() if typed is None else Keyboard(typed))
        capsys.readouterr()
        with contextlib.suppress(SystemExit):
            main(words)
        told = capsys.readouterr()
    return [len(turn.splitlines()) for turn in f"{told.out}{told.err}".split(PROMPT)]


@pytest.mark.parametrize("words", OF_A_JOB, ids=[" ".join(words) for words in OF_A_JOB])
@pytest.mark.parametrize("job", ["job.yaml", "adapter/job.yaml", "adapter/splice.yaml"])
def test_a_demo_fits(
    demo_folder: Path, capsys: pytest.CaptureFixture[str], job: str, words: tuple[str, ...]
) -> None:
    command, *options = words
    assert max(screens(capsys, (command, job, *options))) <= SCREEN


@pytest.mark.parametrize("words", OF_A_JOB, ids=[" ".join(words) for words in OF_A_JOB])
@pytest.mark.parametrize("job", ["splice/job.yaml", "adapter/job.yaml"])
def test_a_first_sketch_fits(
    sketch: Path, capsys: pytest.CaptureFixture[str], job: str, words: tuple[str, ...]
) -> None:
    command, *options = words
    most = SKETCH if command == "check" else SCREEN
    assert max(screens(capsys, (command, job, *options))) <= most


@pytest.mark.parametrize("words", OTHERS, ids=[" ".join(words) for words in OTHERS])
def test_all_others_fit(
    demo_folder: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    assert max(screens(capsys, words)) <= SCREEN


@pytest.mark.parametrize("words", BOUGHT, ids=[" ".join(words) for words in BOUGHT])
def test_a_bought_adapter_fits(
    demo_folder: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    assert max(screens(capsys, words)) <= SCREEN


@pytest.mark.parametrize("command", COMMANDS)
def test_help_fits(capsys: pytest.CaptureFixture[str], command: str) -> None:
    assert max(screens(capsys, (command, "--help"))) <= SCREEN


def test_a_batch_of_answers_fits(sketch: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = [f"new.{n}.basis: document; how: page {n}" for n in range(1, 6)]
    lines += [f"{end}.tail_mm: {n}00" for n, end in enumerate(("old", "old2", "new"), 1)]
    lines += ["supply.volts: 24", "surroundings.wet: no", "surroundings.ambient_C: 40"]
    lines += [f"old.{n}.amps: {n}; how: leaflet" for n in range(1, 9)]
    Path("b.txt").write_text("\n".join(lines), "utf-8")
    call = ("next", "splice/job.yaml", "--batch", "b.txt", "--by", "RK")
    assert max(screens(capsys, call)) <= SCREEN
    assert max(screens(capsys, ("next", "splice/job.yaml", "--kept"))) <= SCREEN


TALKS = (
    (("start", "--folder", "new"), sweeper.SPLICE),
    (("start", "--folder", "new"), sweeper.ADAPTER),
    (("next", "splice/job.yaml", "--by", "RK"), "l\n" * 60),
    (("next", "adapter/job.yaml", "--by", "RK"), "l\n" * 60),
    (("next", "splice/job.yaml", "--by", "RK"), "s\nl\n" * 60),
    (("sign", "splice/job.yaml", "--by", "RK"), "l\n" * 60),
    (("ringout", "splice/job.yaml", "--walk", "--by", "RK"), "neither\n50\nb\ns\n" * 6),
    (("ringout", "adapter/job.yaml", "--walk", "--by", "RK"), "neither\n50\nb\ns\n" * 6),
)


@pytest.mark.parametrize(("words", "typed"), TALKS, ids=[" ".join(words) for words, _ in TALKS])
def test_every_turn_of_a_talk_fits(
    sketch: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], typed: str
) -> None:
    (sketch / "new").mkdir()
    turns = screens(capsys, words, typed)
    assert len(turns) > 4 and max(turns) <= SCREEN
