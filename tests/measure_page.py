"""Measures the page: from the command to the first card, an answer against the engine's own
judgement, the largest card, and the memory over many answers.

    python tests/measure_page.py [ANSWERS]

Walks copies of the demo with the simulated bench, beginning anew where one is through, until so
many answers were kept (5,000 if nothing is said).  CPU time is printed, as it hangs least on what
else the machine does.
"""

from __future__ import annotations

import gc
import json
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from dataclasses import dataclass, field
from http.cookiejar import CookieJar
from pathlib import Path
from urllib.parse import urlencode

from flask.testing import FlaskClient
from page_hands import Bench, seen
from page_states import CARDS, at, opened
from ringout_simulator import Copper

from wiremap.check import check_harness
from wiremap.diagnose.walk import Walk
from wiremap.evidence import NONE_YET, judge_survey
from wiremap.evidence.opened import open_job
from wiremap.page.app import build_app
from wiremap.page.gate import Gate
from wiremap.page.work import Work
from wiremap.ringout.plan import plan

HOST = "127.0.0.1:8123"
OURS = {"Host": HOST, "Origin": f"http://{HOST}"}
MS = 1000.0
ANSWERS = 5000
LOOKS = 10  # at the memory
CARDS_EACH = 10  # of each stage
STARTS = 5


def resident_mb() -> float:
    """What this process holds of the machine's memory [MB]."""
    gc.collect()
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * 4096 / 1e6


@dataclass
class Measured:
    """CPU times in seconds, sizes in bytes."""

    answers: list[float] = field(default_factory=list)
    engine: list[float] = field(default_factory=list)
    sizes: list[int] = field(default_factory=list)
    kept: int = 0

    def told(self) -> str:
        """The figures in one line."""
        over = [a - 1.5 * e - 0.03 for a, e in zip(self.answers, self.engine, strict=False)]
        middle, most = statistics.median(self.answers) * MS, max(self.answers) * MS
        line = f"{self.kept} answers, {len(self.answers)} cards: "
        line += f"median {middle:.0f} ms, most {most:.0f} ms CPU a card; "
        line += f"largest card {max(self.sizes) / 1000:.1f} kB"
        if over:
            judged = statistics.median(self.engine) * MS
            line += f"; engine {judged:.0f} ms, {sum(o > 0 for o in over)} of {len(over)} answers "
            line += f"beyond 1.5 times it + 30 ms, the worst by {max(over) * MS:.0f} ms"
        return line


class Browser:
    """A browser let in to one job, kept in this process."""

    def __init__(self, job: Path) -> None:
        gate = Gate()
        self.job = job
        self.client: FlaskClient = build_app(Work(str(job)), gate, (HOST,)).test_client()
        self.client.post(f"/in/{gate.open_link()}", data={"by": "RK"}, headers=OURS)
        copper = Copper(opened(job).job, machine=True)
        self.bench = Bench(copper, copper)
        self.shown = ""

    def look(self, path: str) -> None:
        """Open a card."""
        self.shown = self.client.get(path, headers=OURS).text

    def answer(self, path: str, measured: Measured) -> bool:
        """Answer the card that is shown as the bench does; False if nothing is asked."""
        card = seen(self.shown)
        fields = self.bench.answers(card)
        if not fields:
            return False
        data = {"form_mark": card.form_mark, "at": card.at, "ask": [a.mark for a in card.asked]}
        began = time.process_time()
        sent = self.client.post(path, data={**data, **fields}, headers=OURS)
        shown = self.client.get(sent.headers["Location"], headers=OURS)
        measured.answers.append(time.process_time() - began)
        gc.collect()  # as the server does between two answers
        measured.sizes.append(len(shown.data))
        measured.kept += len({name.partition("-")[2] for name in fields})
        self.shown = shown.text
        return True


def by_stage() -> None:
    """Ten cards of each stage, survey and ring-out beside what the engine takes by itself."""
    for name in ("survey", "joint", "ring-out", "disagrees", "again", "volts"):
        with tempfile.TemporaryDirectory() as folder:
            job = at(name, Path(folder) / "demo")
            browser, measured = Browser(job), Measured()
            planned = plan(opened(job).harness)
            browser.look(CARDS[name])
            while len(measured.answers) < CARDS_EACH and browser.answer(CARDS[name], measured):
                if name in ("ring-out", "disagrees"):
                    measured.engine.append(judged_alone(job, planned))
                if name == "survey":
                    measured.engine.append(surveyed_alone(job))
            print(f"{name}: {measured.told()}")


def judged_alone(job: Path, planned: object) -> float:
    """The engine's own judgement of a ring-out: the files read, the readings judged [s CPU]."""
    began = time.process_time()
    found, _ = open_job(str(job))
    assert found is not None
    entries = [entry for book in found.job.notebooks for entry in book.entries]
    walk = Walk(found.harness, planned, entries)  # type: ignore[arg-type]
    walk.judged()
    walk.turn()
    return time.process_time() - began


def surveyed_alone(job: Path) -> float:
    """The engine's own judgement of a survey reading: the files read, the reading judged, and the
    rule book run, as a contradiction holds the job [s CPU].
    """
    began = time.process_time()
    found, _ = open_job(str(job))
    assert found is not None
    judge_survey(found.job)
    check_harness(found.harness, rung_out=NONE_YET)
    return time.process_time() - began


def memory(answers: int) -> None:
    """Many answers in one process, ring-out after ring-out of fresh copies of the demo."""
    measured, looks = Measured(), []
    with tempfile.TemporaryDirectory() as folder:
        start = at("ring-out", Path(folder) / "start")
        browser = Browser(shutil.copytree(start.parent, Path(folder) / "job") / start.name)
        browser.look("/ringout")
        while measured.kept < answers:
            if not browser.answer("/ringout", measured):
                shutil.copy(start.with_name("notebook.yaml"), browser.job.parent)
                browser.look("/ringout")
            if measured.kept >= len(looks) * answers / LOOKS:
                looks.append(resident_mb())
    print(f"memory: {measured.told()}")
    print("resident MB: " + ", ".join(f"{look:.0f}" for look in looks))


def first_card() -> None:
    """From the command to the first card, by the clock [s]: the least of a few starts, the
    bytecode of the modules being there as it is where the project is installed.
    """
    with tempfile.TemporaryDirectory() as folder:
        job = at("home", Path(folder) / "demo")
        kept = {**os.environ, "PYTHONPYCACHEPREFIX": folder}
        kept.pop("PYTHONDONTWRITEBYTECODE", None)
        took = [started(job, kept) for _ in range(STARTS + 1)]
        print(f"first card: {min(took[1:]):.2f} s by the clock")


def started(job: Path, environment: dict[str, str]) -> float:
    """One start, until the survey's first card has come [s]."""
    command = [sys.executable, "-m", "wiremap", "page", str(job), "--no-browser", "--json"]
    began = time.perf_counter()
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as process:
        assert process.stdout is not None
        text = ""
        while not text.rstrip().endswith("}"):
            text += process.stdout.readline()
        link = json.loads(text)["link"]
        base = link.partition("/in/")[0]
        let_in = urllib.request.HTTPCookieProcessor(CookieJar())
        browser = urllib.request.build_opener(let_in)
        form = urlencode({"by": "RK"}).encode()
        browser.open(urllib.request.Request(link, form, {"Origin": base})).read()
        browser.open(f"{base}/survey").read()
        took = time.perf_counter() - began
        process.kill()
    return took


def main(arguments: list[str]) -> None:
    """Print every measure."""
    first_card()
    gc.freeze()  # as the command does
    gc.disable()
    by_stage()
    memory(int(arguments[0]) if arguments else ANSWERS)


if __name__ == "__main__":
    main(sys.argv[1:])
