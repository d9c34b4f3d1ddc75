"""A cure in two forms: whole for who sits at a screen, and what of it hands do beside a machine."""

from __future__ import annotations

import re

OPENS, CLOSES = "\x0e", "\x0f"  # around words for a screen: no file of ours holds such a character
TYPED = re.compile(f"{OPENS}[^{CLOSES}]*{CLOSES}")
MARKS = str.maketrans("", "", OPENS + CLOSES)


def typed(words: str) -> str:
    """Words of a cure that a screen alone tells: a command, with what leads to it."""
    return f"{OPENS}{words}{CLOSES}"


def on_screen(cure: str) -> str:
    """A cure with its commands."""
    return cure.translate(MARKS)


def by_hand(cure: str) -> str:
    """A cure without its commands; empty where it has none and is told whole on paper too."""
    return TYPED.sub("", cure) if OPENS in cure else ""


ABOUT = typed(": wiremap next JOB --about {address}")
ABOUT_POINTS = typed(': wiremap next JOB --about "{points}"')
PARTNER = typed(": wiremap next JOB --about {address}.partner")
LET_OPEN = (
    "; or say that its leaflet lets it open"
    + typed(": wiremap next JOB --about {address}.need --answer may")
    + "{said}"
)
ABOUT_MEANS = typed(": wiremap next JOB --about {address}.means")
WORDS_MEAN_ELSE = "; if the words mean something else, say what" + ABOUT_MEANS
READ_WRONGLY = " If {guessed} is something else than it was read as, say what" + typed(
    ": wiremap next JOB --about {guessed} --answer FUNCTION"
)
SIGN = typed(": wiremap sign JOB --by NAME")
ABOUT_JOINED = typed(': wiremap next JOB --about "{joined}"')
CONFIRMED_OR_READ_WRONGLY = ABOUT_JOINED + "." + READ_WRONGLY + "."
TAKE_APART = (
    " In a proposed job: say that they are not one signal, then what each goes with"
    + typed(': wiremap next JOB --about "{joined}" --answer no --how "..." --by NAME')
)


def said_anew(key: str, of: str = "at") -> str:
    """The command that states a figure of the finding's first point (`bt`: its second) anew."""
    return typed(f": wiremap next JOB --about {{{of}}}.{key}")
