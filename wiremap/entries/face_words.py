"""A connector's front as it is typed: `1-10 / 11-20, keyway top`, seen from the mating side."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection

from wiremap.model import Face, KeyAt, LookedAt

WORDS = (  # how it is typed, as a hint says it
    "the rows from left to right, a stroke between two, as you look at the half that carries the "
    "wires, from its mating side"
)
GAP = "."  # where no cavity is
LONGEST = 4000  # characters
MOST_CAVITIES = 4096

_RUN = re.compile(r"(\d{1,4})-(\d{1,4})")
_KEY = re.compile(rf",?\s*key(?:way)?\s+({'|'.join(KeyAt)})\s*$", re.IGNORECASE)
_RUN_BLANKS = re.compile(r"(?<=\d)\s*-\s*(?=\d)")


def read_face(text: str, cavities: Collection[str]) -> Face | str:
    """The front that a text draws; or in words why it is none of this connector."""
    said = text.strip()
    if len(said) > LONGEST:
        return "that is too long"
    at = _KEY.search(said)
    rows = []
    for row in re.split(r"[/;|\n]", said[: at.start()] if at else said):
        named = _row(row, cavities)
        if named:
            rows.append(named)
    names = Counter(name for row in rows for name in row if name is not None)
    strange = [name for name in names if name not in cavities]
    twice = [name for name, count in names.items() if count > 1]
    lacks = [name for name in cavities if name not in names]
    if strange:
        return f"there is no cavity {strange[0]}"
    if twice:
        return f"cavity {twice[0]} stands there twice"
    if lacks:
        return f"cavity {', '.join(lacks[:6])}{' ...' if len(lacks) > 6 else ''} is not in it"
    key = KeyAt(at[1].casefold()) if at else None
    return Face(view=LookedAt.MATING, rows=tuple(rows), key=key)


def example(cavities: Collection[str]) -> str:
    """How a front of these cavities may be typed: two rows, the keyway at the top."""
    names = list(cavities)
    half = (len(names) + 1) // 2
    rows = [_told(part) for part in (names[:half], names[half:]) if part]
    return f"{' / '.join(rows)}, keyway top"


def _told(names: list[str]) -> str:
    """A row as it may be typed: as a run where its cavities count up by one."""
    first, last = names[0], names[-1]
    is_number = first.isascii() and first.isdigit()
    counted = [str(int(first) + at) for at in range(len(names))] if is_number else []
    return f"{first}-{last}" if counted == names and len(names) > 2 else " ".join(names)


def _row(text: str, cavities: Collection[str]) -> tuple[str | None, ...]:
    found: list[str | None] = []
    for word in _RUN_BLANKS.sub("-", text.replace(",", " ")).split():
        run = _RUN.fullmatch(word)
        if word == GAP:
            found.append(None)
        elif run is not None and word not in cavities:
            found += _numbers(int(run[1]), int(run[2]))
        else:
            found.append(word)
    return tuple(found)


def _numbers(first: int, last: int) -> list[str]:
    """The whole numbers from one to the other, rising or falling; one beyond what any shell has at
    most, so that it is told as strange.
    """
    step = 1 if last >= first else -1
    return [str(n) for n in range(first, last + step, step)][: MOST_CAVITIES + 1]
