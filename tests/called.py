"""Calls a command in this process: as at a prompt, without the second that a start takes."""

from __future__ import annotations

import contextlib
import io
import subprocess
import sys
from pathlib import Path
from unittest import mock

from demo_jobs import ROOT

from wiremap.cli.main import main


def called(
    *words: object, cwd: Path = ROOT, text: str | None = None, encoding: str = "utf-8"
) -> subprocess.CompletedProcess[str]:
    """What `wiremap WORDS` gives in a folder, with a text typed at it, on streams so encoded."""
    typed = _stream(encoding, (text or "").encode(encoding))
    out, err = _stream(encoding), _stream(encoding)
    with (
        contextlib.chdir(cwd),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
        mock.patch.object(sys, "stdin", typed),
    ):
        try:
            code = main([str(word) for word in words])
        except SystemExit as ended:
            code = int(ended.code or 0)
    return subprocess.CompletedProcess(words, code, _printed(out), _printed(err))


def _stream(encoding: str, held: bytes = b"") -> io.TextIOWrapper:
    return io.TextIOWrapper(io.BytesIO(held), encoding=encoding, write_through=True)


def _printed(stream: io.TextIOWrapper) -> str:
    stream.seek(0)
    return stream.read()


def last_step(lines: list[str]) -> str:
    """The one next step at the end of what a command printed, its wrapped lines joined; else
    empty.
    """
    begun = [at for at, line in enumerate(lines) if line.startswith("next: ")]
    if len(begun) != 1 or not all(line.startswith("      ") for line in lines[begun[0] + 1 :]):
        return ""
    return " ".join(line.strip() for line in lines[begun[0] :])
