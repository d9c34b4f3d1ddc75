"""Two wires that both lost their way: the sweep begins where they most likely changed places."""

from __future__ import annotations

import re
from itertools import combinations
from pathlib import Path

import pytest

from wiremap.cli.main import main

WORDS = {
    "1": "tank level sensor signal",
    "2": "oil pressure sensor signal",
    "3": "water temperature sensor signal",
    "4": "shaft speed sensor signal",
    "5": "seat switch",
    "6": "door switch",
}
JOB = (
    "wiremap: job/1\ntitle: j\nends:\n  old: {pinout: old.yaml, is: mate, side: machine}\n"
    "  new: {pinout: new.yaml, is: mate, side: unit}\ncircuits:\n"
)


@pytest.mark.parametrize(("one", "two"), list(combinations("123", 2)))
def test_the_sweep_begins_at_the_other_lost_wire(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    one: str,
    two: str,
) -> None:
    """Both silent at home, every other at home and apart: the far end of the other comes first."""
    monkeypatch.chdir(tmp_path)
    paper = "wiremap: pinout/1\ntitle: p\nconnector: {shell: 6-way}\ncavities:\n"
    paper += "".join(f"  {n}: {{signal: {word}}}\n" for n, word in WORDS.items())
    for name in ("old", "new"):
        Path(f"{name}.yaml").write_text(paper, "utf-8")
    wires = "".join(f"  - {{join: [old.{n}, new.{n}], wire: 1 RD}}\n" for n in WORDS)
    Path("job.yaml").write_text(JOB + wires, "utf-8")
    lines = [f"old.{n} - new.{n} {'s' if n in (one, two) else 'b'}" for n in WORDS]
    lines += [f"old.{a} - old.{b} s" for a, b in combinations(WORDS, 2)]
    Path("r.txt").write_text("\n".join(lines) + "\n", "utf-8")
    capsys.readouterr()
    main(["ringout", "job.yaml", "--readings", "r.txt"])
    told = " ".join(capsys.readouterr().out.split())
    (probe,) = re.findall(r"next: probe (\S+) to (\S+):", told)
    red, first = probe[0], probe[1].split("+")[0]
    other = {one: two, two: one}[red.split(".")[1]]
    assert first.split(".")[1] == other and first.split(".")[0] != red.split(".")[0]
