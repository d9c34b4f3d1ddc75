"""What a notebook says: what was seen, answered and accepted, by whom and when."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace

from wiremap.base import Place
from wiremap.model.address import Address, hold_addresses
from wiremap.model.quantities import Span
from wiremap.model.words import EntryKind, OnOff, Seen, Stop

A_REASON = "a reason says what was seen, or why it may stay as it is"
WHICH_LICENCE = "which licence you hold: what it is for, its number or who gave it"
SIGNED = (EntryKind.ACCEPT, EntryKind.STOP_PASSED)
NO_LICENCE = frozenset(  # words that name no licence: no, and yes
    {"no", "none", "not", "nil", "n/a", "na", "false", "unlicensed", "unknown", "no licence"}
    | {"no license", "nein", "keine", "ohne", "non", "aucun", "aucune", "ninguna", "nessuna", "nee"}
    | {"geen", "nie", "brak", "nej", "nei", "ingen", "ei", "ole", "ne", "нет"}
    | {"yes", "y", "yep", "true", "ok", "okay", "sure", "ja", "jo", "oui", "si", "sí", "sì", "tak"}
    | {"kyllä", "joo", "да", "x", "licence", "license", "licensed", "i", "am", "have", "a", "the"}
    | {"one", "any", "some", "of", "course", "valid"}
)

LEARNING = ("apprent", "trainee", "learner", "student", "lehrling", "azubi", "stagiair", "alumn")
_GIVEN = re.compile(  # what stands before whoever gave a licence
    r",|(?<!\w)(?:by|from|issued|von|par|por|da)(?!\w)", re.IGNORECASE
)

NO_MEANING = NO_LICENCE | frozenset(  # words that tell that somebody looked, not what they saw
    {"looked", "looks", "checked", "check", "seen", "saw", "verified", "tested", "fine", "good"}
    | {"known", "nothing", "other", "another", "else", "something", "it", "is", "was", "at", "and"}
    | {"safe", "correct", "right", "done", "angesehen", "geprüft", "gut", "vu", "vérifié", "bon"}
    | {"in", "time", "hurry", "later", "busy", "zeit", "eile", "später", "temps", "tiempo", "tijd"}
    | {"visto", "bien", "bene", "controllato", "katsottu", "sett", "bra", "gezien", "goed"}
)
NO_PAPER = NO_MEANING | frozenset(  # words that any paper bears
    {"paper", "papers", "document", "documents", "documentation", "docs", "doc", "drawing", "pdf"}
    | {"drawings", "diagram", "diagrams", "schematic", "schematics", "wiring", "circuit", "plan"}
    | {"manual", "handbook", "book", "leaflet", "sheet", "datasheet", "data", "pinout", "table"}
    | {"list", "page", "file", "print", "printed", "from", "in", "on", "to", "by", "per"}
    | {"as", "with", "both", "all", "says", "said", "read", "written", "according", "this", "that"}
    | {"schaltplan", "zeichnung", "unterlage", "unterlagen", "handbuch", "blatt", "papier"}
    | {"schéma", "schema", "plano", "documento", "disegno", "kaavio", "tekening", "ritning"}
    | {"dokument", "tegning", "rysunek", "instrukcja", "manuel", "manuale", "ohje", "схема"}
)


def same_person(one: str, two: str) -> bool:
    """Whether two names are one, however they are written: `KM`, `km`, `K. M.`"""
    return _letters(one) == _letters(two)


def _letters(name: str) -> str:
    return "".join(char for char in name.casefold() if char.isalnum())


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One line of a notebook; only the fields of its kind are filled.

    `seen` is a word or None where `ohms` holds the reading (infinite: open); `of` is the
    fingerprint of the metal or cavity as it stood when the entry was written, or None for "the file
    as it now stands".
    """

    kind: EntryKind
    by: str = ""
    date: str = ""
    time: str = ""  # of that day, 14:05
    how: str = ""
    why: str = ""  # accept; struck-out; stop-passed: why something stays unread
    about: str = ""  # answer: what it speaks of (gateway.TA, loom.12, loom.1.function ...)
    answer: str = ""
    red: tuple[Address, ...] = ()  # points under the red probe (several: a comb)
    black: tuple[Address, ...] = ()
    seen: Seen | None = None
    ohms: Span | None = None
    volts: float | None = None
    amps: float | None = None  # first power
    key: OnOff | None = None  # survey volts, first power: key off, on
    state: str | None = None  # of what was read, as its row or `State` spells it: "guard lifted"
    rule: str = ""  # accept
    subject: tuple[str, ...] = ()
    of: str | None = None
    licensed: str = ""  # answer, accept: which licence the person holds
    pieces: int | None = None  # built
    revision: int | None = None
    what: str = ""  # done, mended: the deed or the repair in words
    points: tuple[Address, ...] = ()  # done, mended: where
    stop: Stop | None = None  # stop-passed: which
    second: str = ""  # the other name, unless `alone`
    alone: bool = False
    mark: str = ""  # struck-out, adopted: the mark of the entry that is meant
    from_pack: bool = field(default=False, compare=False)  # it came in a pack, from somewhere else
    own_mark: str = field(default="", compare=False)  # 8 hex digits over what the file says
    place: Place | None = None

    @property
    def passes(self) -> Stop | None:
        """The two-name stop that it passes; None where both names are one person's."""
        if self.kind != EntryKind.STOP_PASSED:
            return None
        alike = not self.alone and same_person(self.by, self.second)
        return None if alike else self.stop

    def __post_init__(self) -> None:
        hold_addresses(self, "red")
        hold_addresses(self, "black")
        hold_addresses(self, "points")

    @property
    def licence(self) -> str:
        """Which licence the person holds; empty where the words only say that there is none."""
        return named_licence(self.licensed)


def says_what(said: str) -> bool:
    """Whether somebody's words name a thing, rather than that they looked; a single letter, and one
    letter over and over, name none.

    >>> says_what("bellows of the seat"), says_what("looked at it"), says_what("ok")
    (True, False, False)
    >>> says_what("..."), says_what("x"), says_what("xxxx"), says_what("5 A")
    (False, False, False, True)
    """
    return any(map(_is_name, _telling_words(said, NO_MEANING)))


def names_paper(said: str) -> bool:
    """Whether words tell which paper is meant, by its name or a number, not only that it is one.

    >>> names_paper("paper"), names_paper("the wiring diagram"), names_paper("page")
    (False, False, False)
    >>> names_paper("wiring diagram page 12"), names_paper("leaflet of the spreader")
    (True, True)
    """
    return any(map(_is_name, _telling_words(said, NO_PAPER)))


def _is_name(word: str) -> bool:
    """Whether a word may name something: more than one letter, or any figure."""
    return len(word) > 1 or not word.isalpha()


def _telling_words(said: str, empty: Collection[str]) -> list[str]:
    """The words in small letters, without the empty ones and those that are one letter repeated."""
    words = (word.strip(" .,;:!?-_/()") for word in said.casefold().split())
    return [word for word in words if word not in empty and not _is_one_letter(word)]


def _is_one_letter(word: str) -> bool:
    """Whether a word is no letter and no figure at all, or the same one over and over."""
    said = [char for char in word if char.isalnum()]
    return not said or (len(said) > 1 and len(set(said)) == 1)


def named_licence(said: str) -> str:
    """A licence in somebody's words; empty unless they name one.

    It takes what the licence is for beside its number or who gave it (behind `by`, `from` or a
    comma), or a number of three characters alone; who is still learning holds none.

    >>> named_licence("crane fitter, no. 4711"), named_licence("crane fitter, district 4")
    ('crane fitter, no. 4711', 'crane fitter, district 4')
    >>> named_licence("second year apprentice"), named_licence("crane fitter"), named_licence("yes")
    ('', '', '')
    """
    telling = _telling_words(said, NO_LICENCE)
    if not telling or any(word.startswith(LEARNING) for word in telling):
        return ""
    figures = any(any(c.isdigit() for c in word) for word in telling)
    first, *others = telling
    numbered = figures and (others or len(first) > 2)
    _, *givers = _GIVEN.split(said)
    given = others and any(_telling_words(giver, NO_LICENCE) for giver in givers)
    return said.strip() if numbered or given else ""


@dataclass(frozen=True, slots=True)
class Notebook:
    """A whole notebook file.

    `struck` holds the entries that were taken back, `waiting` the signatures that came in a pack
    and that nobody here has adopted.
    """

    path: str
    entries: tuple[Entry, ...] = ()
    place: Place | None = None
    struck: tuple[Entry, ...] = ()
    waiting: tuple[Entry, ...] = ()


def without_struck(notebooks: Sequence[Notebook]) -> tuple[Notebook, ...]:
    """The notebooks with what was struck out taken out of what counts.

    A `struck-out` entry takes back what bears the mark that it names and stands before it, in its
    own notebook or in an earlier one; one that was struck out itself takes back nothing.
    """
    marks: set[str] = set()
    kept: list[Notebook] = []
    for notebook in reversed(notebooks):
        entries: list[Entry] = []
        struck = list(notebook.struck)
        for entry in reversed(notebook.entries):
            if entry.own_mark and entry.own_mark in marks:
                struck.append(entry)
                continue
            entries.append(entry)
            if entry.kind == EntryKind.STRUCK_OUT:
                marks.add(entry.mark)
        kept.append(replace(notebook, entries=tuple(entries[::-1]), struck=tuple(struck)))
    return tuple(kept[::-1]) if marks else tuple(notebooks)


def without_waiting(notebooks: Sequence[Notebook]) -> tuple[Notebook, ...]:
    """The notebooks with signatures that came in a pack taken out, unless somebody adopted them.

    An `adopted` entry with a name, written here, lets the signature count whose mark it bears.
    """
    if not any(entry.from_pack for notebook in notebooks for entry in notebook.entries):
        return tuple(notebooks)
    adopted = set()
    for notebook in notebooks:
        for entry in notebook.entries:
            if entry.kind == EntryKind.ADOPTED and entry.by.strip() and not entry.from_pack:
                adopted.add(entry.mark)
    kept = []
    for notebook in notebooks:
        waiting = [entry for entry in notebook.entries if _waits(entry, adopted)]
        entries = tuple(entry for entry in notebook.entries if not _waits(entry, adopted))
        kept.append(replace(notebook, entries=entries, waiting=(*notebook.waiting, *waiting)))
    return tuple(kept)


def _waits(entry: Entry, adopted: Collection[str]) -> bool:
    return entry.from_pack and entry.kind in SIGNED and entry.own_mark not in adopted
