"""Writing files: whole or not at all, never over something by accident, two writers at once lose
nothing.
"""

from __future__ import annotations

import contextlib
import errno
import os
import stat
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from wiremap.base import Finding, Place, fault
from wiremap.files.source import read_text
from wiremap.files.temporary import (
    BINARY,
    LESS_UMASK,
    NOFOLLOW,
    claim,
    clear_leftovers,
    fill,
    temporary_name,
)

PATIENCE_S = 10.0  # till another program that writes the same file is waited for no more
BETWEEN_TRIES_S = 0.01


def write_text(
    path: Path | str, text: str, *, overwrite: bool = False, inputs: Iterable[Path | str] = ()
) -> Finding | None:
    """Write UTF-8 text with plain line feeds; see `write_bytes`."""
    return write_bytes(path, text.encode("utf-8"), overwrite=overwrite, inputs=inputs)


def write_bytes(
    path: Path | str, data: bytes, *, overwrite: bool = False, inputs: Iterable[Path | str] = ()
) -> Finding | None:
    """Write a file atomically; None when done, else the fault that kept it from being written.

    An existing file is kept unless `overwrite`; a link is never followed; a file named in `inputs`
    is never written.
    """
    path = Path(path)
    refused = _refused(path, inputs, overwrite=overwrite)
    if refused is not None:
        return refused
    try:
        _replace(path, data, overwrite=overwrite)
    except FileExistsError:
        return _exists(path)
    except (OSError, ValueError) as error:
        return _not_written(path, error)
    return None


def update_text(
    path: Path | str, change: Callable[[str], str | Finding], *, wait_s: float = PATIENCE_S
) -> Finding | None:
    """Read a file, change its text and write it back while nobody else does.

    A missing file counts as empty text; a finding in place of the new text leaves all as it is.

    The lock is a file beside it, held by the operating system, so it falls with the process that
    holds it.
    """
    path = Path(path)
    if path.is_symlink():
        return _is_link(path)
    try:
        with lock(path, wait_s):
            before = ""
            if path.exists():
                read, faults = read_text(path, path.as_posix())
                if read is None and [found.rule for found in faults] != ["empty-file"]:
                    return faults[0]
                before = read.text if read is not None else ""
            after = change(before)
            if isinstance(after, Finding):
                return after
            if after != before:
                clear_leftovers(path, older_s=0)  # nobody else writes it now
                _replace(path, after.encode("utf-8"), overwrite=True)
    except TimeoutError:
        return fault(
            "file-busy",
            "another program is writing this file and does not finish",
            Place(path.as_posix()),
            fix="Close the other program and try again; nothing was changed.",
        )
    except (OSError, ValueError) as error:
        return _not_written(path, error)
    return None


@contextlib.contextmanager
def lock(path: Path, wait_s: float = PATIENCE_S) -> Iterator[None]:
    """Hold the right to change a file; raises TimeoutError if others hold it too long."""
    held = path.with_name(f".{path.name}.lock")
    until = time.monotonic() + wait_s
    while True:
        descriptor = _locked(held, until)
        if _is_current(descriptor, held):
            break
        os.close(descriptor)  # the holder before us has removed the lock file: try anew
    try:
        yield
    finally:
        with contextlib.suppress(OSError):
            if sys.platform != "win32":
                held.unlink()
        os.close(descriptor)
        with contextlib.suppress(OSError):
            if sys.platform == "win32":
                held.unlink()


def _locked(held: Path, until: float) -> int:
    while True:
        try:
            descriptor = os.open(held, os.O_RDWR | os.O_CREAT | NOFOLLOW | BINARY, LESS_UMASK)
        except PermissionError:
            # on Windows the file may just be being removed
            if sys.platform != "win32" or time.monotonic() > until:
                raise
        else:
            if _try_lock(descriptor):
                return descriptor
            os.close(descriptor)
        if time.monotonic() > until:
            raise TimeoutError(str(held))
        time.sleep(BETWEEN_TRIES_S)


if sys.platform == "win32":
    import msvcrt

    def _try_lock(descriptor: int) -> bool:
        try:
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

    def _is_current(descriptor: int, held: Path) -> bool:
        return True  # Windows removes no file that somebody holds

else:
    import fcntl

    def _try_lock(descriptor: int) -> bool:
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            if error.errno in (errno.EAGAIN, errno.EACCES):
                return False
            raise
        return True

    def _is_current(descriptor: int, held: Path) -> bool:
        try:
            return os.path.samestat(os.fstat(descriptor), os.stat(held, follow_symlinks=False))
        except OSError:
            return False


def _replace(path: Path, data: bytes, *, overwrite: bool) -> None:
    """Fill a new file beside the target, then put it in the target's place in one step."""
    clear_leftovers(path)
    temporary = temporary_name(path)
    mode = stat.S_IMODE(os.lstat(path).st_mode) if overwrite and path.exists() else None
    try:
        fill(temporary, data)
        if mode is not None:
            os.chmod(temporary, mode)
        if overwrite:
            os.replace(temporary, path)
        else:
            claim(temporary, path)
    finally:
        with contextlib.suppress(OSError):
            os.unlink(temporary)
    _sync_folder(path.parent)


def _sync_folder(folder: Path) -> None:
    if os.name == "nt":
        return
    with contextlib.suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def _refused(path: Path, inputs: Iterable[Path | str], *, overwrite: bool) -> Finding | None:
    place = Place(path.as_posix())
    try:
        if path.is_symlink():
            return _is_link(path)
        if path.is_dir():
            return fault(
                "not-a-file",
                "this is a folder, so no file can be written here",
                place,
                fix="Name a file in it.",
            )
        if path.exists():
            for source in inputs:
                if os.path.exists(source) and os.path.samefile(path, source):
                    return fault(
                        "file-exists",
                        "this file was read in the same call and is not written over",
                        place,
                        fix="Give the result another name.",
                    )
            if not path.is_file():
                return fault(
                    "not-a-file",
                    "this is a pipe or a device, not a file",
                    place,
                    fix="Name a file.",
                )
            if not overwrite:
                return _exists(path)
    except (OSError, ValueError) as error:
        return _not_written(path, error)
    return None


def _exists(path: Path) -> Finding:
    return fault(
        "file-exists",
        "a file of this name is there already and is kept",
        Place(path.as_posix()),
        fix="Give another name.",
    )


def _is_link(path: Path) -> Finding:
    return fault(
        "not-a-file",
        "this name is a link, and links are not written through",
        Place(path.as_posix()),
        fix="Name the file itself.",
    )


def _not_written(path: Path, error: OSError | ValueError) -> Finding:
    if isinstance(error, FileNotFoundError) and not path.parent.is_dir():
        return fault(
            "not-written",
            f"the folder {path.parent.as_posix()} is not there",
            Place(path.as_posix()),
            fix="Make the folder first.",
        )
    words = (
        error.strerror
        if isinstance(error, OSError) and error.strerror
        else "the name cannot be a file's"
    )
    return fault(
        "not-written",
        f"the file cannot be written: {words.lower()}",
        Place(path.as_posix()),
        fix="Check the folder, its permissions and the free space; this file is as it was.",
    )
