"""Many small things in few words, for `tests/shown.py`: findings, figures, and digests where the whole is long."""

from __future__ import annotations

import json
import random
import re
import tempfile
from collections.abc import Callable, Iterator
from contextlib import chdir
from functools import partial
from pathlib import Path

from fuzz import KINDS, mutated, prepared
from page_hands import seen
from page_states import CARDS, at
from ringout_simulator import random_job, spliced_job
from shown_commands import digest, printed
from table_calls import LOUD_CALLS
from test_page_cards import OURS, Desk
from test_small_jobs import FILES as SMALL_JOBS
from test_small_jobs import checked as checked_small
from test_small_jobs import read as read_small

from wiremap.check import check_job
from wiremap.evidence import settle
from wiremap.graph import Harness
from wiremap.ringout.plan import plan
from wiremap.sizing.sized import OutOfRange, Sized
from wiremap.slips import slips

CASES = 40  # faulty inputs of each kind
DRAWN = 12
TODAY_AND_MARKS = re.compile(  # what hangs on the day or the session
    r'\d{4}-\d\d-\d\d|name="(?:form_mark|marks)" value="[^"]*"|data-stamp="[^"]*"'
)
FAULTY = [
    kind for kind in KINDS if kind not in ("pack", "workbook")
]  # those two are bytes, not words


def of_small_jobs(which: slice) -> Iterator[str]:
    """What is found in small jobs, and what was not judged."""
    for path in SMALL_JOBS[which]:
        with tempfile.TemporaryDirectory() as folder:
            checked = checked_small(read_small(path), Path(folder))
        yield f"{path.stem}: {checked.verdict}"
        for finding in checked.findings:
            yield f"    {finding.severity.value} {finding.rule}: {finding.message}"
        for unjudged in checked.not_judged:
            yield f"    not judged: {', '.join(unjudged.subject)}: {unjudged.told}"


def of_sizes(which: slice) -> Iterator[str]:
    """What every sizing function gives over every size of the tables, a line a call."""
    for call in LOUD_CALLS[which]:
        assert isinstance(call, partial)
        given = ", ".join(map(str, call.args))
        yield f"{call.func.__name__} {given[:60]}: {sized(call)}"


def sized(call: Callable[[], object]) -> str:
    """The figures of a result, to six digits, and a digest of all that it says."""
    try:
        result = call()
    except OutOfRange as error:
        return f"out of range: {error}"
    if not isinstance(result, Sized):
        return str(result)
    told = result.as_dict()
    figures = [f"{each['name']} {each['value']} {each['unit']}" for each in told["results"]]
    return f"{'; '.join(figures)} [{digest(json.dumps(told).encode())}]"


def of_faulty(kind: str) -> Iterator[str]:
    """What the commands that read an input say of it with something wrong in it, as digests."""
    chance = random.Random(f"{kind} shown")
    told = KINDS[kind]
    with tempfile.TemporaryDirectory() as folder, chdir(folder):
        prepared(Path())
        sound = Path(told.file).read_bytes()
        for case in range(CASES):
            Path(told.file).write_bytes(mutated(sound, chance))
            words = [word.removeprefix("{f}/") for word in told.calls[case % len(told.calls)]]
            lines = printed(words)
            yield f"{case} {words[0]}: {digest(chr(10).join(lines).encode())} {lines[0][:90]} {lines[-1]}"


def of_drawn_jobs(which: slice) -> Iterator[str]:
    """Findings, readings and slips of jobs drawn at random, as counts and digests."""
    for seed in range(DRAWN)[which]:
        for name, job in (("adapter", random_job(seed)), ("splice", spliced_job(seed, 30))):
            checked = check_job(job)
            harness = Harness(settle(job))
            rung = plan(harness, kind="adapter" if name == "adapter" else "splice-in")
            yield f"{name} {seed}: {checked.verdict}"
            yield counted("findings", [f"{each.rule} {each.message}" for each in checked.findings])
            yield counted("readings", [repr(probe) for probe in (*rung.probes, *rung.second)])
            yield counted("slips", [repr(slip) for slip in slips(harness).slips])


def counted(what: str, told: list[str]) -> str:
    return f"    {len(told)} {what}, {digest(chr(10).join(told).encode())}"


def of_cards(which: slice) -> Iterator[str]:
    """Each card of the page, at the stage in which it shows, as a digest."""
    for name, path in list(CARDS.items())[which]:
        with tempfile.TemporaryDirectory() as folder:
            desk = Desk(at(name, Path(folder) / "demo"))
            text = desk.client.get(path, headers=OURS).text
        text = TODAY_AND_MARKS.sub("", text)
        yield f"{name}: {digest(text.encode())} {seen(text).heading}"
