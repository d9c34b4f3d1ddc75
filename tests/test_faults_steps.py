"""Where a write fails in what takes several steps (guided start, demo, page): whole files, and it is said so."""

from __future__ import annotations

import io
import json
import re
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from failing import FailingOnce, held
from fuzz import prepared
from test_guided import ALL, KEPT

from wiremap.cli import demo
from wiremap.cli.demo_stories import ADAPTER, DemoStep
from wiremap.cli.main import main

HOST = "127.0.0.1:8123"
OURS = {"Host": HOST, "Origin": f"http://{HOST}"}


BLANK = ("start", "pinout", "--cavities", "2")


def guided(folder: Path, monkeypatch: pytest.MonkeyPatch, *lines: str) -> int:
    """A guided start in a folder, with these lines typed."""
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
    return main(["start", "--folder", str(folder)])


def test_a_guided_start_writes_all_its_files_or_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The last answer and all that follows: no answer of before is lost, and begun anew the same
    files come of it under the same names.
    """
    sound, done = tmp_path / "sound", tmp_path / "done"
    sound.mkdir()
    assert 0 == guided(sound, monkeypatch, *ALL[:-1])
    shutil.copytree(sound, done)
    assert 0 == guided(done, monkeypatch, ALL[-1])
    before, whole = json.loads(held(sound)[KEPT])["answers"], held(done)
    refused = 0
    for number in range(1, 100):
        folder = tmp_path / str(number)
        shutil.copytree(sound, folder)
        with monkeypatch.context() as patch:
            failing = FailingOnce(patch, folder, number)
            code = guided(folder, monkeypatch, ALL[-1])
        if not failing.failed:
            break
        told, after = capsys.readouterr(), held(folder)
        kept = after.pop(KEPT, None)
        if code == 2:
            refused += 1
            assert {} == after, (number, told.err)
            assert "none of the files was" in told.err or "as it was" in told.err
            assert kept is not None and before.items() <= json.loads(kept)["answers"].items()
            assert 0 == guided(folder, monkeypatch, ALL[-1])
            after = held(folder)
        elif kept is not None:  # all is written, only the answers could not be removed
            assert f"{KEPT} could not be removed" in told.out
        assert 0 == code or held(folder).keys() == whole.keys()
        assert whole == after
    assert number > 10 and refused > 5


def test_each_step_of_a_demo_is_done_or_told_as_failed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Of its papers all or none are there; a step that failed is named, and the others are done;
    the next run in the same folder does what is missing.
    """
    steps = [
        DemoStep(file=f"{name}.yaml", words=BLANK, what="a", look="b", writes=writes)
        for name, writes in (("made", True), ("printed", False))
    ]
    monkeypatch.setattr(demo, "ADAPTER", replace(ADAPTER, steps=tuple(steps)))
    monkeypatch.setattr(
        demo, "_files_of", lambda _: {"adapter/a.yaml": b"a", "adapter/b.yaml": b"b"}
    )
    done = tmp_path / "done"
    assert 0 == main(["demo", "--adapter", str(done)])
    whole = held(done).keys()
    refused = set()
    for number in range(1, 200):
        folder = tmp_path / str(number)
        with monkeypatch.context() as patch:
            failing = FailingOnce(patch, folder, number)
            code = main(["demo", "--adapter", str(folder)])
        if not failing.failed:
            break
        told = capsys.readouterr()
        after = held(folder).keys()
        missing = frozenset(whole - after)
        assert after <= whole and len(missing) in (0, 1, len(whole)), (number, missing)
        assert code == (2 if missing else 0), (number, told)
        assert (code == 2) == bool(told.err)
        refused.add(missing)
        assert 0 == main(["demo", "--adapter", str(folder)]), number
        assert whole == held(folder).keys()
        capsys.readouterr()
    assert number > 40 and len(refused) == 4  # none, each step, all


def test_what_a_killed_demo_left_is_no_hindrance(tmp_path: Path) -> None:
    """A half-made result of a run before, under the name that only a step uses."""
    step = DemoStep(file="made.yaml", words=BLANK, what="a", look="b", writes=True)
    tmp_path.joinpath(".wiremap-scratch-made.yaml").write_text("half")
    done = demo._run_step(step, demo.OwnFolder(tmp_path))
    assert "" == done["failed"]
    assert (tmp_path / "made.yaml").read_text().startswith("#")


Send = Callable[[dict[str, str], str], str]


def page(folder: Path) -> Send:
    """A page of the folder's job with a device let in; what it says to a form."""
    from wiremap.page.app import build_app
    from wiremap.page.gate import Gate
    from wiremap.page.work import Work

    gate = Gate()
    client = build_app(Work(str(folder / "job.yaml")), gate, (HOST,)).test_client()
    client.post(f"/in/{gate.open_link()}", data={"by": "RK"}, headers=OURS)
    seen = client.get("/questions", headers={"Host": HOST}).text
    marks = {
        name: found[1]
        for name in ("form_mark", "ask", "marks")
        if (found := re.search(rf'name="{name}" value="([^"]+)"', seen))
    }

    def send(form: dict[str, str], path: str) -> str:
        data = {key.format(**marks): text.format(**marks) for key, text in form.items()}
        return client.post(path, data=data, headers=OURS).text

    return send


FORMS = {
    "answer": ("/questions", {"ask": "{ask}", "choice-{ask}": "don't know"}),
    "undo": ("/questions/undo", {"marks": "{marks}"}),
    "table": ("/table", {"title": "Plug", "text": "Pin;Signal\n1;Battery\n", "do": "save"}),
}


@pytest.mark.parametrize("name", FORMS)
def test_a_save_of_the_page_is_whole_or_told_as_not_kept(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The files are as they were and the page says so with its cause, or the save is whole; sent
    again it is kept.
    """
    pytest.importorskip("flask")
    path, form = FORMS[name]
    form = {"form_mark": "{form_mark}", **form}
    sound, done = tmp_path / "sound", tmp_path / "done"
    sound.mkdir()
    prepared(sound)
    shutil.copytree(sound, done)
    page(done)(form, path)
    whole = held(done)
    assert whole != held(sound)
    refused = 0
    for number in range(1, 60):
        folder = tmp_path / str(number)
        shutil.copytree(sound, folder)
        send = page(folder)
        with monkeypatch.context() as patch:
            failing = FailingOnce(patch, folder, number)
            said = send(form, path)
        if not failing.failed:
            break
        if "not kept: " in said or "not saved: " in said:
            refused += 1
            assert held(sound) == held(folder), number
            assert "cannot be written" in said and "free space" in said
            send(form, path)
        assert whole == held(folder), number
    assert number > 4 and refused
