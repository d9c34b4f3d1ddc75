"""What goes wrong around a command becomes one clear line and an exit code."""

from __future__ import annotations

import contextlib
import errno
import io
import os
import sys
from collections.abc import Callable

UNREAD, OUR_BUG, INTERRUPTED, NOBODY_READS = 2, 70, 130, 141  # exit codes
OUR_BUG_WORDS = (
    "files are written whole or not at all, so none is left half written; "
    "set WIREMAP_TRACE=1 to see where it happened and report it with the input"
)


def guarded(run: Callable[[], int]) -> int:
    """The exit code of a command, or of what kept it from ending; prints nothing but one line."""
    if sys.stdout is None:
        _one_line("wiremap: standard output is closed, so the result has nowhere to go")
        return UNREAD
    _careful_streams()
    try:
        return _flushed(run)
    except KeyboardInterrupt:
        _one_line("interrupted; what was saved before stays")
        return INTERRUPTED
    except BrokenPipeError:
        _give_up_output()
        return NOBODY_READS
    except OSError as error:
        if os.environ.get("WIREMAP_TRACE"):
            raise
        _give_up_output()
        _one_line(f"wiremap: {_subject_of(error)}: {(error.strerror or str(error)).lower()}")
        return UNREAD
    except Exception as bug:
        if os.environ.get("WIREMAP_TRACE"):
            raise
        words = f"wiremap: a fault of our own: {type(bug).__name__}: {bug}"
        _one_line(f"{words}\n{OUR_BUG_WORDS}")
        return OUR_BUG


def _flushed(run: Callable[[], int]) -> int:
    """Run, and see to it that all that was printed has gone out, also where help ends the run."""
    try:
        return run()
    finally:
        if not isinstance(sys.exception(), OSError):
            sys.stdout.flush()


def _careful_streams() -> None:
    """No character is refused by the encoding of a stream: what it lacks is shown by its number."""
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="replace")


def _give_up_output() -> None:
    """Throw away what is still to be printed, so that nothing complains at the end."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _subject_of(error: OSError) -> str:
    """What an error of the system is about: a file, or the standard streams."""
    if error.filename is not None:
        return os.fsdecode(error.filename)
    if error.errno in (errno.ENOSPC, errno.EIO, errno.EBADF):
        return "the result could not be written out"
    return "the system refused"


def _one_line(text: str) -> None:
    """A line on stderr, if somebody still listens there."""
    from wiremap.base import visible  # not needed for the help page, which should come at once

    with contextlib.suppress(OSError, ValueError, AttributeError):
        print(visible(text, keep="\n"), file=sys.stderr, flush=True)
