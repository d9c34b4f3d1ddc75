"""Several files written together: all of them or none, and through no link."""

from __future__ import annotations

import contextlib
import os
import shutil
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from wiremap.base import Finding, Place, fault
from wiremap.files.temporary import claim, clear_leftovers, fill, temporary_name


class _TakenMeanwhile(Exception):
    """Somebody else has written a file of that name since it was looked for."""


@dataclass
class _Undo:
    """What has been done so far, so that it can be taken back, the last first."""

    folders: list[Path] = field(default_factory=list)  # made by us
    staged: dict[Path, Path] = field(default_factory=dict)  # target -> its filled file beside it
    backups: dict[Path, Path] = field(default_factory=dict)  # target -> what stood there before
    placed: list[Path] = field(default_factory=list)

    def take_back(self) -> list[Path]:
        """Take everything back; the targets of which that failed, whose old files then stay."""
        stuck = []
        for target in reversed(self.placed):
            try:
                if target in self.backups:
                    os.replace(self.backups[target], target)
                else:
                    os.unlink(target)
            except OSError:
                stuck.append(target)
            self.backups.pop(target, None)
        self.remove_rests()
        for folder in reversed(self.folders):
            with contextlib.suppress(OSError):
                os.rmdir(folder)
        return stuck

    def remove_rests(self) -> None:
        """Remove the files that only the writing needed."""
        for rest in (*self.staged.values(), *self.backups.values()):
            with contextlib.suppress(OSError):
                os.unlink(rest)


def write_several(
    files: Mapping[Path, bytes],
    *,
    below: Path | None = None,
    replace: Collection[Path] = (),
    inputs: Iterable[Path | str] = (),
) -> Finding | None:
    """Write files; None when done, else why none was written.

    With `below` the folders that they need are made too.

    Files that are there already are kept, and nothing is written, unless they are among `replace`.
    No part of a path `below` that folder may be a link, and no target may be one anywhere.  A file
    among `inputs` is never written over.
    """
    refused = refusal(files, below=below, replace=replace, inputs=inputs)
    if refused is not None:
        return refused
    undo = _Undo()
    try:
        for target, data in files.items():
            if below is not None:
                _make(target.parent, undo)
            _stage(target, data, undo)
        for target in files:
            _place(target, undo, may_replace=target in replace)
    except BaseException as error:
        stuck = undo.take_back()
        if isinstance(error, _TakenMeanwhile) and not stuck:
            return _exists(target)
        if isinstance(error, OSError | ValueError | _TakenMeanwhile):
            return _not_written(target, error, stuck)
        raise
    undo.remove_rests()
    return None


def refusal(
    targets: Iterable[Path],
    *,
    below: Path | None = None,
    replace: Collection[Path] = (),
    inputs: Iterable[Path | str] = (),
) -> Finding | None:
    """Why files may not be written, as far as can be told before; see `write_several`."""
    sources = tuple(inputs)
    for target in targets:
        try:
            refused = _refused(target, below, sources, may_replace=target in replace)
        except (OSError, ValueError) as error:
            refused = _not_written(target, error)
        if refused is not None:
            return refused
    return None


def _stage(target: Path, data: bytes, undo: _Undo) -> None:
    """Fill a new file beside the target."""
    clear_leftovers(target)
    staged = undo.staged[target] = temporary_name(target)
    fill(staged, data)


def _make(folder: Path, undo: _Undo) -> None:
    """Make a folder and those above it, noting each."""
    missing = []
    while not folder.is_dir():
        missing.append(folder)
        folder = folder.parent
    for each in reversed(missing):
        os.mkdir(each)
        undo.folders.append(each)


def _place(target: Path, undo: _Undo, *, may_replace: bool) -> None:
    """Put a filled file in its place in one step; what stood there is kept until all are placed.

    Raises _TakenMeanwhile where a file stands that may not be replaced: written since it was
    looked for, or by ourselves under the same name in other letters.
    """
    staged = undo.staged[target]
    if not os.path.lexists(target):
        try:
            claim(staged, target)
        except FileExistsError:
            raise _TakenMeanwhile from None
        undo.placed.append(target)
        return
    if not may_replace:
        raise _TakenMeanwhile
    backup = staged.with_suffix(".old")
    try:
        os.link(target, backup)
    except OSError:  # a file system without hard links
        shutil.copy2(target, backup)
    undo.backups[target] = backup
    os.replace(staged, target)
    undo.placed.append(target)


def _refused(
    target: Path, below: Path | None, inputs: Iterable[Path | str], *, may_replace: bool
) -> Finding | None:
    """Why a target may not be written, or None."""
    linked = _link_on_the_way(target, below)
    if linked is not None:
        words = "this name is a link, and links are not written through; nothing was written"
        return fault("not-a-file", words, Place(linked.as_posix()), fix="Name another place.")
    if not os.path.lexists(target):
        return None
    if not target.is_file():
        words = "this is a folder, a pipe or a device, so no file can be written here"
        return fault("not-a-file", words, Place(target.as_posix()), fix="Give another name.")
    for source in inputs:
        if os.path.exists(source) and os.path.samefile(source, target):
            words = "this file was read in the same call and is not written over"
            fix = "Give the result another name."
            return fault("file-exists", words, Place(target.as_posix()), fix=fix)
    return None if may_replace else _exists(target)


def _link_on_the_way(target: Path, below: Path | None) -> Path | None:
    """The first part of a path below a folder that is a link; of a lone target, itself."""
    parts = [target]
    if below is not None:
        _, *inner = reversed(target.relative_to(below).parents)
        parts = [*(below / part for part in inner), target]
    for part in parts:
        if os.path.islink(part):
            return part
    return None


def _exists(target: Path) -> Finding:
    return fault(
        "file-exists",
        "a file of this name is there already and is kept; nothing was written",
        Place(target.as_posix()),
        fix="Give another name.",
    )


def _not_written(target: Path, error: Exception, stuck: Sequence[Path] = ()) -> Finding:
    words = "the name cannot be a file's"
    if isinstance(error, _TakenMeanwhile):
        words = "a file of this name is there already"
    elif isinstance(error, OSError) and error.strerror:
        words = error.strerror.lower()
    left = "none of the files was"
    if stuck:
        named = ", ".join(path.as_posix() for path in stuck)
        left = f"already written, and not taken back as that failed too: {named}"
    return fault(
        "not-written",
        f"the file cannot be written: {words}; {left}",
        Place(target.as_posix()),
        fix="Check the folder, its permissions and the free space.",
    )
