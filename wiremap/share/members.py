"""What goes into a pack: the job and the files it names, under names fit for any system."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from wiremap.base import Finding, Place, fault
from wiremap.files import notebook_beside
from wiremap.files.filebytes import read_bytes
from wiremap.files.strict import Scalar
from wiremap.share.limits import MAX_MEMBER
from wiremap.share.manifest import MANIFEST
from wiremap.share.names import name_fault
from wiremap.share.references import Reference, references

SHEET = "sheet.pdf"  # the name that a sheet packed beside the job has
GATHERED = "gathered"  # the folder in a pack for files from outside the job's own


@dataclass
class Members:
    """Files by their name in the pack, what was found wrong, and which references were moved.

    `moved` holds the place in the job's text that names a file, and the file's new name.
    """

    files: dict[str, bytes] = field(default_factory=dict)
    faults: list[Finding] = field(default_factory=list)
    moved: list[tuple[Scalar, str]] = field(default_factory=list)


def members(job: Path, *, gather: bool) -> Members:
    """A job and all it names; `gather` copies in what lies outside the job's own folder."""
    gathered = Members()
    for reference in references(job):
        if reference.notebook and not os.path.lexists(job.parent / reference.text):
            continue  # a notebook that is still to be begun, with its first entry
        _take(gathered, job, reference, gather=gather)
    beside = notebook_beside(job)
    if beside.is_file() and not beside.is_symlink():
        data, faults = read_bytes(beside, beside.as_posix(), MAX_MEMBER)
        gathered.faults += faults
        gathered.files.setdefault(beside.name, data or b"")
    here = Place(job.as_posix())
    bad = name_fault(job.name)
    if bad:
        words = f"`{job.name}` cannot stand in a pack: it {bad}"
        gathered.faults.append(fault("pack-name", words, here))
    repeated = _first_repeated([*gathered.files, job.name, MANIFEST, SHEET])
    if repeated:
        words = f"`{repeated}` would stand twice in the pack, but for case"
        gathered.faults.append(fault("pack-name", words, here))
    data, faults = read_bytes(job, job.as_posix())
    gathered.faults += faults
    gathered.files[job.name] = _with_moved_references(data or b"", gathered.moved)
    return gathered


def _take(gathered: Members, job: Path, reference: Reference, *, gather: bool) -> None:
    """Put one named file among the members, or what is wrong with it among the faults."""
    named = reference.text
    place = Place(job.as_posix(), reference.node.line, reference.node.col)
    path = job.parent / named
    data, faults = read_bytes(path, named, MAX_MEMBER)
    if data is None:
        gathered.faults += [
            replace(each, message=f"`{named}`: {each.message}", place=place) for each in faults
        ]
        return
    name = _inner_name(job, path, named)
    if not name and not gather:
        fix = "Copy it beside the job, or pack with --gather to put a copy into the pack."
        words = f"`{named}` is outside the job's own folder"
        gathered.faults.append(fault("outside-folder", words, place, fix=fix))
        return
    if not name:
        name = _free_name(f"{GATHERED}/{path.name}", gathered.files, data)
        gathered.moved.append((reference.node, name))
    bad = name_fault(name)
    if bad:
        words = f"`{name}` cannot stand in a pack: it {bad}"
        gathered.faults.append(fault("pack-name", words, place, fix="Rename the file."))
        return
    gathered.files[name] = data


def _inner_name(job: Path, path: Path, named: str) -> str:
    """A file's name from the job's folder; empty where it lies outside or is reached by a link."""
    base = Path(os.path.realpath(job.parent))
    real = Path(os.path.realpath(path))
    if Path(named).is_absolute() or path.is_symlink() or not real.is_relative_to(base):
        return ""
    return real.relative_to(base).as_posix()


def _free_name(name: str, files: Mapping[str, bytes], data: bytes) -> str:
    """A name that no other content has taken: `a.yaml`, `a-2.yaml`, ..."""
    stem, dot, ending = name.rpartition(".")
    tried = name
    count = 2
    while tried in files and files[tried] != data:
        tried = f"{stem}-{count}{dot}{ending}"
        count += 1
    return tried


def _first_repeated(names: Iterable[str]) -> str:
    """The first name that stood before, whatever its case; empty where none did."""
    seen: set[str] = set()
    for name in names:
        if name.casefold() in seen:
            return name
        seen.add(name.casefold())
    return ""


def _with_moved_references(text: bytes, moved: Iterable[tuple[Scalar, str]]) -> bytes:
    """The job's text with references changed at their exact spots, last first."""
    lines = text.decode("utf-8-sig").splitlines(keepends=True)
    for node, name in sorted(moved, key=_spot, reverse=True):
        at = node.line - 1
        line = lines[at]
        start = node.col - 1
        rest = line[start:]
        length = len(node.text)
        if rest[0] in "\"'":
            length = rest.index(rest[0], 1) + 1
        lines[at] = f'{line[:start]}"{name}"{rest[length:]}'
    return "".join(lines).encode()


def _spot(moved: tuple[Scalar, str]) -> tuple[int, int]:
    return moved[0].line, moved[0].col
