"""Whatever a file holds, reading it ends soon: faults are counted, guesses bounded, ranges limited."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from wiremap.base import Finding
from wiremap.files import load_any
from wiremap.files.faults import MAX_FAULTS

MOST_SECONDS = 30  # on a machine that is busy with other things; alone each takes a second or two
PINOUT = "wiremap: pinout/1\ncavities:\n"
JOB = "wiremap: job/1\nends: {a: old.yaml, c: old.yaml}\n"


def read(folder: Path, text: str) -> tuple[Finding, ...]:
    (folder / "old.yaml").write_text(PINOUT + "".join(f"  {n}: s\n" for n in range(4000)))
    path = folder / "x.yaml"
    path.write_text(text)
    began = time.perf_counter()
    found = load_any(path).findings
    assert time.perf_counter() - began < MOST_SECONDS
    return found


MANY = {
    "unknown keys": (
        "wiremap: pinout/1\ncavities: {1: a}\n" + "".join(f"ky{n}: 1\n" for n in range(60_000)),
        60_000,
    ),
    "misspelt functions": (
        PINOUT + "".join(f"  {n}: {{function: can-hgh{n}}}\n" for n in range(4000)),
        4000,
    ),
    "wrong wires": (PINOUT + "".join(f"  {n}: {{wire: 0.5 QQ/ZZ}}\n" for n in range(4000)), 4000),
    "circuits that are not there": (
        JOB + "twists:\n" + "".join(f"  t{n}: {{circuits: [a.{n}x]}}\n" for n in range(20_000)),
        20_000,
    ),
    "legs that are not joined": (
        JOB
        + "circuits:\n  - {join: [a.1, c.1], legs: {"
        + ", ".join(f"c.{n}x: {{at_mm: 1}}" for n in range(20_000))
        + "}}\n",
        20_000,
    ),
}


@pytest.mark.parametrize("name", MANY)
def test_fifty_faults_are_told_and_the_rest_is_counted(tmp_path: Path, name: str) -> None:
    """A person mends the first ones; nobody reads sixty thousand."""
    text, number = MANY[name]
    found = read(tmp_path, text)
    assert MAX_FAULTS + 1 == len(found)
    assert f"{number - MAX_FAULTS:,} more faults in this file are not listed" == found[-1].message


ENDLESS = {
    "overlapping ranges left out": JOB
    + "not_joined:\n"
    + "".join(f"  a.{n}-{n + 4000}: x\n" for n in range(1, 2000)),
    "ranges left out": JOB
    + "not_joined:\n"
    + "".join(f"  a.{n * 5000}-{n * 5000 + 4000}: x\n" for n in range(2000)),
    "ranges fed": "wiremap: job/1\nends: {a: {pinout: old.yaml, is: mate, side: unit, fed: {"
    + ", ".join(f"{n * 5000}-{n * 5000 + 4000}: none" for n in range(1, 2000))
    + "}}}\n",
    "ranges served": PINOUT + "  1: {serves: [" + ", ".join(["1-4000"] * 20_000) + "]}\n",
    "spaces": " " * 1_900_000 + "a:b\n c: [\n",
    "spaces in circuits": JOB + "circuits:\n" + ("  - a" + " " * 900 + "b\n") * 1900,
    "dots in circuits": JOB + "circuits:\n" + ("  - " + "a." * 900 + "\n") * 1000,
}


@pytest.mark.parametrize("name", ENDLESS)
def test_small_texts_that_stand_for_much_are_refused(tmp_path: Path, name: str) -> None:
    """Two megabytes that would unfold to millions of points, or make a search go back and forth."""
    assert any(found.fault for found in read(tmp_path, ENDLESS[name]))


def test_circuits_of_one_name_are_told_apart_at_once(tmp_path: Path) -> None:
    """Twenty thousand circuits that begin at one point each get a name of their own."""
    text = JOB + "circuits: [" + ", ".join(["a.1 - c.1"] * 20_000) + "]\n"
    assert not any(found.fault for found in read(tmp_path, text))
