"""A job or a lone pinout opened with its notebook, and where new entries go."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from wiremap.base import Finding, Place, fault
from wiremap.entries.courses import course_opener
from wiremap.entries.notebook import Saved, added, append, append_chosen
from wiremap.evidence.answers import compared
from wiremap.evidence.meter import fresh
from wiremap.evidence.pinout_alone import alone
from wiremap.evidence.settle import settle
from wiremap.evidence.stamping import stamped
from wiremap.evidence.touching import near_points
from wiremap.files import load_any, load_notebook
from wiremap.files.from_job import from_job
from wiremap.graph import Harness
from wiremap.model import Address, Entry, EntryKind, Job, Notebook, Pinout

LONE_END = "end"  # what the end of a pinout by itself is called within
WHOLE = (f"{LONE_END}.", "supply.", "surroundings.")  # how addresses begin that need no end before


@dataclass(frozen=True, kw_only=True)
class OpenJob:
    """A settled job with its graph, where its notebook lies, and whether it is a lone pinout."""

    job: Job
    filed: Job  # as its files say it, no answer laid over it
    notebook: Path
    named: bool  # the job names that notebook, or it lies beside the file under the usual name
    bare: bool  # a lone pinout: addresses are shown without an end
    paper: Job | Pinout  # as it was read from the file
    unnamed: tuple[str, ...] = ()  # notebooks that count here although the job does not name them
    harness: Harness

    def name_it(self, notebook: Path) -> str:
        """What to add to the job so that a notebook counts everywhere."""
        paths = [each.path for each in self.job.notebooks if each.path not in self.unnamed]
        names = ", ".join(from_job(self.job.path, path) for path in [*paths, str(notebook)])
        return (
            "the job does not name it: `next`, `survey` and `ringout` read it, `check` and the "
            f"sheet do not until {Path(self.job.path).name} says `readings: [{names}]`"
        )


def open_job(path: str, notebook: str | None = None) -> tuple[OpenJob | None, tuple[Finding, ...]]:
    """A job, or a pinout by itself, with all that its notebooks answer laid over it.

    A notebook given by name, or lying beside the file under the usual name, counts too, whether the
    job names it or not.
    """
    loaded = load_any(path)
    value = loaded.value
    chosen = Path(notebook) if notebook else None
    if isinstance(value, Job):
        opened, more = _job(value, path, chosen)
        return opened, (*loaded.findings, *more)
    if isinstance(value, Pinout):
        opened, more = _pinout(value, chosen or beside(path))
        return opened, (*loaded.findings, *more)
    if value is None:
        return None, loaded.findings
    words = "a job or a pinout is wanted, this is a notebook"
    return None, (*loaded.findings, fault("wrong-kind", words, Place(path)))


def _job(filed: Job, path: str, chosen: Path | None) -> tuple[OpenJob, list[Finding]]:
    usual = beside(path)
    if chosen is None:
        chosen = Path(filed.notebooks[0].path) if filed.notebooks else usual
    wanted = [chosen]
    if not _names(filed, chosen) and not _same(chosen, usual):
        wanted = [usual, chosen]
    books, findings = _read(each for each in wanted if not _names(filed, each))
    job = settle(replace(filed, notebooks=(*filed.notebooks, *books)))
    opened = OpenJob(
        job=job,
        filed=filed,
        paper=filed,
        notebook=chosen,
        named=_names(filed, chosen) or _same(chosen, usual),
        bare=False,
        unnamed=tuple(book.path for book in books if not _same(book.path, usual)),
        harness=Harness(job),
    )
    return opened, findings


def _pinout(pinout: Pinout, chosen: Path) -> tuple[OpenJob, list[Finding]]:
    books, findings = _read([chosen])
    job = settle(alone(pinout, books))
    opened = OpenJob(
        job=job,
        filed=alone(pinout),
        paper=pinout,
        notebook=chosen,
        named=True,
        bare=True,
        harness=Harness(job),
    )
    return opened, findings


def _names(job: Job, notebook: Path) -> bool:
    """Whether a job names a notebook."""
    return any(_same(each.path, notebook) for each in job.notebooks)


def _same(one: Path | str, other: Path | str) -> bool:
    return os.path.abspath(one) == os.path.abspath(other)


def _read(paths: Iterable[Path]) -> tuple[tuple[Notebook, ...], list[Finding]]:
    """Those of the notebooks that are there, and what is wrong in them."""
    books: list[Notebook] = []
    findings: list[Finding] = []
    for path in paths:
        if path.exists():
            read = load_notebook(path)
            findings += read.findings
            if read.value is not None:
                books.append(read.value)
    return tuple(books), findings


def beside(path: str) -> Path:
    """The notebook that lies beside a file that names none."""
    file = Path(path)
    return file.with_name(f"{file.stem}-notebook.yaml")


def full_address(opened: OpenJob, about: str) -> str:
    """An address as the job knows it: of a lone pinout with the end's name before it."""
    if opened.bare and about and not about.startswith(WHOLE):
        return f"{LONE_END}.{about}"
    return about


def bare(address: str) -> Address:
    """An address of a lone pinout without the end's name."""
    return Address.read(address.removeprefix(f"{LONE_END}."))


def save(opened: OpenJob, entries: Sequence[Entry]) -> Finding | None:
    """Append entries to the notebook, stamped with what they speak of; the fault if it failed."""
    return append(opened.notebook, _as_kept(opened, entries))


def save_new(opened: OpenJob, read: Sequence[Entry]) -> Saved:
    """Append those of a batch that the notebooks do not hold by now, stamped."""
    whole = _as_kept(opened, read)
    opens = course_opener(opened.harness, near_points(opened.harness))
    books = [] if opened.bare else opened.job.notebooks
    target = opened.notebook.as_posix()

    def not_held(held: Sequence[Entry]) -> tuple[Entry, ...]:
        known: list[Entry] = []
        for book in books:
            known += held if book.path == target else book.entries
        if target not in [book.path for book in books]:
            known += held
        return added(still_counting(opened, known), whole, opens)

    return append_chosen(opened.notebook, whole, not_held)


def still_counting(opened: OpenJob, known: Sequence[Entry]) -> list[Entry]:
    """Entries without the readings that are void: what they were read at has changed since.

    The same value read there again is a new reading.
    """
    book = (Notebook("", tuple(known)),)
    filed = opened.paper
    job = alone(filed, book) if isinstance(filed, Pinout) else replace(filed, notebooks=book)
    held = compared(job).entries
    return [each for each, now in zip(known, held, strict=True) if _counts(opened, now)]


def _counts(opened: OpenJob, entry: Entry) -> bool:
    """Whether an entry that has been held against its file speaks of what still stands."""
    if entry.kind == EntryKind.SURVEY:
        return entry.of is None
    return entry.kind not in (EntryKind.PROBE, EntryKind.POWER) or fresh(opened.harness, entry)


def _as_kept(opened: OpenJob, entries: Sequence[Entry]) -> list[Entry]:
    """Entries as the notebook keeps them: stamped, and of a lone pinout with bare cavities."""
    whole = [stamped(opened.harness, entry, opened.filed) for entry in entries]
    return [_bare_entry(entry) for entry in whole] if opened.bare else whole


def _bare_entry(entry: Entry) -> Entry:
    red, black = tuple(map(bare, entry.red)), tuple(map(bare, entry.black))
    return replace(entry, about=bare(entry.about), red=red, black=black)
