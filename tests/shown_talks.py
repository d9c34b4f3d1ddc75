"""Talks with the tool, for `tests/shown.py`: ring-outs with a mistake built in, and what is asked of a first sketch."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import chdir
from pathlib import Path
from random import Random
from unittest import mock

from demo_jobs import DEMO, copied_demo
from keyboard import Keyboard
from ringout_simulator import Copper, wrongs
from ringout_trial import Trial
from shown_commands import BY, printed
from test_adapter_without_job import NEW, OLD, answers, judged, made

from wiremap.diagnose.bought import batch_lines, first_probes
from wiremap.diagnose.walk import Walk
from wiremap.evidence import settle
from wiremap.files import load_job

PASTED = ("Pin\tSignal\tColour", "1\tBattery\trt", "2\tMasse\tsw", "3\tHopper level\tgr")
BY_HAND = ("hand", "1: +12 always, red", "2: earth, brown", "3: hopper level, grey", '14: "-"', ".")
TALKS = {
    "start": (
        (("start",), (*BY_HAND, "14-way sealed", "no", "paste", *PASTED, ".", "d", "no")),
        (("start",), ("splice", "12", "F7 10", "no", "d", "d")),
        (("next", "job.yaml", *BY), ("12", "on the type plate", "?", "d", "l", "yes", "seen", "q")),
        (("next", "job.yaml", *BY), ("40", "thermometer", "d", "d", "d", "d", "d", "q")),
        (("sign", "job.yaml", *BY), ("s", "read at the machine", "?", "l", "s", "x", "q")),
    ),
    "bench": (
        (
            ("ringout", "adapter/job.yaml", "--walk", *BY),
            ("b", "0.3", "s", "7.4k", "n", "?", "u", "b", "q"),
        ),
        (("ringout", "adapter/job.yaml", "--judge"), ()),
        (("next", "adapter/job.yaml", "--kept"), ()),
        (("next", "adapter/job.yaml", *BY, "--mended", "camera.3"), ()),
        (("survey", "job.yaml", "--judge"), ()),
        (
            (
                "pack",
                "job.yaml",
                "-o",
                "job.zip",
                "--author",
                "RK",
                "--licence",
                "MIT",
                "--date",
                "2026-03-02",
            ),
            (),
        ),
        (("unpack", "job.zip", "-o", "there"), ()),
        (("compare", "job.zip", "adapter/splice.yaml", "--full"), ()),
    ),
}


BOUGHT = 4  # adapters without papers of their own
WALKED = {"splice-in": 4, "adapter": 20}  # mistakes


def of_talk(name: str) -> Iterator[str]:
    """Commands one after another in a copy of the demo or, for a start, an empty folder, with what is typed."""
    with tempfile.TemporaryDirectory() as folder:
        where = Path(folder) if name == "start" else copied_demo(Path(folder) / "demo").parent
        with chdir(where):
            for words, typed in TALKS[name]:
                yield f"$ wiremap {' '.join(words)}"
                keyboard = Keyboard("".join(f"{line}\n" for line in typed))
                with mock.patch("sys.stdin", keyboard):
                    yield from printed(words)


def of_walks(job_file: str, kind: str, which: slice) -> Iterator[str]:
    """The whole talk of a ring-out with one mistake built in, for some of those drawn for it."""
    loaded = load_job(DEMO / job_file).value
    assert loaded is not None
    trial = Trial(settle(loaded), "rest", kind)
    for wrong in wrongs(trial.job, Random(2026))[: WALKED[kind]][which]:
        yield f"== {wrong[0]}"
        yield from walked(trial, trial.copper([wrong]))


def walked(trial: Trial, copper: Copper) -> Iterator[str]:
    """Questions, answers and what is concluded, up to what is to be mended."""
    walk = Walk(trial.harness, trial.plan, [copper.answer(probe) for probe in trial.plan.probes])
    for _ in range(trial.budget):
        judged = walk.judged()
        if judged.next is None:
            break
        replies = trial.replies(copper, judged.next)
        seen = ", ".join(f"{'+'.join(e.red)} - {'+'.join(e.black)} {e.seen}" for e in replies)
        yield f"  {judged.next.why}: {seen}"
        walk = Walk(trial.harness, trial.plan, [*walk.entries, *replies])
    for explanation in walk.judged().explanations[:4]:
        told = "; ".join(f"{m.kind} {' '.join(m.subject)}" for m in explanation.mistakes)
        yield f"  {explanation.cost:.3f} {told}"
    yield f"  verdict: {walk.judged().verdict}"


def of_bought(which: slice) -> Iterator[str]:
    """What is asked of bought adapters, one straight and others with wires drawn at random, and what they come to."""
    for seed in range(BOUGHT)[which]:
        yield f"== adapter {seed}"
        with tempfile.TemporaryDirectory() as folder:
            faces = made(Path(folder), OLD, NEW)
            fill = answers(wired_at_random(seed))
            lines = [fill(line) for line in first_probes(faces)]
            adapter = judged(faces, "\n".join(lines))
            while adapter.next:
                asked = [fill(line) for line in batch_lines(adapter.next)]
                yield from asked
                lines += asked
                adapter = judged(faces, "\n".join(lines))
        yield from adapter.told()


def wired_at_random(seed: int) -> list[tuple[str, ...]]:
    """Contacts that are one metal: straight for 0, else the new side in another order, and one wire to two."""
    new = [f"new.{n}" for n in range(1, 7)]
    if seed:
        Random(seed).shuffle(new)
    return [
        *((f"old.{n}", point) for n, point in enumerate(new[1:], 2)),
        ("old.1", "old.7", new[0]),
    ]
