"""A job or a lone pinout opened with its notebook, for the commands beside the machine."""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from wiremap.base import Finding, Place, Severity, fault
from wiremap.cli.common import note
from wiremap.cli.withdrawn import tell_withdrawn
from wiremap.evidence import alone, answers, settle, unusable
from wiremap.files import load_any, load_notebook
from wiremap.graph import Harness
from wiremap.model import Address, Job, Notebook, Pinout

LONE_END = "end"  # what the end of a pinout by itself is called within
WHOLE = ("end.", "supply.", "surroundings.")  # how addresses begin that need no end before them


@dataclass(frozen=True, kw_only=True)
class OpenJob:
    """A settled job with its graph, where its notebook lies, and whether it is a lone pinout."""

    job: Job
    filed: Job  # as its files say it, no answer laid over it
    notebook: Path
    named: bool  # the job names that notebook, or it is found beside the pinout
    bare: bool  # a lone pinout: addresses are shown without an end
    unnamed: tuple[str, ...] = ()  # notebooks that count here although the job does not name them
    harness: Harness

    def name_it(self, notebook: Path) -> str:
        """What to add to the job so that a notebook counts everywhere."""
        paths = [each.path for each in self.job.notebooks if each.path not in self.unnamed]
        names = ", ".join(self._from_job(path) for path in [*paths, str(notebook)])
        return (
            "the job does not name it: `next`, `survey` and `ringout` read it, `check` and the "
            f"sheet do not until {Path(self.job.path).name} says `readings: [{names}]`"
        )

    def _from_job(self, path: str) -> str:
        folder = os.path.dirname(os.path.abspath(self.job.path))
        return os.path.relpath(os.path.abspath(path), folder).replace(os.sep, "/")


def open_job(path: str, notebook: str | None = None) -> tuple[OpenJob | None, tuple[Finding, ...]]:
    """A job, or a pinout by itself, with all that its notebooks answer laid over it.

    A notebook given by name, or lying beside the file under the usual name, counts too, whether the
    job names it or not.
    """
    loaded = load_any(path)
    value = loaded.value
    chosen = Path(notebook) if notebook else None
    if isinstance(value, Job):
        tell_withdrawn(value)
        opened, more = _job(value, path, chosen)
        return opened, (*loaded.findings, *more)
    if isinstance(value, Pinout):
        tell_withdrawn(value)
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
        notebook=chosen,
        named=_names(filed, chosen),
        bare=False,
        unnamed=tuple(book.path for book in books),
        harness=Harness(job),
    )
    return opened, findings


def _pinout(pinout: Pinout, chosen: Path) -> tuple[OpenJob, list[Finding]]:
    books, findings = _read([chosen])
    job = settle(alone(pinout, books))
    opened = OpenJob(
        job=job,
        filed=alone(pinout),
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
            books += [read.value] if read.value is not None else []
    return tuple(books), findings


def beside(path: str) -> Path:
    """The notebook that lies beside a file that names none."""
    file = Path(path)
    return file.with_name(f"{file.stem}-notebook.yaml")


def notebook_plain(opened: OpenJob) -> dict[str, Any]:
    """Where entries go, whether the job names that file, and the unnamed notebooks that were read."""
    return {
        "path": opened.notebook.as_posix(),
        "named": opened.named,
        "read_unnamed": list(opened.unnamed),
    }


def not_counted(opened: OpenJob) -> tuple[Finding, ...]:
    """A caution for every answer that its question does not allow; each is asked again."""
    known = answers(opened.job)
    found = []
    for entry, why in unusable(opened.job):
        if entry.about not in known:
            words = shown(opened, f"{why}; it does not count, and the question stands")
            subject = (shown(opened, entry.about),)
            found.append(
                Finding(
                    "answer-not-counted",
                    Severity.CAUTION,
                    words,
                    subject,
                    entry.place,
                    fix="answer it again; the last answer counts",
                )
            )
    return tuple(found)


def tell_not_counted(opened: OpenJob, found: Iterable[Finding]) -> None:
    """Say on stderr which answers do not count, and which notebooks the job does not name."""
    for each in found:
        note(f"{each.place}: {each.message}" if each.place else each.message)
    for path in map(Path, opened.unnamed):
        note(f"{path.as_posix()} is read; {opened.name_it(path)}")


def full_address(opened: OpenJob, about: str) -> str:
    """An address as the job knows it: of a lone pinout with the end's name before it."""
    if opened.bare and about and not about.startswith(WHOLE):
        return f"{LONE_END}.{about}"
    return about


def bare(address: str) -> Address:
    """An address of a lone pinout without the end's name."""
    return Address.read(address.removeprefix(f"{LONE_END}."))


def shown(opened: OpenJob, value: Any) -> Any:
    """Plain data with the bare names that the user gave, if the job stands for one pinout."""
    if not opened.bare:
        return value
    if isinstance(value, dict):
        return {key: shown(opened, each) for key, each in value.items()}
    if isinstance(value, list):
        return [shown(opened, each) for each in value]
    if isinstance(value, str):
        return value.replace(f"{LONE_END}.", "")
    return value
