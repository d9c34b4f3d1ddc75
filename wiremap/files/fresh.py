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
NOFOLLOW = getattr(os, "O_NOFOLLOW", 0)
BINARY = getattr(os, "O_BINARY", 0)


def beside(path: Path) -> Path:
    """A name of nobody's in the same folder, for a file that takes this one's place."""
    return path.with_name(f".{path.name[:100]}.{secrets.token_hex(6)}.tmp")


def fill(new: Path, data: bytes) -> None:
    """Write a file that is not there yet, down to the disk; raises OSError."""
    descriptor = os.open(new, os.O_WRONLY | os.O_CREAT | os.O_EXCL | NOFOLLOW | BINARY, 0o666)
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
    """Remove what writes of this file left that were killed so long ago.

    A writer whose file is taken from it by this loses that alone, and says so.
    """
    ours = re.compile(rf"\.{re.escape(path.name[:100])}\.[0-9a-f]{{12}}\.(?:tmp|old)")
    with contextlib.suppress(OSError), os.scandir(path.parent) as entries:
        for entry in islice(entries, MOST_LOOKED_AT):
            if ours.fullmatch(entry.name) and entry.is_file(follow_symlinks=False):
                age_s = time.time() - entry.stat(follow_symlinks=False).st_mtime
                if age_s >= older_s:
                    with contextlib.suppress(OSError):
                        os.unlink(entry.path)


def claim(temporary: Path, path: Path) -> None:
    """Move a file to a name that nobody may hold yet; raises FileExistsError."""
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
