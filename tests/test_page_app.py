"""The page of a job: nobody comes in uninvited, every answer is kept once, nothing passes that is not."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

pytest.importorskip("flask")

from flask import Flask
from flask.testing import FlaskClient
from page_states import at

from wiremap.files import load_notebook
from wiremap.page.app import build_app
from wiremap.page.gate import Gate
from wiremap.page.work import ANSWERED_ELSEWHERE, Work

HOST = "127.0.0.1:8123"
OURS = {"Host": HOST, "Origin": f"http://{HOST}"}


class Hands:
    """A browser that was let in: it reads a card and answers it."""

    def __init__(self, app: Flask, link: str, by: str = "RK") -> None:
        self.client: FlaskClient = app.test_client()
        answer = self.client.post(f"/in/{link}", data={"by": by}, headers=OURS)
        assert answer.status_code == 303, answer.text

    def page(self, path: str = "/ringout") -> str:
        """A page's text."""
        answer = self.client.get(path, headers={"Host": HOST})
        assert answer.status_code == 200, answer.text
        return answer.text

    def mark(self) -> str:
        """What this device's forms bear."""
        return re.findall(r'name="form_mark" value="([^"]+)"', self.page())[0]

    def asked(self) -> list[str]:
        """The marks of the readings on the card."""
        return re.findall(r'name="ask" value="([^"]+)"', self.page())

    def undo(self, path: str = "/ringout") -> str:
        """Take the last answer of a stage back; what the page says then."""
        marks = re.findall(r'name="marks" value="([^"]+)"', self.page(path))[0]
        data = {"form_mark": self.mark(), "marks": marks}
        sent = self.client.post(f"{path}/undo", data=data, headers=OURS, follow_redirects=True)
        return sent.text

    def answer(self, answers: dict[str, str], path: str = "/ringout") -> str:
        """Send answers (field to text); what the page says then."""
        marks = [field.partition("-")[2] for field in answers]
        data = {"form_mark": self.mark(), "ask": marks, **answers}
        sent = self.client.post(path, data=data, headers=OURS, follow_redirects=True)
        return sent.text


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the demo's job."""
    job = at("ring-out", tmp_path / "demo")
    return job.parent


@pytest.fixture
def gate() -> Gate:
    return Gate()


@pytest.fixture
def app(folder: Path, gate: Gate) -> Iterator[Flask]:
    yield build_app(Work(str(folder / "job.yaml")), gate, (HOST,), lan=True)


def probes(folder: Path) -> list[tuple[str, str]]:
    """Who read what, from the notebook as it lies on disk."""
    notebook = load_notebook(folder / "notebook.yaml").value
    assert notebook is not None
    return [(entry.by, str(entry.seen)) for entry in notebook.entries if entry.kind == "probe"]


def test_a_link_lets_one_device_in_and_its_name_stands_under_a_reading(
    app: Flask, gate: Gate, folder: Path
) -> None:
    """The cookie is for scripts and foreign pages out of reach; the answer is on disk."""
    link = gate.open_link()
    before = probes(folder)
    hands = Hands(app, link, by="RK")
    cookie = next(iter(hands.client._cookies.values()))
    assert (cookie.http_only, cookie.same_site) == (True, "Strict")
    hands.answer({f"choice-{hands.asked()[0]}": "b"})
    assert probes(folder) == [*before, ("RK", "beep")]
    assert app.test_client().get(f"/in/{link}", headers=OURS).text.count("used up") == 1


@pytest.mark.parametrize(
    ("headers", "data", "code"),
    [
        ({"Host": "evil.example:8123", "Origin": f"http://{HOST}"}, {}, 421),
        ({"Host": HOST, "Origin": "http://evil.example"}, {}, 403),
        ({"Host": HOST, "Origin": "null"}, {}, 403),
        ({"Host": HOST}, {}, 403),
        (OURS, {"form_mark": "guessed"}, 403),
        (OURS, {"form_mark": ""}, 403),
        (OURS, {"filler": "x" * 70_000}, 413),
    ],
)
def test_a_foreign_answer_is_refused(
    app: Flask,
    gate: Gate,
    folder: Path,
    headers: dict[str, str],
    data: dict[str, str],
    code: int,
) -> None:
    """Another host, another page, no form of ours, too much: nothing of it reaches the notebook."""
    hands = Hands(app, gate.open_link())
    before = (folder / "notebook.yaml").read_bytes()
    mark = hands.asked()[0]
    sent = {"form_mark": hands.mark(), "ask": mark, f"choice-{mark}": "b", **data}
    assert hands.client.post("/ringout", data=sent, headers=headers).status_code == code
    assert (folder / "notebook.yaml").read_bytes() == before


@pytest.mark.parametrize("path", ["/", "/ringout", "/devices"])
def test_a_stranger_sees_nothing(app: Flask, path: str) -> None:
    """Without the cookie every page is refused in a sentence, and no job's name is told."""
    answer = app.test_client().get(path, headers={"Host": HOST})
    assert answer.status_code == 403
    assert "spreader" not in answer.text


@pytest.mark.parametrize(
    "path", ["/../job.yaml", "/static/../app.py", "/static/..%2f..%2fjob.yaml"]
)
def test_no_path_climbs_out(app: Flask, gate: Gate, path: str) -> None:
    """Only the page's own files are served."""
    hands = Hands(app, gate.open_link())
    assert hands.client.get(path, headers={"Host": HOST}).status_code == 404


@pytest.mark.parametrize("title", ["../../evil", "/etc/evil", "..", "a\x00b", "x" * 300, "job"])
def test_a_table_is_saved_beside_the_job_alone(
    app: Flask, gate: Gate, folder: Path, tmp_path: Path, title: str
) -> None:
    """Whatever its title spells: one new file or none, in the job's folder, over nothing."""
    hands = Hands(app, gate.open_link())
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    data = {"form_mark": hands.mark(), "title": title, "text": "1\tground\tBN\n", "do": "save"}
    assert hands.client.post("/table", data=data, headers=OURS).status_code == 200
    after = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    assert before == {path: after[path] for path in before}
    assert {path.parent for path in after.keys() - before.keys()} <= {folder}
    assert len(after) - len(before) <= 1


def test_every_answer_forbids_what_is_foreign(app: Flask, gate: Gate) -> None:
    """Refusals and files too bear the headers."""
    client = app.test_client()
    for path in ("/", f"/in/{gate.open_link()}", "/static/style.css", "/nowhere"):
        headers = client.get(path, headers={"Host": HOST}).headers
        assert headers["Cache-Control"] == "no-store"
        assert headers["Content-Security-Policy"].startswith("default-src 'none';")
        assert headers["X-Content-Type-Options"] == "nosniff"


def test_the_same_form_sent_twice_counts_once(app: Flask, gate: Gate, folder: Path) -> None:
    """A second touch, or a second screen, is told that the reading was answered meanwhile."""
    one, two = Hands(app, gate.open_link(), by="one"), Hands(app, gate.open_link(), by="two")
    before = probes(folder)
    mark = one.asked()[0]
    assert ANSWERED_ELSEWHERE not in one.answer({f"choice-{mark}": "b"})
    assert ANSWERED_ELSEWHERE in two.answer({f"choice-{mark}": "b"})
    assert probes(folder) == [*before, ("one", "beep")]


def test_an_unset_answer_is_none(app: Flask, gate: Gate, folder: Path) -> None:
    """Sending a card as it came keeps nothing; a touch and a figure at once are refused."""
    hands = Hands(app, gate.open_link())
    before = probes(folder)
    mark = hands.asked()[0]
    hands.answer({f"ohms-{mark}": "  "})
    assert "not both" in hands.answer({f"ohms-{mark}": "0.3", f"choice-{mark}": "b"})
    assert "no answer here" in hands.answer({f"ohms-{mark}": "banana"})
    assert probes(folder) == before


def test_a_wrong_reading_is_told_and_can_be_taken_back(
    app: Flask, gate: Gate, folder: Path
) -> None:
    """What disagrees is said with the probe that tells; undo leaves the plan as it was before."""
    hands = Hands(app, gate.open_link())
    first = hands.asked()[0]
    said = hands.answer({f"choice-{first}": "s"})
    assert "disagrees" in said
    assert "Reading 1" not in said
    hands.undo()
    assert "disagrees" not in hands.page()
    assert "Reading 1<" in hands.page()


def test_a_device_that_was_put_out_stays_out(app: Flask, gate: Gate) -> None:
    """The next thing it asks is refused."""
    one, two = Hands(app, gate.open_link(), by="one"), Hands(app, gate.open_link(), by="two")
    one.client.post("/devices", data={"form_mark": one.mark(), "number": "2"}, headers=OURS)
    assert two.client.get("/", headers={"Host": HOST}).status_code == 403
    assert one.client.get("/", headers={"Host": HOST}).status_code == 200


def test_hostile_names_are_text(folder: Path, gate: Gate) -> None:
    """A signal or a person's name that looks like markup is shown as it is written."""
    loom = folder / "series1-loom.yaml"
    evil = "<script>alert(1)</script>"
    text = loom.read_text(encoding="utf-8")
    loom.write_text(text.replace("Sensor return", evil), encoding="utf-8")
    app = build_app(Work(str(folder / "job.yaml")), gate, (HOST,), lan=True)
    hands = Hands(app, gate.open_link(), by=f'"><b>{evil}')
    for path in ("/", "/ringout", "/devices"):
        assert "<script>" not in hands.page(path)
    assert "&lt;script&gt;" in hands.page("/devices")


def test_what_cannot_be_written_is_said(
    app: Flask, gate: Gate, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk: the card says that nothing was kept, and asks again."""
    hands = Hands(app, gate.open_link())
    mark = hands.asked()[0]

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.replace", full)
    before = (folder / "notebook.yaml").read_bytes()
    said = hands.answer({f"choice-{mark}": "b"})
    assert "not kept" in said
    assert mark in said
    assert (folder / "notebook.yaml").read_bytes() == before


def test_what_a_command_writes_meanwhile_counts_at_once(
    app: Flask, gate: Gate, folder: Path
) -> None:
    """The notebook on disk is the only state."""
    from wiremap.cli.main import main

    hands = Hands(app, gate.open_link())
    before = hands.asked()
    readings = folder / "bench.txt"
    readings.write_text("loom.12 - donor.16 b\n", encoding="utf-8")
    main(["ringout", str(folder / "job.yaml"), "--readings", str(readings), "--save", "--by", "RK"])
    assert hands.asked() != before
