"""The system's calls that write, one of which fails; what lies in a folder before and after."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

WRITING = ("open", "write", "fsync", "link", "replace", "rename", "mkdir", "unlink")
ERRORS = (
    errno.ENOSPC,
    errno.EACCES,
    errno.EIO,
    None,
)  # None: half is written, then the disk is full


class FailingOnce:
    """The system's calls that write, of which the one with a number fails once."""

    def __init__(self, patch: pytest.MonkeyPatch, folder: Path, number: int) -> None:
        self.left = number
        self.error = ERRORS[number % len(ERRORS)]
        self.folder = str(folder)
        self.failed = False
        self.is_full = False  # after half of a write
        for name in WRITING:
            patch.setattr(os, name, self._failing(getattr(os, name)))

    def _failing(self, call: Callable[..., Any]) -> Callable[..., Any]:
        def wrapped(*args: Any, **more: Any) -> Any:
            name = call.__name__
            if self.is_full and name == "write":
                self.is_full = False
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            writes = name != "open" or bool(args[1] & (os.O_WRONLY | os.O_RDWR))
            ours = name in ("write", "fsync") or str(args[0]).startswith(self.folder)
            if writes and ours and not self.failed:
                self.left -= 1
                if self.left == 0:
                    self.failed = True
                    return self._fault(call, *args, **more)
            return call(*args, **more)

        return wrapped

    def _fault(self, call: Callable[..., Any], *args: Any, **more: Any) -> Any:
        if self.error is None and call.__name__ == "write" and len(args[1]) > 1:
            self.is_full = self.left % 2 == 0
            return call(args[0], args[1][: len(args[1]) // 2])
        code = self.error or errno.ENOSPC
        raise OSError(code, os.strerror(code))


def held(folder: Path) -> dict[str, bytes]:
    """Every file below a folder, but the locks and scratch files that a fault may leave."""
    files = (path for path in folder.rglob("*") if path.is_file())
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in files
        if not path.name.startswith(".")
    }
