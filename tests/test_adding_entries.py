"""A notebook is added to however it is laid out; the old entries and the new are all read back from it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from wiremap.entries.courses import course_opener
from wiremap.entries.notebook import added, append, append_chosen
from wiremap.evidence.touching import near_points
from wiremap.files import load_notebook
from wiremap.graph import Harness
from wiremap.model import Entry, EntryKind, Seen

HEAD = "wiremap: notebook/1\n"
OLD = {"kind": "answer", "about": "loom.2", "answer": "ground", "how": "seen: on the frame, twice"}
FLOW = '{kind: answer, about: loom.2, answer: ground, how: "seen: on the frame, twice"}'
BLOCK = "kind: answer\n    about: loom.2\n    answer: ground\n    how: 'seen: on the frame, twice'"
NEW = Entry(kind=EntryKind.ANSWER, about="loom.3", answer="not known, [yet]: #2", by="RK")
LAYOUTS = {
    "a line each": HEAD + f"entries:\n  - {FLOW}\n",
    "block scalar last": HEAD
    + "entries:\n  - kind: answer\n    about: loom.2\n    answer: ground\n    how: |\n      seen: on the frame,\n      twice\n",
    "folded scalar last": HEAD
    + "entries:\n  - kind: answer\n    about: loom.2\n    answer: ground\n    how: >-\n      seen: on the frame,\n      twice\n\n\n",
    "kept scalar last": HEAD
    + "entries:\n  - kind: answer\n    about: loom.2\n    answer: ground\n    how: |+\n      seen: on the frame,\n      twice\n\n\n",
    "block lists": HEAD + f"entries:\n  - {BLOCK}\n",
    "no indent": HEAD + f"entries:\n- {FLOW}\n",
    "deep indent": HEAD + f"entries:\n        - {FLOW}\n",
    "remarks": HEAD + f"entries:  # all of it\n  - {FLOW}  # last\n  # later\n\n# end\n",
    "no line end": HEAD + f"entries:\n  - {FLOW}",
    "brackets": HEAD + f"entries: [{FLOW}]\n",
    "brackets on lines": HEAD + f"entries: [\n  {FLOW},  # a remark\n]\n",
    "in braces": "{wiremap: notebook/1, entries: [" + FLOW + "]}\n",
    "JSON": json.dumps({"wiremap": "notebook/1", "entries": [OLD]}),
    "JSON on lines": json.dumps({"entries": [OLD], "wiremap": "notebook/1"}, indent=2) + "\n",
    "quoted keys": f'"wiremap": "notebook/1"\n"entries":\n  - {FLOW}\n',
    "key after": f"entries:\n  - {FLOW}\n" + HEAD + "title: Bench\n",
    "explicit key": HEAD + f"? entries\n: - {FLOW}\n",
    "CRLF": HEAD.replace("\n", "\r\n") + f"entries:\r\n  - {FLOW}\r\n",
    "CR": HEAD.replace("\n", "\r") + f"entries:\r  - {FLOW}\r",
    "document marks": "---\n" + HEAD + f"entries:\n  - {FLOW}\n...\n",
    "a word before": HEAD + f"title: 'entries: none'\nentries:\n  - {FLOW}\n",
    "umlauts before": HEAD + f"title: Ger\u00e4t \u2192 \U0001f527\nentries: [{FLOW}]\n",
}
WAITING = {
    "nothing": HEAD + "entries:\n",
    "remark": HEAD + "entries:   # none yet\ntitle: Bench\n",
    "tilde": HEAD + "entries: ~\n",
    "null": HEAD + "entries: null  # none\n",
    "no list": HEAD + "entries: []\n",
    "JSON": '{"wiremap": "notebook/1", "entries": null}',
    "JSON list": '{"wiremap": "notebook/1", "entries": [ ]}\n',
    "no file": "",
}


def kept(path: Path) -> list[tuple[str, str, str]]:
    book = load_notebook(path).value
    assert book is not None
    return [(entry.about, entry.answer, entry.how) for entry in book.entries]


@pytest.mark.parametrize("layout", LAYOUTS)
def test_an_entry_joins_those_that_are_there(tmp_path: Path, layout: str) -> None:
    """What was saved is counted: the old text is untouched, the new entry stands behind it."""
    path = tmp_path / "n.yaml"
    path.write_bytes(LAYOUTS[layout].encode())
    old = ("loom.2", "ground", "seen: on the frame, twice")
    for times in (1, 2):
        assert append(path, [NEW]) is None
        new = ("loom.3", "not known, [yet]: #2", "")
        assert [old, *[new] * times] == kept(path)
    assert LAYOUTS[layout].count("#") + 2 * NEW.answer.count("#") == path.read_text().count("#")


@pytest.mark.parametrize("layout", WAITING)
def test_the_first_entry_finds_its_place(tmp_path: Path, layout: str) -> None:
    """A notebook that waits for its first entry may say so in any way."""
    path = tmp_path / "n.yaml"
    if WAITING[layout]:
        path.write_text(WAITING[layout])
    assert append(path, [NEW, NEW]) is None
    assert [("loom.3", "not known, [yet]: #2", "")] * 2 == kept(path)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("wiremap: job/1\nends: {}\n", "a notebook is wanted"),
        (HEAD, "lacks `entries`"),
        (HEAD + "entries: [{kind: answr}]\n", "did you mean `answer`"),
        (HEAD + "entries:\n  - {kind: answer\n", "nothing was saved"),
        ("just text\n", "holds no keys"),
    ],
)
def test_what_is_no_notebook_is_left_alone(tmp_path: Path, text: str, words: str) -> None:
    """The refusal says what is wrong, and not a byte is changed."""
    path = tmp_path / "n.yaml"
    path.write_text(text)
    refused = append(path, [NEW])
    assert refused is not None and refused.message.startswith("nothing was saved")
    assert words in refused.message and text == path.read_text()


# -- batches --------------------------------------------------------------------------------------


def beep(red: str = "loom.1", black: str = "donor.3", seen: Seen = Seen.BEEP) -> Entry:
    return Entry(kind=EntryKind.PROBE, red=(red,), black=(black,), seen=seen, by="RK")


def test_a_batch_saved_twice_counts_once_until_it_is_mended(harness: Harness) -> None:
    """After a repair at the circuit the same word is a new reading; so it is after a silence there."""
    one, other = next(c.join for c in harness.job.circuits if len(c.join) == 2)
    batch = [beep(one, other)]
    opens = course_opener(harness, near_points(harness))
    mended = Entry(kind=EntryKind.MENDED, points=(other,), by="RK")
    silent = beep(one, other, Seen.SILENT)
    far = Entry(kind=EntryKind.MENDED, points=("nowhere.1",), by="RK")
    assert opens(silent) == {one, other} and not opens(batch[0])
    assert not opens(beep(one, "nowhere.1", Seen.SILENT))
    assert () == added(batch, batch, opens)
    assert () == added([*batch, far], batch, opens)
    assert tuple(batch) == added([*batch, mended], batch, opens)
    assert tuple(batch) == added([*batch, silent], batch, opens)
    assert () == added([*batch, mended, *batch], batch, opens)
    beside = Entry(kind=EntryKind.MENDED, points=(min(near_points(harness)[one]),), by="RK")
    assert tuple(batch) == added([*batch, beside], batch, opens)


def test_two_who_save_one_batch_at_once_add_it_once(tmp_path: Path) -> None:
    """What is new is decided under the lock, by what the file holds then."""
    code = (
        "import sys; from pathlib import Path\n"
        "from wiremap.entries.notebook import added, append_chosen\n"
        "from wiremap.model import Entry\n"
        "batch = [Entry(kind='probe', red=(f'loom.{n}',), black=('donor.1',), seen='beep') for n in range(9)]\n"
        "for _ in range(5):\n"
        "    saved = append_chosen('n.yaml', batch, lambda held: added(held, batch))\n"
        "    assert saved.fault is None, saved\n"
    )
    call = [sys.executable, "-c", code]
    savers = [subprocess.Popen(call, cwd=tmp_path) for _ in range(3)]
    assert [0, 0, 0] == [saver.wait(120) for saver in savers]
    book = load_notebook(tmp_path / "n.yaml").value
    assert book is not None and 9 == len(book.entries)


def test_what_was_struck_out_may_be_saved_again(tmp_path: Path) -> None:
    """A reading that was taken back counts when it is read once more."""
    path = tmp_path / "n.yaml"
    batch = [beep()]
    assert append(path, batch) is None
    book = load_notebook(path).value
    assert book is not None
    strike = Entry(kind=EntryKind.STRUCK_OUT, mark=book.entries[0].own_mark, by="RK")
    assert append(path, [strike]) is None
    saved = append_chosen(path, batch, lambda held: added(held, batch))
    assert tuple(batch) == saved.entries
