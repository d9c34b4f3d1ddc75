"""A new file beside the one whose place it takes: filled, put there in one step, cleared away."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import secrets
import time
from itertools import islice
from pathlib import Path

STALE_S = 600.0  # no write takes so long: what lies there was left by one that was killed
MOST_LOOKED_AT = 5000  # names of a folder
KEPT_OF_NAME = 100  # letters of a file's name that its temporary one begins with
NOFOLLOW = getattr(os, "O_NOFOLLOW", 0)
BINARY = getattr(os, "O_BINARY", 0)
LESS_UMASK = 0o666  # rights of a new file, of which the system takes what its user withholds


def temporary_name(path: Path) -> Path:
    """A name in the same folder that no file has, for one that will take this file's place."""
    return path.with_name(f".{path.name[:KEPT_OF_NAME]}.{secrets.token_hex(6)}.tmp")


def fill(new: Path, data: bytes) -> None:
    """Write a file that is not there yet, down to the disk; raises OSError."""
    descriptor = os.open(new, os.O_WRONLY | os.O_CREAT | os.O_EXCL | NOFOLLOW | BINARY, LESS_UMASK)
    try:
        left = memoryview(data)
        while left:
            written = os.write(descriptor, left)
            if not written:
                raise OSError(errno.EIO, os.strerror(errno.EIO))
            left = left[written:]
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def clear_leftovers(path: Path, older_s: float = STALE_S) -> None:
    """Remove this file's temporary files that nobody has written to for so long [s].

    They are of writes that were killed; should one be running yet, it fails and says so, and the
    file stays as it was.
    """
    name = re.escape(path.name[:KEPT_OF_NAME])
    temporary = re.compile(rf"\.{name}\.[0-9a-f]{{12}}\.(?:tmp|old)")
    with contextlib.suppress(OSError), os.scandir(path.parent) as entries:
        for entry in islice(entries, MOST_LOOKED_AT):
            if temporary.fullmatch(entry.name) and _is_old(entry, older_s):
                with contextlib.suppress(OSError):
                    os.unlink(entry.path)


def _is_old(entry: os.DirEntry[str], older_s: float) -> bool:
    """Whether an entry is a file that nobody has written to for so long; raises OSError."""
    if not entry.is_file(follow_symlinks=False):
        return False
    return time.time() - entry.stat(follow_symlinks=False).st_mtime >= older_s


def claim(temporary: Path, path: Path) -> None:
    """Move a file to a name that must not be taken yet; raises FileExistsError if it is."""
    if os.name == "nt":
        os.rename(temporary, path)  # refuses an existing target there
        return
    try:
        os.link(temporary, path)
    except FileExistsError:
        raise
    except OSError:  # a file system without hard links
        if os.path.lexists(path):
            raise FileExistsError(str(path)) from None
        os.rename(temporary, path)
