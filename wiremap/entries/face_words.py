"""A connector's front as it is typed: `1-10 / 11-20, keyway top`, seen from the mating side."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Sequence

from wiremap.model import Face, KeyAt, LookedAt

WORDS = (  # how it is typed, as a hint says it
    "the rows from left to right, a stroke between two, as you look at the half that carries the "
    "wires, from its mating side"
)
GAP = "."  # where no cavity is
LONGEST = 4000  # characters
MOST_CAVITIES = 4096
MOST_TOLD = 6  # cavities that a drawing lacks

_RUN = re.compile(r"(\d{1,4})-(\d{1,4})")
_KEY = re.compile(rf",?\s*key(?:way)?\s+({'|'.join(KeyAt)})\s*$", re.IGNORECASE)
_RUN_BLANKS = re.compile(r"(?<=\d)\s*-\s*(?=\d)")


READ_OF_ROW = MOST_CAVITIES + 1  # one more, which is refused


def read_face(text: str, cavities: Collection[str]) -> Face | str:
    """The front that a text draws; or in words why it is none of this connector."""
    said = text.strip()
    if len(said) > LONGEST:
        return "that is too long"
    keyway = _KEY.search(said)
    drawn = said[: keyway.start()] if keyway else said
    rows = tuple(filter(None, (_row(row, cavities) for row in re.split(r"[/;|\n]", drawn))))
    wrong = _wrong_names([name for row in rows for name in row if name is not None], cavities)
    if wrong:
        return wrong
    key = KeyAt(keyway[1].casefold()) if keyway else None
    return Face(view=LookedAt.MATING, rows=rows, key=key)


def _wrong_names(names: Sequence[str], cavities: Collection[str]) -> str:
    """Why the names in a drawing are not those of the cavities, each once; empty if they are."""
    counts = Counter(names)
    strange = [name for name in counts if name not in cavities]
    twice = [name for name, count in counts.items() if count > 1]
    lacks = [name for name in cavities if name not in counts]
    if strange:
        return f"there is no cavity {strange[0]}"
    if twice:
        return f"cavity {twice[0]} stands there twice"
    if lacks:
        more = " ..." if len(lacks) > MOST_TOLD else ""
        return f"cavity {', '.join(lacks[:MOST_TOLD])}{more} is not in it"
    return ""


def example(cavities: Collection[str]) -> str:
    """How a front of these cavities may be typed: two rows, the keyway at the top."""
    names = list(cavities)
    half = (len(names) + 1) // 2
    rows = [_as_typed(part) for part in (names[:half], names[half:]) if part]
    return f"{' / '.join(rows)}, keyway top"


def _as_typed(names: list[str]) -> str:
    """A row as it may be typed: as a run where its cavities count up by one."""
    first, last = names[0], names[-1]
    is_number = first.isascii() and first.isdigit()
    counted = [str(int(first) + at) for at in range(len(names))] if is_number else []
    return f"{first}-{last}" if counted == names and len(names) > 2 else " ".join(names)


def _row(text: str, cavities: Collection[str]) -> tuple[str | None, ...]:
    """The names of a row, None for a gap; `1-10` is a run, unless a cavity is called so."""
    names: list[str | None] = []
    for word in _RUN_BLANKS.sub("-", text.replace(",", " ")).split():
        run = _RUN.fullmatch(word)
        if word == GAP:
            names.append(None)
        elif run is not None and word not in cavities:
            names += _numbers(int(run[1]), int(run[2]))
        else:
            names.append(word)
    return tuple(names)


def _numbers(first: int, last: int) -> list[str]:
    """The whole numbers from one to the other, rising or falling.

    Never more than one beyond what any shell has: that one is then told as no cavity.
    """
    step = 1 if last >= first else -1
    return [str(n) for n in range(first, last + step, step)][:READ_OF_ROW]
