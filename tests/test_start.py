"""`wiremap start`, and writing files: blanks load, nothing is written over by accident, two writers lose nothing."""

from __future__ import annotations

import json
import multiprocessing
import os
import stat
import sys
from pathlib import Path

import pytest
import yaml

from wiremap.cli.main import main
from wiremap.files import load_job, load_notebook, load_pinout
from wiremap.files.blanks import rows_of
from wiremap.files.write import lock, update_text, write_bytes, write_text
from wiremap.share.beginning import pinout_of_rows

pytestmark = pytest.mark.usefixtures("empty_folder")


def test_a_blank_pinout_loads_and_says_what_to_do(
    empty_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["start", "pinout", "--cavities", "14", "--rows", "2", "-o", "old.yaml"]) == 0
    out = capsys.readouterr().out
    assert "wrote old.yaml" in out and "wiremap check old.yaml" in out
    loaded = load_pinout("old.yaml")
    assert loaded.value is not None and not loaded.findings
    assert list(loaded.value.cavities) == [str(n) for n in range(1, 15)]
    assert {cavity.function for cavity in loaded.value.cavities.values()} == {"unknown"}
    assert loaded.value.connector.face is None  # no view is guessed
    text = Path("old.yaml").read_text("utf-8")
    assert text.startswith(
        "# yaml-language-server: $schema=schemas/pinout-1.json\n# $schema: schemas/pinout-1.json\nwiremap: pinout/1\n"
    )
    assert "rows: [[1, 2, 3, 4, 5, 6, 7], [8, 9, 10, 11, 12, 13, 14]]" in text


def test_the_commented_parts_of_a_blank_load_when_their_hashes_are_taken_away(
    empty_folder: Path,
) -> None:
    assert main(["start", "pinout", "--cavities", "14", "--rows", "2", "-o", "old.yaml"]) == 0
    lines = Path("old.yaml").read_text("utf-8").splitlines()
    known = (
        "letters:",
        "source:",
        "half:",
        "connector:",
        "  shell:",
        "  contacts:",
        "  face:",
        "  accepts:",
        "inside:",
        "behind:",
    )
    opened = [
        line[2:] if line.startswith("# ") and line[2:].startswith(known) else line for line in lines
    ]
    assert opened != lines
    Path("opened.yaml").write_text("\n".join(opened) + "\n", encoding="utf-8")
    loaded = load_pinout("opened.yaml")
    assert loaded.value is not None, [one.message for one in loaded.findings]
    assert loaded.value.connector.face is not None and loaded.value.behind


def test_view_and_half_make_the_face_stand(empty_folder: Path) -> None:
    assert (
        main(
            [
                "start",
                "pinout",
                "--cavities",
                "5",
                "--rows",
                "2",
                "--view",
                "mating",
                "--half",
                "wired",
                "-o",
                "a.yaml",
            ]
        )
        == 0
    )
    face = load_pinout("a.yaml").value
    assert face is not None and face.connector.face is not None
    assert face.connector.face.rows == (("1", "2", "3"), ("4", "5"))
    assert rows_of(7, 3) == [["1", "2", "3"], ["4", "5"], ["6", "7"]]


def test_title_is_quoted_where_needed(empty_folder: Path) -> None:
    assert (
        main(["start", "pinout", "--cavities", "1", "--title", "old: #1 [x", "-o", "a.yaml"]) == 0
    )
    loaded = load_pinout("a.yaml").value
    assert loaded is not None and loaded.title == "old: #1 [x"


def test_a_blank_job_loads_and_shows_both_tables(
    empty_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name, count in (("old", "3"), ("new", "2")):
        assert main(["start", "pinout", "--cavities", count, "-o", f"{name}.yaml"]) == 0
    assert main(["start", "job", "old.yaml", "new.yaml", "-o", "job.yaml"]) == 0
    assert "wiremap propose old.yaml new.yaml" in capsys.readouterr().out
    loaded = load_job("job.yaml")
    assert loaded.value is not None and not loaded.findings
    assert [(end.name, end.kind, end.side) for end in loaded.value.ends.values()] == [
        ("loom", "cut-tail", "machine"),
        ("donor", "pigtail", "unit"),
    ]
    text = Path("job.yaml").read_text("utf-8")
    assert all(f"#   {point}" in text for point in ("loom.1", "loom.3", "donor.2"))
    assert loaded.value.supply.volts is None  # no volts are guessed


def test_blank_to_standard_output_and_json(
    empty_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["start", "pinout", "--cavities", "2"]) == 0
    text = capsys.readouterr().out
    assert yaml.safe_load(text)["cavities"] == {1: "?", 2: "?"}
    assert main(["start", "pinout", "--cavities", "2", "--json"]) == 0
    body = json.loads(capsys.readouterr().out)
    assert next(iter(body)) == "wiremap" and body["wiremap"] == "start/1" and body["text"] == text
    assert not list(empty_folder.iterdir())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["pinout", "--cavities", "x"], "whole number"),
        (["pinout", "--cavities", "0"], "1 to 4096"),
        (["pinout", "--cavities", "5000"], "1 to 4096"),
        (["pinout", "--cavities", "3", "--rows", "4"], "1 to 3 rows"),
        (["pinout", "--cavities", "3", "--view", "mating"], "go together"),
        (["pinout", "--cavities", "-3"], ""),
        (["job", "old.yaml", "missing.yaml"], "no such file"),
        (["job", "old.yaml", "."], "folder"),
        (["pinout", "--cavities", "3", "-o", "no/such/x.yaml"], "not there"),
        (["pinout", "--cavities", "3", "-o", "."], "folder"),
        (["pinout", "--cavities", "3", "-o", "old.yaml"], "kept"),
        (["job", "old.yaml", "old.yaml", "-o", "old.yaml", "--force"], "not written over"),
    ],
)
def test_wrong_calls_write_nothing(
    empty_folder: Path, capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    main(["start", "pinout", "--cavities", "3", "-o", "old.yaml"])
    before = {path.name: path.read_bytes() for path in empty_folder.iterdir()}
    capsys.readouterr()
    try:
        code = main(["start", *words])
    except SystemExit as stop:
        code = int(stop.code or 0)
    shown = capsys.readouterr()
    assert code == 2 and said in shown.err and "Traceback" not in shown.err and not shown.out
    assert {path.name: path.read_bytes() for path in empty_folder.iterdir()} == before


def test_a_job_is_written_beside_its_pinouts(
    empty_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (empty_folder / "sub").mkdir()
    main(["start", "pinout", "--cavities", "3", "-o", "old.yaml"])
    assert main(["start", "job", "old.yaml", "old.yaml", "-o", "sub/job.yaml"]) == 2
    assert "outside the folder" in capsys.readouterr().err
    main(["start", "pinout", "--cavities", "3", "-o", "sub/new.yaml"])
    assert main(["start", "job", "old.yaml", "sub/new.yaml", "-o", "job.yaml"]) == 0
    assert load_job("job.yaml").value is not None


def test_schemas_for_an_editor(empty_folder: Path) -> None:
    assert main(["start", "schemas"]) == 0
    assert (
        json.loads((empty_folder / "schemas" / "job-1.json").read_text("utf-8"))["title"] == "Job"
    )
    assert main(["start", "schemas"]) == 2 and main(["start", "schemas", "--force"]) == 0


# ---- writing


def test_writing_is_all_or_nothing(empty_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert write_text("a.txt", "one") is None
    refused = write_text("a.txt", "two")
    assert (
        refused is not None and refused.rule == "file-exists" and Path("a.txt").read_text() == "one"
    )
    assert write_text("a.txt", "two", overwrite=True) is None and Path("a.txt").read_text() == "two"

    def fail(*args: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "replace", fail)
    with pytest.raises(KeyboardInterrupt):
        write_bytes("a.txt", b"three", overwrite=True)
    assert Path("a.txt").read_text() == "two"
    assert [path.name for path in empty_folder.iterdir()] == [
        "a.txt"
    ]  # no half-written file stays behind


def test_an_input_is_never_written_over(empty_folder: Path) -> None:
    Path("in.yaml").write_text("x")
    refused = write_text("./in.yaml", "y", overwrite=True, inputs=["in.yaml"])
    assert refused is not None and Path("in.yaml").read_text() == "x"


@pytest.mark.skipif(sys.platform == "win32", reason="links and file modes are another matter there")
def test_links_are_not_followed_and_modes_are_kept(empty_folder: Path) -> None:
    Path("real").write_text("x")
    Path("link").symlink_to("real")
    Path("dangling").symlink_to("nowhere")
    for name in ("link", "dangling"):
        assert write_text(name, "y", overwrite=True) is not None
        assert update_text(name, lambda old: "y") is not None
    assert Path("real").read_text() == "x" and not Path("nowhere").exists()
    os.chmod("real", 0o640)
    assert write_text("real", "z", overwrite=True) is None
    assert stat.S_IMODE(os.stat("real").st_mode) == 0o640
    os.mkfifo("pipe")
    assert write_text("pipe", "y", overwrite=True) is not None


def _append(path: str, who: str, count: int) -> None:
    for number in range(count):
        refused = update_text(path, lambda old, line=f"{who}{number}\n": old + line, wait_s=60)
        assert refused is None, refused


def test_two_writers_at_once_lose_nothing(empty_folder: Path) -> None:
    context = multiprocessing.get_context("spawn")
    workers = [
        context.Process(target=_append, args=(str(empty_folder / "log"), who, 25)) for who in "abc"
    ]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join(60)
        assert worker.exitcode == 0
    lines = Path("log").read_text().split()
    assert sorted(lines) == sorted(f"{who}{n}" for who in "abc" for n in range(25))
    assert [path.name for path in empty_folder.iterdir()] == [
        "log"
    ]  # neither lock nor temporary file is left


def test_a_busy_file_is_said_to_be_busy(empty_folder: Path) -> None:
    Path("log").write_text("x")
    with lock(Path("log")):
        refused = update_text("log", lambda old: "y", wait_s=0.05)
    assert refused is not None and refused.rule == "file-busy" and Path("log").read_text() == "x"
    assert update_text("log", lambda old: old + "y") is None and Path("log").read_text() == "xy"


def test_a_notebook_can_be_begun_by_updating(empty_folder: Path) -> None:
    begun = "wiremap: notebook/1\nentries:\n"
    assert (
        update_text(
            "n.yaml",
            lambda old: (old or begun) + "  - {kind: probe, red: 1, black: 2, seen: beep}\n",
        )
        is None
    )
    assert (
        update_text(
            "n.yaml",
            lambda old: (old or begun) + "  - {kind: probe, red: 1, black: 3, seen: silent}\n",
        )
        is None
    )
    notebook = load_notebook("n.yaml").value
    assert notebook is not None and [entry.seen for entry in notebook.entries] == ["beep", "silent"]


@pytest.mark.parametrize(
    ("row", "signal", "wire"),
    [
        ("left lamp red 2.5", "left lamp", "2.5 red"),
        ("left lamp 2.5 red", "left lamp", "2.5 red"),
        ("horn, red 1.0", "horn", "1.0 red"),
        ("beacon, 2,5, red", "beacon", "2.5 red"),
        ("beacon, red, 2.5", "beacon", "2.5 red"),
        ("earth brown 4 mm2", "earth", "4 brown"),
        ("valve 18 AWG GN/WH", "valve", "18 AWG GN/WH"),
        ("ground black/white", "ground", "black/white"),
        ("? violet", "?", "violet"),
        ("+15 black 1", "+15", "1 black"),
        ("left lamp yellow", "left lamp", "yellow"),
        ("warning lamp red", "warning lamp red", None),  # its light, perhaps
        ("output 2 red", "output 2", "red"),
        ("fill level", "fill level", None),
    ],
)
def test_colour_and_size_behind_a_name_are_its_wire(
    row: str, signal: str, wire: str | None
) -> None:
    """As people type them: in either order, with commas or without."""
    found = pinout_of_rows([f"1: {row}"], title="plug")
    assert found.pinout is not None, found.findings
    cavity = found.pinout.cavities["1"]
    assert (cavity.signal, cavity.wire and cavity.wire.written) == (signal, wire)


def test_a_colour_alone_tells_no_signal() -> None:
    found = pinout_of_rows(["5: violet"], title="plug").pinout
    assert found is not None
    assert (found.cavities["5"].signal, found.cavities["5"].function) == ("?", "unknown")
