"""A ring-out on hold says which wires it does not read through, and its counts agree."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from demo_jobs import DEMO_JOB

from wiremap.cli.main import main

PAPER = "wiremap: pinout/1\ntitle: p\nconnector: {shell: 6-way}\ncavities:\n"
OLD = PAPER + (
    "  1: {signal: '+12V permanent', wire: 1 RD}\n  2: {signal: ground, wire: 1 BN}\n"
    "  3: {signal: level sensor signal, wire: 0.5 GY}\n  4: {signal: horn, wire: 1 BK}\n"
)
NEW = PAPER + (
    "  5: {signal: Battery plus, wire: 1 RD}\n  6: {signal: Ground, wire: 1 BN}\n"
    "  2: {signal: Level sensor signal, wire: 0.5 GY}\n  3: {signal: Horn, wire: 1 BK}\n"
)
SILENT = re.compile(r"^\d+\. \w+: (\S+) to (\S+): (silence|beep)", re.MULTILINE)


def test_what_the_hold_keeps_unread_is_named_and_counted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every wire without a beep is named on both screens; all read, nothing says `still to take`."""
    monkeypatch.chdir(tmp_path)
    Path("old.yaml").write_text(OLD, "utf-8")
    Path("new.yaml").write_text(NEW, "utf-8")
    main(["propose", "old.yaml", "new.yaml", "--adapter", "-o", "job.yaml"])
    capsys.readouterr()
    main(["ringout", "job.yaml", "--full"])
    full = capsys.readouterr().out
    main(["ringout", "job.yaml"])
    brief = capsys.readouterr().out
    readings = SILENT.findall(full.split("after the sleeves")[0])
    heard = {point for red, black, shows in readings if shows == "beep" for point in (red, black)}
    wires = {"old.1": "new.5", "old.2": "new.6", "old.3": "new.2", "old.4": "new.3"}
    unread = {f"{one} to {two}" for one, two in wires.items() if one not in heard}
    assert {"old.1 to new.5"} <= unread < {f"{one} to {two}" for one, two in wires.items()}
    for screen in (full, brief):
        told = " ".join(screen.split()).split("until the hold is lifted (")[1]
        count, wires_told = told.split("): ", 1)
        named = [each.split()[:3] for each in wires_told.split(", ")[: int(count)]]
        assert {" ".join(each) for each in named} == unread
    assert "each through" not in brief and "every other circuit" not in brief
    lines = [f"{red} - {black} {shows[0]}" for red, black, shows in readings]
    Path("r.txt").write_text("\n".join(lines) + "\n", "utf-8")
    main(["ringout", "job.yaml", "--readings", "r.txt"])
    head = " ".join(capsys.readouterr().out.split())
    assert f"0 unfinished (readings still to take), {len(unread)} on hold" in head
    assert f"0 of {len(readings)} readings left" in head


def test_a_sentinel_says_what_was_not_done_to_a_face(capsys: pytest.CaptureFixture[str]) -> None:
    """In words of the trade: `not read by-columns, snake` tells nobody anything."""
    main(["ringout", str(DEMO_JOB), "--full"])
    told = " ".join(capsys.readouterr().out.split())
    assert re.search(r"the face of .{1,60} was not .*counted one off", told)
    assert "by-columns" not in told and "not read mirrored" not in told
