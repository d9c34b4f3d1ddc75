"""What every command shares: plain output, colour only on a terminal, JSON with a known first key."""

from __future__ import annotations

import argparse
import json
import math
import os
import sys
import unicodedata
from collections.abc import Mapping
from typing import Any, TextIO

OK, HOLDS, UNREAD, OUR_BUG, INTERRUPTED = 0, 1, 2, 70, 130


def visible(text: str) -> str:
    """Text with every control, format and lone surrogate character shown as its code point; newlines stay."""
    if text.isascii() and text.replace("\n", "").isprintable():
        return text
    return "".join(c if c == "\n" or _shows(c) else f"<U+{ord(c):04X}>" for c in text)


def _shows(c: str) -> bool:
    return unicodedata.category(c) not in ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")


def say(text: str = "", *, to: TextIO | None = None) -> None:
    """Print a line of result; nothing in it can steer a terminal."""
    print(visible(text), file=to or sys.stdout)


def note(text: str) -> None:
    """Print a line of diagnosis on stderr."""
    say(text, to=sys.stderr)


def tell_withdrawn(*papers: Any) -> None:
    """Say on stderr, loudly, that a job or pinout (or a pinout that a job rests on) has been withdrawn, and why."""
    for paper in papers:
        rests_on = [end.pinout for end in paper.ends.values()] if hasattr(paper, "ends") else []
        for each in (paper, *rests_on):
            if each.withdrawn is not None:
                note(f"WITHDRAWN: {each.path}: {each.withdrawn or 'no reason given'}")


def coloured(stream: TextIO) -> bool:
    """Whether colour may be used: a terminal, `NO_COLOR` unset, not a dumb one."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def emit_json(command: str, body: Mapping[str, Any]) -> None:
    """Print a result as JSON whose first key names the command and the version of its shape."""
    json.dump({"wiremap": f"{command}/1", **_plain(body)}, sys.stdout, indent=2, ensure_ascii=True, allow_nan=False)
    print()


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(k): _plain(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(v) for v in value]
    if isinstance(value, float) and not math.isfinite(value):
        return "open" if value > 0 else None
    return value


def json_flag(parser: argparse.ArgumentParser) -> None:
    """Add `--json`, which every command has."""
    parser.add_argument("--json", action="store_true", help="print the result as JSON on standard output")
