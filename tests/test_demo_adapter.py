"""`wiremap demo --adapter`: two old plugs into one new one, nothing cut, beside the first demo."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from demo_jobs import DEMO

from wiremap.check import check
from wiremap.cli.main import main
from wiremap.files.schemas import first_lines
from wiremap.model import EndKind

ADAPTER = DEMO / "adapter"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    where = tmp_path_factory.mktemp("demo") / "out"
    assert 0 == main(["demo", str(where)])
    assert 0 == main(["demo", "--adapter", str(where)])
    return where


def test_both_demos_lie_in_one_folder(folder: Path) -> None:
    """The adapter's results bear its name, and the first demo copies nothing of it."""
    assert (folder / "sheet.pdf").is_file() and (folder / "adapter-sheet.pdf").is_file()
    assert not (folder / "spreader" / "adapter").exists()
    assert (folder / "adapter" / "first-build.txt").is_file()


def test_the_adapter_is_in_order_and_rung_out(folder: Path) -> None:
    """No caution is left unsigned, every circuit is rung out, one contact was never measured."""
    job = check([folder / "adapter" / "job.yaml"]).jobs[0]
    assert ("in-order", (10, 11)) == (job.verdict, job.surveyed)
    assert job.rung_out == (9, 9)
    assert [] == [found.rule for found in job.findings if found.severity.value == "caution"]


def test_nothing_of_the_adapter_is_cut(folder: Path) -> None:
    """Three plugs, each mated."""
    job = check([folder / "adapter" / "job.yaml"]).jobs[0].job
    assert job is not None
    assert {EndKind.MATE} == {end.kind for end in job.ends.values()}


def test_the_first_build_is_explained(folder: Path) -> None:
    """The mistake that the readings were made with is the one that is named."""
    told = (folder / "adapter-first-build.txt").read_text()
    assert "certain: camera.3 and camera.4 are exchanged" in told


def test_equal_numbers_are_stopped(folder: Path, tmp_path: Path) -> None:
    """Lamp feed to contact 1 of the head is a supply on its ground, whatever the numbers say."""
    for path in ADAPTER.iterdir():
        (tmp_path / path.name).write_bytes(path.read_bytes())
    job = tmp_path / "job.yaml"
    text = job.read_text().replace("[lamp.1, head.2]", "[lamp.1, head.1]")
    job.write_text(text.replace("[lamp.3, head.1]", "[lamp.3, head.2]"))
    stops = [f.rule for f in check([job]).findings if f.holds and not f.acceptable]
    assert "supply-to-ground" in stops


def test_the_schema_of_each_file_is_found(folder: Path) -> None:
    """In the checkout and where the demo lays them, the first line leads to a schema."""
    for path in ADAPTER.glob("*.yaml"):
        lines = path.read_text().splitlines()
        kind = lines[2].removeprefix("wiremap: ").partition("/")[0]
        assert lines[:2] == list(first_lines(kind, f"../../schemas/{kind}-1.json"))
        laid = (folder / "adapter" / path.name).read_text().splitlines()
        assert laid[:2] == list(first_lines(kind, f"../schemas/{kind}-1.json"))
        assert (folder / "adapter" / f"../schemas/{kind}-1.json").is_file()


def test_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The shape of the demo, each file there."""
    assert 0 == main(["demo", "--adapter", str(tmp_path / "out"), "--json"])
    told = json.loads(capsys.readouterr().out)
    assert "demo/1" == told["wiremap"]
    assert all(Path(step["file"]).is_file() for step in told["steps"])


def test_the_adapter_takes_the_other_half_of_each_old_plug(folder: Path) -> None:
    """Into a plug with sockets go pins, and its face is the mirror image; the head's own header is
    met by sockets."""
    job = check([folder / "adapter" / "job.yaml"]).jobs[0].job
    assert job is not None
    kinds = {name: end.connector.contacts for name, end in job.ends.items()}
    assert {"lamp": "pin", "camera": "pin", "head": "socket"} == kinds
    face = job.ends["lamp"].connector.face
    assert face is not None
    assert (("3", "2", "1"), ("6", "5", "4")) == face.rows
    head = job.ends["head"].connector.face
    assert head is not None
    assert ("1", "2", "3", "4", "5", "6") == head.rows[0]
