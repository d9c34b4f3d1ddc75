"""Laying a pack out in a folder: all of it or nothing, over nothing that is there."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from wiremap.base import Finding, Place, fault
from wiremap.files.write_several import write_several
from wiremap.share.opening import Opened, open_pack
from wiremap.share.origin import with_origin


def unpack(path: Path | str, folder: Path | str) -> Opened:
    """Verify a pack, then lay it out in a folder that is new or empty; all of it or nothing.

    Its notebooks bear where their entries came from: a signature of somebody else's counts once a
    person here has adopted it.
    """
    folder = Path(folder)
    opened = open_pack(path)
    if opened.findings:
        return opened
    files = with_origin(opened.files, opened.manifest)
    if isinstance(files, Finding):
        return Opened({}, {}, (files,))
    wrong = lay_out(files, folder)
    if wrong is not None:
        return Opened({}, {}, (wrong,))
    return opened


def lay_out(files: Mapping[str, bytes], folder: Path) -> Finding | None:
    """Write files by their names below a new or empty folder; None when done."""
    try:
        free = _free(folder)
    except OSError as error:
        words = f"nothing was unpacked: {(error.strerror or 'no such place').lower()}"
        fix = "Name a folder that you may write to."
        return fault("not-written", words, Place(folder.as_posix()), fix=fix)
    if not free:
        words = "this folder holds something already; nothing is overwritten"
        fix = "Name a new or empty folder."
        return fault("output-exists", words, Place(folder.as_posix()), fix=fix)
    return write_several({folder / name: data for name, data in files.items()}, below=folder)


def _free(folder: Path) -> bool:
    """Whether nothing stands at a folder's name, or an empty folder."""
    if folder.is_symlink():
        return False
    if not folder.exists():
        return True
    return folder.is_dir() and not any(folder.iterdir())
