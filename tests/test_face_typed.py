"""A front is typed in words and kept as an answer; nobody writes a line of YAML for it."""

from __future__ import annotations

from pathlib import Path

import pytest

from wiremap.check import check
from wiremap.cli.main import main
from wiremap.entries.face_words import example, read_face
from wiremap.evidence.settle import settle
from wiremap.files import load_job
from wiremap.model import Face

SIX = ("1", "2", "3", "4", "5", "6")


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        ("1-3 / 4-6", (("1", "2", "3"), ("4", "5", "6"))),
        ("3-1/6-4", (("3", "2", "1"), ("6", "5", "4"))),
        ("1 2 3; 4, 5, 6", (("1", "2", "3"), ("4", "5", "6"))),
        ("1 - 2 . / 3-6", (("1", "2", None), ("3", "4", "5", "6"))),
    ],
)
def test_rows_are_read_from_left_to_right(
    text: str, rows: tuple[tuple[str | None, ...], ...]
) -> None:
    read = read_face(text, SIX)
    assert isinstance(read, Face) and read.rows == rows and read.view == "mating"


@pytest.mark.parametrize("text", ["1-3 / 4-6, key left", "1-3 / 4-6 keyway LEFT"])
def test_the_keyway_is_told_behind_the_rows(text: str) -> None:
    read = read_face(text, SIX)
    assert isinstance(read, Face) and read.key == "left"


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("1-3 / 4-7", "no cavity 7"),
        ("1-3 / 3-6", "3 stands there twice"),
        ("1-3 / 4 5", "6 is not in it"),
        ("", "1, 2, 3"),
        ("1-9999 " * 500, "no cavity 7"),
    ],
)
def test_what_does_not_fit_the_connector_is_refused(text: str, why: str) -> None:
    read = read_face(text, SIX)
    assert isinstance(read, str) and why in read


@pytest.mark.parametrize("names", [SIX, ("A1", "A2", "B1"), ("1",), ("1-2", "3", "4", "5")])
def test_the_example_fits_the_connector_that_it_is_shown_for(names: tuple[str, ...]) -> None:
    assert isinstance(read_face(example(names), names), Face)


PAPER = (
    "wiremap: pinout/1\ntitle: {}\ncavities:\n  1: +12 always\n  2: ground\n  3: horn\n  4: lamp\n"
)


def test_a_typed_front_is_kept_and_drawn(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Asked with the line to type; afterwards the fronts are there, and it is not asked again."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("WIREMAP_BY", "RK")
    for name in ("old", "new"):
        Path(f"{name}.yaml").write_text(PAPER.format(name), "utf-8")
    main(["propose", "old.yaml", "new.yaml", "-o", "job.yaml"])
    capsys.readouterr()
    main(["next", "job.yaml", "--about", "old.face"])
    asked = " ".join(capsys.readouterr().out.split())
    assert (
        " 1 2 / 3 4, keyway top" in asked
        and "as 1 2" not in asked
        and "YAML" not in asked
        and "half:" not in asked
    )
    assert 2 == main(["next", "job.yaml", "--about", "old.face", "--answer", "1 2 / 3 5"])
    assert "there is no cavity 5" in " ".join(capsys.readouterr().err.split())
    said = ("--about", "old.face", "--answer", "2 1 / 4 3, key top")
    assert 0 == main(["next", "job.yaml", *said])
    job = load_job("job.yaml").value
    assert job is not None
    face = settle(job).ends["old"].pinout.connector.face
    assert face is not None and face.rows == (("2", "1"), ("4", "3")) and face.key == "top"
    assert not [each for each in check(["job.yaml"]).findings if each.rule == "answer-not-counted"]
    capsys.readouterr()
    main(["next", "job.yaml", "--about", "old.face"])
    assert "no question about old.face stands" in capsys.readouterr().out


def test_a_run_beyond_every_shell_is_strange() -> None:
    """A long run is not cut to the cavities that are there: what is too much is named."""
    cavities = [str(n) for n in range(1, 4097)]
    assert read_face("1-9999", cavities) == "there is no cavity 4097"
