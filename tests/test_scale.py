"""Work grows with the job hardly faster than the job itself.

Counted in calls of functions: no clock, and no other work of the machine, changes that count.
"""

from __future__ import annotations

import cProfile
import math
from collections.abc import Callable
from pathlib import Path

import pytest
from bench_scale import large_job, table, wide_job
from called import called
from fuzz import prepared
from ringout_trial import loaded_job

from wiremap.files import load_job
from wiremap.graph import Harness
from wiremap.ringout.plan import plan

MOST_EXPONENT = 1.3  # 1 is proportional, 2 quadratic
MOST_EXPONENT_OF_A_COMB = 1.6  # it names, at each reading, all clips that hang together
FEW, MANY = 30, 120

Words = Callable[[Path, int], list[str]]
COMMANDS: dict[str, Words] = {
    "check": lambda here, size: ["check", str(large_job(here, size))],
    "survey": lambda here, size: ["survey", str(large_job(here, size))],
    "compare": lambda here, size: ["compare", *2 * [str(large_job(here, size))]],
    "sheet": lambda here, size: ["sheet", str(large_job(here, size)), "-o", str(here / "s.pdf")],
    "sheet of one connector": lambda here, size: [
        "sheet",
        str(wide_job(here, size)),
        "-o",
        str(here / "s.pdf"),
    ],
    "intake": lambda here, size: ["intake", str(table(here, 10 * size))],
}


def calls(words: list[str]) -> int:
    """How many functions a command calls."""
    profile = cProfile.Profile()
    profile.enable()
    done = called(*words)
    profile.disable()
    assert done.returncode in (0, 1), done.stderr
    return sum(entry.callcount for entry in profile.getstats())


@pytest.mark.parametrize("name", COMMANDS)
def test_work_grows_with_the_job(name: str, tmp_path: Path) -> None:
    """Of four times as many circuits, or rows of a table."""
    counted = []
    for size in (FEW // 2, FEW, MANY):  # the first reads the tables
        here = tmp_path / str(size)
        here.mkdir()
        counted.append(calls(COMMANDS[name](here, size)))
    exponent = math.log(counted[2] / counted[1]) / math.log(MANY / FEW)
    assert exponent <= MOST_EXPONENT


@pytest.mark.parametrize(
    ("method", "most"), [("near", MOST_EXPONENT), ("clips", MOST_EXPONENT_OF_A_COMB)]
)
@pytest.mark.parametrize("job", [large_job, wide_job])
def test_a_plan_grows_with_the_job(
    job: Callable[[Path, int], Path], method: str, most: float, tmp_path: Path
) -> None:
    """Of four times as many circuits, on connectors of a hundred and on one; the first job is held
    at every contact, so that each exchange and each stray wire in it stays hidden.
    """
    counted = []
    for size in (20, 100, 400):  # the first reads the tables
        here = tmp_path / str(size)
        here.mkdir()
        harness = Harness(load_job(job(here, size)).value)
        with cProfile.Profile() as profile:
            assert size == plan(harness, method).nets
        counted.append(sum(entry.callcount for entry in profile.getstats()))
    assert math.log(counted[2] / counted[1]) / math.log(4) <= most


@pytest.mark.parametrize(
    ("method", "ohms", "signed"),
    [
        ("near", "equal", True),
        ("near", "different", True),
        ("near", "different", False),
        ("rest", "different", True),
        ("ganged", "different", True),
    ],
)
def test_a_plan_grows_with_the_loads(
    method: str, ohms: str, signed: bool, request: pytest.FixtureRequest
) -> None:
    """A load behind every wire of four connectors, all to one chassis, of one value or each of its own; unsigned a
    stop holds each joint, and no through-reading is asked for.
    """
    if signed:
        request.getfixturevalue("every_stop_signed")
    counted = []
    for size in (20, 40, 160):  # the first reads the tables
        harness = Harness(loaded_job(size, ohms, connectors=4))
        with cProfile.Profile() as profile:
            assert size == plan(harness, method).nets
        counted.append(sum(entry.callcount for entry in profile.getstats()))
    assert math.log(counted[2] / counted[1]) / math.log(4) <= MOST_EXPONENT_OF_A_COMB


@pytest.mark.parametrize("line", ["old.2 - new.b b", "old.2 - new.b {n}.5", "old.1 - new.c {n}k"])
def test_judging_grows_with_the_readings(line: str, tmp_path: Path) -> None:
    """Of eight times as many, all alike or each another; nothing of it is quadratic."""
    prepared(tmp_path)
    words = ["ringout", str(tmp_path / "job.yaml"), "--readings", str(tmp_path / "probes.txt")]
    counted = []
    for size in (250, 2000):
        lines = [line.format(n=n) for n in range(1, size + 1)]
        (tmp_path / "probes.txt").write_text("\n".join(lines))
        counted.append(calls(words))
    assert math.log(counted[1] / counted[0]) / math.log(8) <= MOST_EXPONENT
    assert (counted[1] - counted[0]) / 1750 <= 220  # calls for each reading
