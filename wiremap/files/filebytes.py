"""The bytes of a file or a pipe: nothing that has no end, and nothing that is waited for long."""

from __future__ import annotations

import difflib
import json
import os
import select
import stat
import sys
import time
from pathlib import Path
from typing import Any

from wiremap.base import Finding, Place, fault

ALIKE = 0.65  # how much of a misspelt name is right
KIB, MIB = 2**10, 2**20
MAX_BYTES = 2 * 1024 * 1024
MOST_OWN_BYTES = 2**20  # of a file that an earlier run wrote
SILENT_S = 4.0  # a pipe that gives nothing for so long is given up
WHOLE_S = 60.0  # and one that has not ended by then
MAX_LOOKED_AT = 2000  # names of a folder, for one that is like a missing one
_AT_ONCE = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
_CHUNK = 65536


def read_bytes(
    path: Path, shown: str, limit: int = MAX_BYTES, *, pipes: bool = False
) -> tuple[bytes | None, tuple[Finding, ...]]:
    """The bytes of a regular file of at most `limit` bytes, or why they cannot be had.

    A device is never waited for. With `pipes` a pipe is read to its end, if that comes in time.
    """
    try:
        descriptor = os.open(path, os.O_RDONLY | _AT_ONCE)
    except (OSError, ValueError) as error:
        return None, (_not_opened(path, shown, error),)
    mode = os.fstat(descriptor).st_mode
    piped = pipes and stat.S_ISFIFO(mode) and sys.platform != "win32"
    if not piped and not stat.S_ISREG(mode):
        os.close(descriptor)
        return None, (_not_a_file(shown, mode),)
    with os.fdopen(descriptor, "rb") as file:
        try:
            data = _piped(file.fileno(), limit) if piped else file.read(limit + 1)
        except TimeoutError:
            words = f"this pipe gave nothing for {SILENT_S:g} s, or had no end in {WHOLE_S:g} s"
            return None, (_poor_pipe(shown, words),)
        except OSError as error:
            return None, (_not_opened(path, shown, error),)
    if data is None:  # a device in a file's guise that has nothing to give yet
        return None, (_not_a_file(shown, stat.S_IFCHR),)
    if piped and not data:
        return None, (_poor_pipe(shown, "nothing came out of this pipe"),)
    if len(data) > limit:
        return None, (too_large(shown, limit),)
    return data, ()


def read_own_json(path: Path) -> dict[str, Any]:
    """The object in a file that an earlier run wrote; empty where there is none."""
    data, _ = read_bytes(path, path.as_posix(), MOST_OWN_BYTES)
    if data is None or path.is_symlink():
        return {}
    try:
        told = json.loads(data)
    except (ValueError, RecursionError):
        return {}
    return told if isinstance(told, dict) else {}


def _piped(descriptor: int, limit: int) -> bytes:
    """What a pipe gives, up to one byte beyond the limit; TimeoutError if its end does not come."""
    data = bytearray()
    began = time.monotonic()
    while len(data) <= limit:
        try:
            chunk = os.read(descriptor, _CHUNK)
        except BlockingIOError:  # somebody holds the other end and is not done
            _awaited(descriptor, began)
            continue
        if not chunk:
            break
        data += chunk
    return bytes(data)


def _awaited(descriptor: int, began: float) -> None:
    """Return as soon as a pipe has something to give; TimeoutError if it has not in time."""
    left = min(SILENT_S, began + WHOLE_S - time.monotonic())
    ready, _, _ = select.select([descriptor], [], [], max(left, 0.0))
    if not ready:
        raise TimeoutError


def too_large(shown: str, limit: int) -> Finding:
    """The fault for a file that goes on beyond its limit."""
    size = f"{limit // MIB} MiB" if limit >= MIB else f"{limit // KIB} KiB"
    return fault(
        "over-limit",
        f"the file is larger than {size}",
        Place(shown),
        fix="A pin table or job of that size is most likely another kind of file; split it if not.",
    )


def _poor_pipe(shown: str, words: str) -> Finding:
    fix = "Save the text to a file first and name that."
    return fault("not-a-file", words, Place(shown), fix=fix)


def _not_opened(path: Path, shown: str, error: OSError | ValueError) -> Finding:
    place = Place(shown)
    if isinstance(error, FileNotFoundError | NotADirectoryError):
        return fault("no-such-file", "there is no such file", place, fix=_near(path))
    if isinstance(error, IsADirectoryError) or (
        isinstance(error, PermissionError) and path.is_dir()
    ):
        return _not_a_file(shown, stat.S_IFDIR)
    if isinstance(error, PermissionError):
        return fault(
            "unreadable-file",
            "the file may not be read (no permission)",
            place,
            fix="Change its permissions, or copy it to a folder of your own.",
        )
    words = "the name cannot be a file's"
    if isinstance(error, OSError) and error.strerror:
        words = error.strerror.lower()
    fix = "Check its name and place."
    return fault("unreadable-file", f"the file cannot be opened: {words}", place, fix=fix)


def _near(path: Path) -> str:
    """Which file in the same folder has a name like that of a missing one."""
    try:
        names = sorted(entry.name for entry in os.scandir(path.parent or Path()) if entry.is_file())
    except (OSError, ValueError):
        return f"The folder {path.parent.as_posix()} is not there either; check the path."
    # without the ending, which would make all files of a kind look alike
    stems = {Path(name).stem: name for name in reversed(names[:MAX_LOOKED_AT])}
    close = difflib.get_close_matches(path.stem, list(stems), cutoff=ALIKE)
    if not close:
        return "Check the name, and the folder you are in."
    return f"Did you mean {stems[close[0]]}?"


def _not_a_file(shown: str, mode: int) -> Finding:
    words = "this is a pipe or a device, not a file"
    fix = "Save the text to a file first and name that."
    if stat.S_ISDIR(mode):
        words = "this is a folder, not a file"
        fix = "Name the file inside it."
    return fault("not-a-file", words, Place(shown), fix=fix)
