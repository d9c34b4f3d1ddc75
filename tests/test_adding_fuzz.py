"""Any text at all under a notebook's name: an entry is added and all is read back, or no byte is changed."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from test_adding_entries import LAYOUTS, NEW, WAITING, kept

from wiremap.entries.notebook import append
from wiremap.files import load_notebook

BASES = sorted((LAYOUTS | WAITING).items())
PIECES = [
    "\n",
    "\r\n",
    "  ",
    "- ",
    "#",
    ":",
    "[",
    "]",
    "{",
    "}",
    ",",
    "'",
    '"',
    "|",
    ">",
    "~",
    "\t",
]
PIECES += [
    "entries:",
    "\n...\n",
    "---\n",
    "\ufeff",
    "\u2028",
    "?",
    "&a ",
    "*a",
    "<<: ",
    "é",
    "\U0001f527",
]


def mutated(text: str, rnd: random.Random) -> str:
    """A text with one to three places cut, doubled, or given a piece that means something to YAML."""
    for _ in range(rnd.randint(1, 3)):
        start = rnd.randint(0, len(text))
        end = min(len(text), start + rnd.randint(0, 12))
        how = rnd.choice(("cut", "double", "piece", "piece"))
        put = {"cut": "", "double": text[start:end] * 2, "piece": rnd.choice(PIECES)}[how]
        text = text[:start] + put + text[end if how != "piece" else start :]
    return text


@pytest.mark.parametrize("seed", range(12))
def test_saving_is_whole_or_not_at_all(tmp_path: Path, seed: int) -> None:
    """Seeded; each case says what its file held if it fails."""
    rnd = random.Random(seed)
    path = tmp_path / "n.yaml"
    added = 0
    for _ in range(40):
        text = mutated(rnd.choice(BASES)[1], rnd)
        path.write_bytes(text.encode())
        before = load_notebook(path).value
        refused = append(path, [NEW])
        if refused is None:
            old = [] if before is None else [(e.about, e.answer, e.how) for e in before.entries]
            assert [*old, (NEW.about, NEW.answer, "")] == kept(path), text
            added += 1
        else:
            assert text.encode() == path.read_bytes() and refused.fault, text
    assert added
