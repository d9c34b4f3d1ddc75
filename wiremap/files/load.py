"""From paths to the model: each file is read once, and what is wrong with any of them comes back as
faults.
"""

from __future__ import annotations

import contextlib
import gc
import hashlib
import os
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path

from wiremap.base import Finding, Place, Severity
from wiremap.files.built import (
    built_notebook,
    built_pinout,
    head_at,
    notebook_in,
    pinout_in,
)
from wiremap.files.faults import Faults
from wiremap.files.head import head_in
from wiremap.files.job import JobBuilder
from wiremap.files.loaded import Loaded, T, another_kind, of_kind
from wiremap.files.named import is_named, notebook_beside, path_named, within
from wiremap.files.source import DIGITS, Text, read_text
from wiremap.files.strict import Document, Node, read
from wiremap.model import EntryKind, Job, Notebook, Pinout

_NOT_THERE = frozenset({"no-such-file", "not-a-file", "unreadable-file", "empty-file"})


class Files:
    """Reads files for one run, each once however often it is named."""

    def __init__(self) -> None:
        self._pinouts: dict[str, Loaded[Pinout]] = {}
        self._notebooks: dict[str, Loaded[Notebook]] = {}
        # a file that was parsed to learn its kind and is about to be built
        self._opened: tuple[Path, Document] | None = None

    def pinout(self, path: Path | str) -> Loaded[Pinout]:
        """A pinout file."""
        key = os.path.abspath(path)
        if key not in self._pinouts:
            self._pinouts[key] = self._pinout(Path(path))
        return self._pinouts[key]

    def _pinout(self, path: Path) -> Loaded[Pinout]:
        document = self._parsed(path)
        if document is not None:
            return of_kind(pinout_in(document, path.stem), "pinout", _texts(document))
        text, faults = read_text(path, path.as_posix())
        if text is None:
            return Loaded(None, faults)
        return of_kind(built_pinout(text, path.stem), "pinout", (text,))

    def notebook(self, path: Path | str) -> Loaded[Notebook]:
        """A notebook file."""
        key = os.path.abspath(path)
        if key not in self._notebooks:
            self._notebooks[key] = self._notebook(Path(path))
        return self._notebooks[key]

    def _notebook(self, path: Path) -> Loaded[Notebook]:
        document = self._parsed(path)
        if document is not None:
            return of_kind(notebook_in(document), "notebook", _texts(document))
        text, faults = read_text(path, path.as_posix())
        if text is None:
            return Loaded(None, faults)
        return of_kind(built_notebook(text), "notebook", (text,))

    def job(self, path: Path | str) -> Loaded[Job]:
        """A job file with every pinout and notebook that it names."""
        path = Path(path)
        document = self._parsed(path) or read(path)
        head = head_in(document)
        no_job = head.faults or another_kind(head, "job", head_at(document))
        if no_job:
            return Loaded(None, no_job, _texts(document))
        named = _Named(self, path, _texts(document))
        faults = Faults(document.shown)
        with one_sweep():
            job = JobBuilder(document, faults, named.pinout, named.notebook).build(path.stem)
        if job is not None:
            job = named.with_beside(job)
            named.findings.extend(_strikes_nothing(job))
        findings = (*faults.ordered(), *dict.fromkeys(named.findings))
        texts = tuple(named.texts.values())
        if job is None or any(finding.fault for finding in findings):
            return Loaded(None, findings, texts)
        return Loaded(replace(job, digest=_digest(texts)), findings, texts)

    def any(self, path: Path | str) -> Loaded[Job] | Loaded[Pinout] | Loaded[Notebook]:
        """Whatever the file's first line says that it is."""
        path = Path(path)
        document = read(path)
        head = head_in(document)
        if head.kind is None:
            return Loaded(None, head.faults, _texts(document))
        self._opened = (path, document)
        try:
            if head.kind == "job":
                return self.job(path)
            if head.kind == "pinout":
                return self.pinout(path)
            return self.notebook(path)
        finally:
            self._opened = None

    def _parsed(self, path: Path) -> Document | None:
        """A file that was parsed to learn its kind and is about to be built."""
        if self._opened is not None and self._opened[0] == path:
            return self._opened[1]
        return None


class _Named:
    """The pinouts and notebooks of one job: what was found in them, and the texts of all its files
    by the paths that are shown of them.
    """

    def __init__(self, files: Files, job_path: Path, texts: tuple[Text, ...]) -> None:
        self._files, self._job_path = files, job_path
        self.findings: list[Finding] = []
        self.texts = {text.shown: text for text in texts}

    def pinout(self, faults: Faults, node: Node) -> Pinout | None:
        """The pinout that a node of the job names; None, with faults noted, if it has none."""
        path = path_named(faults, node, self._job_path, "pinout")
        if path is None:
            return None
        return self._noted(self._files.pinout(path), faults.place(node))

    def notebook(self, faults: Faults, node: Node) -> Notebook | None:
        """The notebook that a node of the job names; an empty one if it is not begun yet."""
        path = path_named(faults, node, self._job_path, "notebook")
        if path is None:
            return None
        if not os.path.lexists(path):  # it is begun with its first entry
            return Notebook(path.as_posix(), place=faults.place(node))
        return self._noted(self._files.notebook(path), faults.place(node))

    def with_beside(self, job: Job) -> Job:
        """The job with the notebook that lies beside it under its own name, if it is not named
        anyway.
        """
        beside, folder = notebook_beside(self._job_path), self._job_path.parent
        if not os.path.lexists(beside) or is_named(job, beside) or not within(folder, beside):
            return job
        notebook = self._noted(self._files.notebook(beside), Place(self._job_path.as_posix()))
        if notebook is None:
            return job
        return replace(job, notebooks=(*job.notebooks, notebook))

    def _noted(self, loaded: Loaded[T], named_at: Place) -> T | None:
        """What a file came to, its findings and text noted.

        One that is not there has no line to show, so the line that names it is shown too.
        """
        self.findings.extend(
            replace(found, also=((named_at, "named here"),)) if found.rule in _NOT_THERE else found
            for found in loaded.findings
        )
        self.texts.update({text.shown: text for text in loaded.texts})
        return loaded.value


def _strikes_nothing(job: Job) -> Iterator[Finding]:
    """A caution for every entry that strikes out what no notebook of the job holds."""
    struck = {entry.own_mark for notebook in job.notebooks for entry in notebook.struck}
    for notebook in job.notebooks:
        for entry in notebook.entries:
            if entry.kind == EntryKind.STRUCK_OUT and entry.mark not in struck:
                yield Finding(
                    "strikes-nothing",
                    Severity.CAUTION,
                    f"no entry before this one bears the mark {entry.mark}, so nothing is "
                    "struck out",
                    place=entry.place,
                    fix="Compare the mark with those that `wiremap next JOB --kept` lists.",
                )


@contextlib.contextmanager
def one_sweep() -> Iterator[None]:
    """Hold the cyclic collector back while a large job is built: nothing built here is dropped
    before the end.

    What was built goes among the old, so that the collector does not look through all of it at
    once when it is let go.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.freeze()
            gc.unfreeze()
            gc.enable()


def load_pinout(path: Path | str) -> Loaded[Pinout]:
    """Read one pinout file."""
    return Files().pinout(path)


def load_notebook(path: Path | str) -> Loaded[Notebook]:
    """Read one notebook file."""
    return Files().notebook(path)


def load_job(path: Path | str) -> Loaded[Job]:
    """Read one job file with all that it names."""
    return Files().job(path)


def load_any(path: Path | str) -> Loaded[Job] | Loaded[Pinout] | Loaded[Notebook]:
    """Read a file of any kind."""
    return Files().any(path)


def declared_kind(path: Path | str) -> tuple[str | None, tuple[Finding, ...]]:
    """The kind that a file declares (`wiremap: kind/1`), or None with the faults that say why."""
    head = head_in(read(path))
    return head.kind, head.faults


def _texts(document: Document) -> tuple[Text, ...]:
    return (document.text,) if document.text else ()


def _digest(texts: Iterable[Text]) -> str:
    sums = sorted(text.sha256 for text in texts)
    return hashlib.sha256("\n".join(sums).encode()).hexdigest()[:DIGITS]
