"""Laying a pack out in a folder: all of it or nothing, over nothing that is there."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from wiremap.base import Finding, Place, fault
from wiremap.share.opening import Opened, open_pack


def unpack(path: Path | str, folder: Path | str) -> Opened:
    """Verify a pack, then lay it out in a folder that is new or empty; all of it or nothing."""
    folder = Path(folder)
    opened = open_pack(path)
    if opened.findings:
        return opened
    wrong = lay_out(opened.files, folder)
    if wrong is not None:
        return Opened({}, {}, (wrong,))
    return opened


def lay_out(files: Mapping[str, bytes], folder: Path) -> Finding | None:
    """Write files by their names below a new or empty folder; None when done."""
    try:
        if not _free(folder):
            return fault(
                "output-exists",
                "this folder holds something already; nothing is overwritten",
                Place(folder.as_posix()),
                fix="Name a new or empty folder.",
            )
        folder.parent.mkdir(parents=True, exist_ok=True)
        laid = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
        try:
            for name, data in sorted(files.items()):
                _write(laid / name, data)
            os.chmod(laid, 0o755)
            if folder.exists():
                folder.rmdir()
            os.rename(laid, folder)
        except BaseException:
            shutil.rmtree(laid, ignore_errors=True)
            raise
    except OSError as error:
        words = (error.strerror or "it cannot be written").lower()
        return fault(
            "not-written",
            f"nothing was unpacked: {words}",
            Place(folder.as_posix()),
            fix="Name a folder that you may write to.",
        )
    return None


def _free(folder: Path) -> bool:
    """Whether nothing stands at a folder's name, or an empty folder."""
    if folder.is_symlink():
        return False
    if not folder.exists():
        return True
    return folder.is_dir() and not any(folder.iterdir())


def _write(target: Path, data: bytes) -> None:
    target.parent.mkdir(parents=True, exist_ok=True)
    with open(target, "xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
