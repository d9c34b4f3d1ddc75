"""What commands print and sheets draw of copies of the demo, for `tests/shown.py`."""

from __future__ import annotations

import io
import os
import re
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import chdir, redirect_stderr, redirect_stdout
from hashlib import sha256
from pathlib import Path
from unittest import mock

from demo_jobs import copied_demo
from pypdf import PageObject, PdfReader

from wiremap.cli.main import main

TESTS = Path(__file__).resolve().parent
BY = ("--by", "RK", "--date", "2026-03-02")
PAPERS = ("papers/series1-loom.yaml", "papers/series2-donor.yaml")
GROUPS = 6  # of small jobs, so that they are shared out over the processors
HEADING = re.compile(r"[0-9]{1,2}[a-f]?  ")

COMMANDS = {
    "check": (
        ("check", "job.yaml"),
        ("check", "job.yaml", "--full"),
        ("check", *PAPERS),
        ("explain", "functions"),
        ("next", "job.yaml", "--full"),
        ("next", PAPERS[0], "--full"),
    ),
    "propose": (
        ("propose", *PAPERS),
        ("propose", *PAPERS, "--json"),
        ("propose", *PAPERS, "--adapter"),
        ("propose", "--keep-answers", "job.yaml"),
        ("compare", *PAPERS),
        ("intake", "--back", "job.yaml"),
    ),
    "bench": (
        ("survey", "job.yaml", "--full"),
        ("survey", "job.yaml", "--readings", "read.txt", "--full"),
        ("ringout", "job.yaml", "--power", "--full"),
        ("ringout", "job.yaml", "--power", "--readings", "powered.txt", "--full"),
        ("ringout", *PAPERS),
        ("ringout", *PAPERS, "--readings", "bought.txt"),
    ),
    "ringout": (
        ("ringout", "job.yaml", "--full"),
        ("ringout", "job.yaml", "--method", "near", "--full"),
        ("ringout", "job.yaml", "--method", "rest", "--full"),
        ("ringout", "job.yaml", "--method", "ganged", "--json"),
        ("ringout", "job.yaml", "--readings", "probed.txt", "--full"),
    ),
    "slips": (("slips", "job.yaml"), ("slips", "job.yaml", "--full")),
    "adapter": (
        ("check", "adapter/job.yaml", "--full"),
        ("slips", "adapter/job.yaml", "--full"),
        ("survey", "adapter/job.yaml", "--full"),
        ("ringout", "adapter/job.yaml", "--full"),
        ("ringout", "adapter/job.yaml", "--readings", "adapter/first-build.txt", "--full"),
        ("compare", "--ways", "adapter/splice.yaml", "adapter/job.yaml"),
    ),
}
SHEETS = {
    "splice": ("job.yaml", "--annex", "--print-held"),
    "filled-in": ("job.yaml", "--filled-in"),
    "letter": ("job.yaml", "--paper", "letter"),
    "a3": ("job.yaml", "--paper", "a3"),
    "adapter": ("adapter/job.yaml", "--annex"),
}


def of_commands(name: str) -> Iterator[str]:
    """Each command line and what it prints, in a copy of the demo."""
    with tempfile.TemporaryDirectory() as folder, chdir(demo_in(Path(folder))):
        for words in COMMANDS[name]:
            yield f"$ wiremap {' '.join(words)}"
            yield from printed(words)
            yield ""


def demo_in(folder: Path) -> Path:
    """A copy of the demo and of the readings beside it."""
    demo = copied_demo(folder / "demo").parent
    for path in (TESTS / "readings").iterdir():
        (demo / path.name).write_bytes(path.read_bytes())
    return demo


def printed(words: Sequence[str]) -> list[str]:
    """What a command prints, on a screen of a hundred columns."""
    out = io.StringIO()
    with mock.patch.dict(os.environ, COLUMNS="100"), redirect_stdout(out), redirect_stderr(out):
        code = main(list(words))
    lines = [line.rstrip() for line in out.getvalue().splitlines()]
    return [*lines, f"(exit code {code})"]


def of_sheet(name: str) -> Iterator[str]:
    """Each page of a sheet: its first heading, and a digest of all that is drawn on it; its picture and its flags."""
    with tempfile.TemporaryDirectory() as folder, chdir(demo_in(Path(folder))):
        words = SHEETS[name]
        printed(["sheet", *words, "-o", "sheet.pdf", "--flags", "flags.csv"])
        for number, page in enumerate(PdfReader("sheet.pdf").pages, 1):
            contents = page.get_contents()
            assert contents is not None
            yield f"{number:2}  {digest(contents.get_data())}  {heading(page)}"
        printed(["sheet", words[0], "-o", "map.svg", "--flags", "flags.pdf"])
        for path in ("map.svg", "flags.csv"):
            yield f"{path}  {digest(Path(path).read_bytes())}"


def heading(page: PageObject) -> str:
    """The first line of a page that begins with the number of its section."""
    lines = page.extract_text().splitlines()
    return next((line for line in lines if HEADING.match(line)), "")


def digest(data: bytes) -> str:
    return sha256(data).hexdigest()[:12]
