"""What a person does next with pinouts by themselves: fill them in, answer, have a map proposed."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from wiremap.model import Job, Pinout
from wiremap.survey.questions import questions

LONGEST_COUNT = 3  # digits: what is longer is a date or a serial number
MOST = 4  # papers named in a call
THE_OTHER = (
    "describe the other connector as well (a table: wiremap intake), "
    "then let both be joined: wiremap start"
)


def shown_path(path: str) -> str:
    """A path as it is typed: in quotes where a blank would part it."""
    return f'"{path}"' if " " in path else path


def after_papers(papers: Sequence[Pinout]) -> str:
    """What comes next when pinouts by themselves have been checked."""
    for paper in papers:
        empty = _empty(paper)
        if len(empty) * 2 > len(paper.cavities):  # a few that nobody knows are asked about later
            path = shown_path(paper.path)
            left = f", {len(empty)} of {len(paper.cavities)} cavities"
            return f"fill in what is empty in it{left}, then: wiremap check {path}"
    if len(papers) < 2:
        return THE_OTHER
    named = [shown_path(paper.path) for paper in papers]
    first, *_ = papers
    folder = Path(first.path).parent.as_posix()
    job = "job.yaml" if folder == "." else f"{folder}/job.yaml"
    call = f"wiremap propose {' '.join(named)} -o {job}"
    if len(named) > 2:
        call = f"wiremap propose --old {' '.join(named[:-1])} --new {named[-1]} -o {job}"
        return f"propose the map, each of the machine's behind --old: {call}"
    return f"propose the map, the machine's first: {call}"


def _empty(paper: Pinout) -> list[str]:
    """The cavities of a paper of which nothing at all is told."""
    return [
        name
        for name, cavity in paper.cavities.items()
        if cavity.function == "unknown" and not cavity.signal.strip(" ?") and cavity.wire is None
    ]


def after_paper(path: str, job: Job) -> str:
    """What comes next for a pinout by itself, as the job that stands for it."""
    if questions(job):
        return f"answer what is open: wiremap next {shown_path(path)} --by NAME"
    return THE_OTHER


def anew(path: str) -> str:
    """How answers about partners come into a job: proposed anew into a file of its own."""
    old = Path(path.strip('"'))
    new = shown_path(_next_free(old).as_posix())
    call = f"wiremap propose --keep-answers {shown_path(old.as_posix())} -o {new}"
    return f"let the answers about partners into the job: {call}"


def _next_free(old: Path) -> Path:
    """The name of the next file of a row, as job-3.yaml after job-2.yaml, that is not there yet."""
    stem, dash, number = old.stem.rpartition("-")
    counted = bool(dash) and number.isdecimal() and len(number) <= LONGEST_COUNT
    stem, last = (stem, int(number)) if counted else (old.stem, 1)
    while True:
        last += 1
        path = old.with_name(f"{stem}-{last}{old.suffix}")
        if not path.exists() and not path.is_symlink():
            return path


def after_intake(written: Sequence[str]) -> str:
    """What comes next when a table has been taken in."""
    if not written:
        return "keep it as a file: the same command with -o FOLDER"
    return f"see how each row was read: wiremap check {' '.join(map(shown_path, written[:MOST]))}"
