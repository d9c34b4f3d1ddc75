"""Papers and readings varied at random, for `tests/shown.py`: one statement made otherwise, and what is said of it then.

Each line holds a digest of all that a command prints, so that a limit, a count or an order that changes anywhere shows.
"""

from __future__ import annotations

import re
import tempfile
import tomllib
from collections.abc import Callable, Iterator, Sequence
from contextlib import chdir
from functools import cache
from pathlib import Path
from random import Random

from pypdf import PdfReader
from shown_commands import PAPERS, TESTS, demo_in, digest, printed
from test_small_jobs import FILES as SMALL_JOBS
from test_small_jobs import read as read_small

from wiremap.evidence import settle
from wiremap.files import load_job
from wiremap.firstpower.plan import power_plan
from wiremap.graph import Harness
from wiremap.model import Job
from wiremap.naming import read_signal
from wiremap.ringout.plan import plan
from wiremap.survey.rows import survey
from wiremap.trade.functions import FUNCTIONS

SETS = 80  # of readings, of proposals
MOST_READINGS = 9  # in a set
SHEETS = 12
FIGURE = re.compile(r"(?<=[:\[,] )\d+(?:\.\d+)?(?=[,}\]\s])")
STATEMENT = re.compile(r", \w+: [\w.-]+(?=[,}])")
FUNCTION = re.compile(r"(?<=function: )[\w-]+")
TIMES = (0.5, 0.9, 1.1, 2, 10)
SAID_OF_PAPERS = (
    ("check", "--full"),
    ("ringout", "--power", "--full"),
    ("slips", "--full"),
    ("survey", "--full"),
    ("next", "--full"),
    ("ringout", "--full"),
    ("sign", "--full"),
)


def of_varied_papers(job: str, count: int, which: slice) -> Iterator[str]:
    """What commands say of a job with one statement of its papers made otherwise."""
    for case in range(count)[which]:
        chance = Random(f"{job} {case}")
        with tempfile.TemporaryDirectory() as folder, chdir(demo_in(Path(folder))):
            path = chance.choice(papers_of(job))
            text, told = varied(path.read_text(encoding="utf-8"), chance)
            path.write_text(text, encoding="utf-8")
            yield f"{case} {path.name}: {told}"
            asked = SAID_OF_PAPERS[case % len(SAID_OF_PAPERS)]
            for words in dict.fromkeys((SAID_OF_PAPERS[0], asked)):
                yield said([words[0], job, *words[1:]])


def varied(text: str, chance: Random) -> tuple[str, str]:
    """A text with one statement made otherwise: a figure, a function, or left out; and what was done."""
    pattern = chance.choice((FIGURE, FIGURE, STATEMENT, FUNCTION))
    places = list(pattern.finditer(text)) or list(FIGURE.finditer(text))
    place = chance.choice(places)
    was = place.group()
    if place.re is FIGURE:
        now = f"{float(was) * chance.choice(TIMES):g}"
    elif place.re is FUNCTION:
        now = chance.choice(sorted(FUNCTIONS))
    else:
        now = ""
    line = text.count("\n", 0, place.start()) + 1
    return text[: place.start()] + now + text[place.end() :], f"line {line}, {was} -> {now}"


def said(words: Sequence[str]) -> str:
    """A command, and what it prints as a digest with its last line."""
    lines = printed(words)
    return f"    {words[0]}: {len(lines)} lines, {digest(chr(10).join(lines).encode())} {lines[-1]}"


def of_varied_sheets(which: slice) -> Iterator[str]:
    """What is drawn for the demo with one statement of its papers made otherwise, a digest a sheet."""
    for case in range(SHEETS)[which]:
        chance = Random(f"sheet {case}")
        with tempfile.TemporaryDirectory() as folder, chdir(demo_in(Path(folder))):
            path = chance.choice(papers_of("job.yaml"))
            text, told = varied(path.read_text(encoding="utf-8"), chance)
            path.write_text(text, encoding="utf-8")
            printed(["sheet", "job.yaml", "-o", "sheet.pdf", "--print-held"])
            yield f"{case} {path.name}: {told}: {drawn(Path('sheet.pdf'))}"


def drawn(sheet: Path) -> str:
    """How many pages a sheet has, and a digest of all that is drawn; nothing where none is made."""
    if not sheet.exists():
        return "no sheet"
    contents = [page.get_contents() for page in PdfReader(sheet).pages]
    data = b"".join(each.get_data() for each in contents if each is not None)
    return f"{len(contents)} pages, {digest(data)}"


def papers_of(job: str) -> list[Path]:
    """A job's file and the papers beside it, but for its notebook."""
    beside = sorted(Path(job).parent.glob("*.yaml"))
    return [Path(job), *(path for path in beside if "notebook" not in path.name)]


def of_varied_small_jobs(which: slice) -> Iterator[str]:
    """What is found in small jobs with one statement made otherwise."""
    for path in SMALL_JOBS[which]:
        chance = Random(f"{path.stem} varied")
        small = read_small(path)
        name = chance.choice(sorted(small.files))
        text, told = varied(small.files[name], chance)
        with tempfile.TemporaryDirectory() as folder, chdir(folder):
            for each, content in {**small.files, name: text}.items():
                Path(each).write_text(content, encoding="utf-8")
            yield f"{path.stem}, {name}: {told}"
            yield said(["check", "job.yaml", "--full"])


def of_varied_proposals(which: slice) -> Iterator[str]:
    """What is proposed between the demo's papers with one statement made otherwise."""
    for case in range(SETS)[which]:
        chance = Random(f"proposed {case}")
        with tempfile.TemporaryDirectory() as folder, chdir(demo_in(Path(folder))):
            path = Path(chance.choice(PAPERS))
            text, told = varied(path.read_text(encoding="utf-8"), chance)
            path.write_text(text, encoding="utf-8")
            yield f"{case} {path.name}: {told}"
            yield said(["propose", *PAPERS])
            yield said(["compare", *PAPERS])


# -- readings ---------------------------------------------------------------------------------------


@cache
def lines_of_survey() -> tuple[str, ...]:
    """What may be read before the cut, a figure left open: `{volts}` or `{ohms}`."""
    return tuple(
        f"{row.red} to {row.black} {figure_of(row.block)} {f'ignition {row.key}' if row.key else ''} {row.state or ''}"
        for row in survey(demo_job()).rows
    )


@cache
def lines_of_ringout() -> tuple[str, ...]:
    """What is read at the ring-out, each answer left open."""
    probes = plan(Harness(demo_job()), kind="splice-in").probes
    return tuple(f"{'+'.join(each.red)} to {'+'.join(each.black)} {{beep}}" for each in probes)


@cache
def lines_of_power() -> tuple[str, ...]:
    """What is read at first power, by the numbers of its steps."""
    steps = power_plan(Harness(demo_job()))
    return tuple(f"{step.n} {{{step.quantity}}}" for step in steps if step.quantity)


def demo_job() -> Job:
    loaded = load_job(TESTS.parent / "pinouts_demo" / "job.yaml").value
    assert loaded is not None
    return settle(loaded)


def figure_of(block: str) -> str:
    return "{V}" if "volts" in str(block).casefold() else "{ohm}"


FIGURES = {
    "V": (
        "0.02",
        "0.8",
        "1.7",
        "2.5",
        "3.4",
        "4.9",
        "5.1",
        "6.2",
        "9.6",
        "11.1",
        "12.6",
        "13.9",
        "16",
        "24.4",
    ),
    "A": ("0.005", "0.06", "0.3", "1.2", "4.4", "9", "14"),
    "ohm": (
        "0.3",
        "4.4",
        "9",
        "28",
        "54",
        "60",
        "66",
        "119",
        "127",
        "480",
        "1180",
        "2300",
        "7.4k",
        "120k",
        "open",
    ),
    "beep": ("beep", "beep", "silent", "0.4 ohm", "60 ohm", "n"),
}


def of_readings(name: str, which: slice) -> Iterator[str]:
    """What a set of readings comes to, each of them anything that a meter may show."""
    lines, call = READ[name][0](), READ[name][1]
    for case in range(SETS)[which]:
        chance = Random(f"{name} {case}")
        read = [
            filled(line, chance) for line in chance.sample(lines, chance.randint(1, MOST_READINGS))
        ]
        with tempfile.TemporaryDirectory() as folder, chdir(demo_in(Path(folder))):
            Path("typed.txt").write_text("\n".join(read) + "\n", encoding="utf-8")
            yield f"{case} {read[0]}"
            yield said([*call, "--readings", "typed.txt", "--full"])


READ: dict[str, tuple[Callable[[], tuple[str, ...]], tuple[str, ...]]] = {
    "survey": (lines_of_survey, ("survey", "job.yaml")),
    "ringout": (lines_of_ringout, ("ringout", "job.yaml")),
    "power": (lines_of_power, ("ringout", "job.yaml", "--power")),
}


def filled(line: str, chance: Random) -> str:
    """A line with a figure, now and then the other unit's."""
    for unit, figures in FIGURES.items():
        if f"{{{unit}}}" in line:
            figure = chance.choice(figures)
            ending = f" {unit}" if figure[0].isdigit() and " " not in figure else ""
            return " ".join(line.replace(f"{{{unit}}}", f"{figure}{ending}").split())
    return line


# -- words ------------------------------------------------------------------------------------------


def of_wordings() -> Iterator[str]:
    """What the wordings of the lists of the tests are read as, a line a list."""
    for path in sorted((TESTS / "danger_words").glob("*.toml")):
        yield from meanings(path.stem, wordings(tomllib.loads(path.read_text(encoding="utf-8"))))
    text = (TESTS / "load_words.toml").read_text(encoding="utf-8")
    yield from meanings("load_words", wordings(tomllib.loads(text)))


def wordings(tree: object) -> Iterator[str]:
    """Every text of a list's tree."""
    if isinstance(tree, str):
        yield tree
    elif isinstance(tree, list):
        for each in tree:
            yield from wordings(each)
    elif isinstance(tree, dict):
        for each in tree.values():
            yield from wordings(each)


def meanings(name: str, words: Iterator[str]) -> Iterator[str]:
    """How many wordings are read as what, and a digest of all that is read in them."""
    told = [f"{word}: {read_signal(word)!r}" for word in words]
    yield f"{name}: {len(told)}, {digest(chr(10).join(told).encode())}"
