"""Wire colours: letters of three systems and words of several languages, in one canonical form."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from types import MappingProxyType
from typing import Literal, NamedTuple

from wiremap.trade.tables import Row, table

Letters = Literal["iec", "german", "japanese"]

SYSTEMS: tuple[Letters, ...] = ("iec", "german", "japanese")
SYSTEM_NAMES: Mapping[str, str] = MappingProxyType(
    {"iec": "IEC 60757 letters", "german": "German letters", "japanese": "Japanese letters"}
)

_ROWS: tuple[Row, ...] = table("colours.toml").section(
    "colour", name=str, german=tuple, japanese=tuple, words=tuple
)
BASES: tuple[str, ...] = tuple(row["name"] for row in _ROWS)
"""Every canonical colour, those of IEC 60757 first and in the order of its table."""

_RANK = MappingProxyType({name: rank for rank, name in enumerate(BASES)})
PROTECTIVE = frozenset({"green", "yellow"})  # of a protective earth: one colour, no tracer
LONGEST = 60  # characters of a colour's writing
LEAST_PROOFS = 2  # colours that no other system has, before a paper's letters are taken for proven
LONGEST_JOINED = 6  # letters written as one


@dataclass(frozen=True, slots=True)
class Colour:
    """A wire's colour: base, tracers in order, and the text it was read from.

    `ordered` is false where the writing does not tell which colour is the base; `base` and
    `tracers` then stand in the order of the IEC table and say no more than that these colours are
    present.
    """

    base: str
    tracers: tuple[str, ...] = ()
    ordered: bool = True
    written: str = ""

    def __post_init__(self) -> None:
        for name in (self.base, *self.tracers):
            if name not in _RANK:
                raise ValueError(f"{name!r} is no canonical colour")
        if not self.tracers and not self.ordered:
            raise ValueError("a single colour has no order to be unsure of")

    @property
    def colours(self) -> tuple[str, ...]:
        """Base and tracers in one tuple."""
        return (self.base, *self.tracers)

    @property
    def canonical(self) -> str:
        """The colour without its writing: `green/white`, or `red+blue` of unknown order."""
        return ("/" if self.ordered else "+").join(self.colours)

    @property
    def word(self) -> str:
        """The colour in plain English: `green with white tracer`, `red and blue, order unknown`."""
        base, *tracers = [name.replace("-", " ") for name in self.colours]
        if not tracers:
            return base
        if not self.ordered:
            both = f"{', '.join([base, *tracers[:-1]])} and {tracers[-1]}"
            return both if self._protective else f"{both}, order unknown"
        told = f"{base} with {' and '.join(tracers)} tracer"
        return told if len(tracers) == 1 else f"{told}s"

    @property
    def _protective(self) -> bool:
        return set(self.colours) == PROTECTIVE

    @property
    def iec(self) -> str:
        """IEC 60757 letters, `GN/WH` or joined `RDBU` if unordered; without letters spelled out."""
        return _lettered(self, "iec", spell=True) or self.word

    def same_as(self, other: Colour) -> bool:
        """Whether both are the same colour, however written."""
        return self.canonical == other.canonical


@dataclass(frozen=True, slots=True)
class ColourFault:
    """A text that is no colour, or more than one: what it could mean and why it was not taken."""

    text: str
    why: str
    readings: tuple[str, ...] = ()
    fix: str = ""


def _plain(text: str) -> str:
    return " ".join(unicodedata.normalize("NFC", text).casefold().replace("-", " ").split())


def _letters_of(row: Row, system: Letters) -> tuple[str, ...]:
    """The letters of a colour in one system, the usual ones first."""
    if system != "iec":
        letters: tuple[str, ...] = row[system]
        return letters
    return (row["iec"],) if "iec" in row else ()


def _codes(system: Letters) -> Mapping[str, str]:
    codes: dict[str, str] = {}
    for row in _ROWS:
        for code in _letters_of(row, system):
            if codes.setdefault(code.casefold(), row["name"]) != row["name"]:
                raise ValueError(f"colours.toml: {code} stands for two colours in {system}")
    return MappingProxyType(codes)


def _word_table() -> Mapping[str, str]:
    words: dict[str, str] = {}
    for row in _ROWS:
        for word in (row["name"], *row["words"]):
            if words.setdefault(_plain(word), row["name"]) != row["name"]:
                raise ValueError(f"colours.toml: the word {word!r} stands for two colours")
    return MappingProxyType(words)


def _doubtful_letters() -> Mapping[str, tuple[str, ...]]:
    rows = table("colours.toml").section("doubtful", letters=str, readings=tuple)
    return MappingProxyType({row["letters"]: row["readings"] for row in rows})


def _alike() -> frozenset[frozenset[str]]:
    pairs: set[frozenset[str]] = set()
    for row in table("colours.toml").section("alike", colours=tuple):
        pairs.update(map(frozenset, combinations(row["colours"], 2)))
    return frozenset(pairs)


CODES: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {system: _codes(system) for system in SYSTEMS}
)
"""For each system its letters in lower case and the canonical colour of each."""

_WORDS = _word_table()
_DOUBTFUL = _doubtful_letters()
_ALIKE = _alike()


def paper_letters(texts: Iterable[str]) -> Letters | None:
    """The one system that reads every lettered colour of a paper, if a colour is in no other."""
    proven = _demanded(texts)
    return None if proven is None else proven.letters


class Proven(NamedTuple):
    """The system of letters that a paper uses, and the colours of it that only this system has."""

    letters: Letters
    proofs: tuple[str, ...]


def proven_letters(texts: Iterable[str]) -> Proven | None:
    """As `paper_letters`, but only from two colours or more that are written with several letters.

    Single letters prove nothing: `R` and `W` stand in many lists, in which `B` and `L` differ.
    """
    proven = _demanded(texts)
    if proven is None:
        return None
    proofs = tuple(each for each in proven.proofs if any(len(part) > 1 for part in _parts(each)))
    if len(proofs) < LEAST_PROOFS:
        return None
    return Proven(proven.letters, proofs)


def _demanded(texts: Iterable[str]) -> Proven | None:
    """The one system that reads every lettered colour, with the colours that only it has."""
    fitting = set(SYSTEMS)
    demanded: dict[Letters, list[str]] = {}
    for text in sorted(set(texts)):
        written = text.strip()
        parts = _parts(written)
        if not parts or len(written) > LONGEST or _by_words(written) is not None:
            continue
        able = set(_by_letters(parts, written))
        fitting &= able
        if len(able) == 1:
            demanded.setdefault(able.pop(), []).append(written)
    if len(demanded) != 1:
        return None
    letters, proofs = next(iter(demanded.items()))
    if letters not in fitting:
        return None
    return Proven(letters, tuple(proofs))


@lru_cache(maxsize=4096)
def read_colour(
    text: str, letters: Letters | None = None, paper: Letters | None = None
) -> Colour | ColourFault:
    """The colour that a text names, or a fault listing what it could mean.

    Words are read whatever `letters` says.  Letters are read in the named system only; without one
    they are taken if every system that knows them agrees and readers are not known to mistake them.
    One letter is taken on the same terms: `R`, `Y`, `W`, `O` and `V` mean one colour wherever they
    are used, `B`, `G`, `L` and `P` do not.  `paper` is the system that the rest of the paper proves
    (see `paper_letters`): it decides between two systems' readings (`GY`), never about letters that
    readers mistake (`gr`, `B`).
    """
    written = text.strip()
    unlike = _unlike_colours(text)
    if unlike is not None:
        return unlike
    spoken = _by_words(written)
    if spoken is not None:
        return spoken
    parts = _parts(written)
    by_system = _by_letters(parts, written)
    if letters is not None:
        readings = _readings(by_system, parts)
        return by_system.get(letters) or _other_letters(written, letters, readings)
    if paper in by_system and _DOUBTFUL.keys().isdisjoint(parts):
        by_system = {paper: by_system[paper]}
    if not by_system:
        return ColourFault(written, f"`{written}` is no colour known here", fix=_EXAMPLES)
    if _is_settled(by_system, parts):
        return next(iter(by_system.values()))
    return ColourFault(
        written,
        f"`{written}` is read differently by different papers",
        _readings(by_system, parts),
        "say which letters the paper uses (letters: iec, german or japanese), or write a word",
    )


def _unlike_colours(text: str) -> ColourFault | None:
    """Why a text is no colour, whatever its words and letters; None where it may be one."""
    written = text.strip()
    if not written:
        return ColourFault(text, "no colour is written", fix=_EXAMPLES)
    if len(written) > LONGEST:
        return ColourFault(text, "too long to be a colour", fix=_EXAMPLES)
    if _LONE_STROKE.search(written):
        why = f"`{written}` leaves a colour out beside its stroke"
        return ColourFault(written, why, fix="write both colours, or one without the stroke")
    return None


def _other_letters(written: str, letters: Letters, readings: tuple[str, ...]) -> ColourFault:
    why = f"`{written}` is no colour in {SYSTEM_NAMES[letters]}"
    fix = "write the colour as a word, or name the letters the paper uses"
    return ColourFault(written, why, readings, fix)


_EXAMPLES = "write letters such as GN/WH or words such as green/white"
_LONE_STROKE = re.compile(r"^[/|,-]|[/|,-]$|[/|,]\s*[/|,]")


def _made(names: Sequence[str | None], written: str, *, ordered: bool) -> Colour | None:
    """A colour of one to three names; None if a name is None (no colour) or two are equal."""
    colours = [name for name in names if name is not None]
    if not 1 <= len(names) <= 3 or len(set(colours)) != len(names):
        return None
    if len(colours) == 1:
        ordered = True
    if not ordered:
        colours.sort(key=_RANK.__getitem__)
        if set(colours) == PROTECTIVE:
            # IEC 60757 writes green and yellow as GNYE, against the order of its own table
            colours = ["green", "yellow"]
    return Colour(colours[0], tuple(colours[1:]), ordered, written)


# ---- letters


def _parts(text: str) -> tuple[str, ...]:
    return tuple(part for part in re.split(r"\s*[/|,-]\s*|\s+", text.casefold()) if part)


def _by_letters(parts: tuple[str, ...], written: str) -> dict[Letters, Colour]:
    """The colour that the letters name, for each system in which they name one."""
    found: dict[Letters, Colour] = {}
    for system in SYSTEMS:
        colour = _in_system(parts, system, written)
        if colour is not None:
            found[system] = colour
    return found


def _in_system(parts: tuple[str, ...], system: Letters, written: str) -> Colour | None:
    codes = CODES[system]
    if len(parts) != 1:
        return _made([codes.get(part) for part in parts], written, ordered=True)
    found = _joined(parts[0], codes) if len(parts[0]) <= LONGEST_JOINED else ()
    ordered = system != "iec"
    if not ordered and len(found) == 3:
        # Joined IEC letters follow the table's order; three out of that order are a cable name,
        # which starts with the base (DIN 72551).
        ordered = found != sorted(found, key=_RANK.__getitem__)
    return _made(found, written, ordered=ordered)


def _joined(token: str, codes: Mapping[str, str]) -> list[str]:
    """A run of letters as colours, the longest code first; nothing if letters are left over."""
    for size in (2, 1):
        name = codes.get(token[:size])
        if name is None or len(token) < size:
            continue
        if len(token) == size:
            return [name]
        rest = _joined(token[size:], codes)
        if rest:
            return [name, *rest]
    return []


def _readings(by_system: Mapping[Letters, Colour], parts: tuple[str, ...]) -> tuple[str, ...]:
    """What a text could mean, in words."""
    told = [f"{colour.word} ({SYSTEM_NAMES[system]})" for system, colour in by_system.items()]
    for part in parts:
        for reading in _DOUBTFUL.get(part, ()):
            told.append(reading if len(parts) == 1 else f"`{part}` {reading}")
    return tuple(told)


def _is_settled(by_system: Mapping[Letters, Colour], parts: tuple[str, ...]) -> bool:
    """Whether one reading is left: one colour in all systems, and no part that readers mistake.

    A part that readers mistake is settled by another that only one system has.
    """
    if len({colour.canonical for colour in by_system.values()}) != 1:
        return False
    sure = [part for part in parts if part not in _DOUBTFUL]
    if len(sure) == len(parts):
        return True
    return any(sum(part in CODES[system] for system in SYSTEMS) == 1 for part in sure)


# ---- words

_TRACER = re.compile(r"\b(?:with|w|mit|avec|med|z|s|met)\b|\bwith an?\b")
_STRIPE = re.compile(r"\b(?:an?|tracers?|stripes?|striped|trace|streifen|strich|rand|liten)\b")
_AND = re.compile(r"\s*(?:\band\b|\bund\b|\bet\b|\boch\b|\bja\b|\bi\b|\ben\b|[+&])\s*")


def _one_word(text: str) -> str | None:
    """The colour that a word names, whatever words for a tracer stand beside it."""
    return _WORDS.get(" ".join(_STRIPE.sub(" ", text).split()))


def _by_words(written: str) -> Colour | None:
    """Colour words: one, base/tracer, `green with white tracer`, or two of unknown order."""
    plain = _plain(written)
    single = _WORDS.get(plain)
    if single is not None:
        return Colour(single, (), True, written)
    stroked = [part for part in re.split(r"[/|,]", _TRACER.sub("/", plain)) if part.strip()]
    if len(stroked) > 1:
        pieces = stroked[:1]
        for part in stroked[1:]:
            pieces += _AND.split(part)
        return _made([_one_word(piece) for piece in pieces], written, ordered=True)
    pieces = _AND.split(plain)
    if len(pieces) > 1:
        return _made([_one_word(piece) for piece in pieces], written, ordered=False)
    return _by_words_in_a_row(plain, written)


def _by_words_in_a_row(plain: str, written: str) -> Colour | None:
    """Two colours with nothing between: the first is the base if a word for a tracer is told."""
    words = plain.split()
    for place in range(1, len(words)):
        base = _WORDS.get(" ".join(words[:place]))
        tracer = _one_word(" ".join(words[place:]))
        if base and tracer:
            return _made((base, tracer), written, ordered=bool(_STRIPE.search(plain)))
    return None


# ---- in other letters, and beside other colours


def _lettered(colour: Colour, letters: Letters, *, spell: bool = False) -> str | None:
    """A colour in the letters of a system; with `spell` in its name where that system has none."""
    written: list[str] = []
    for name in colour.colours:
        listed = _letters_of(_ROWS[_RANK[name]], letters)
        if not listed and not spell:
            return None
        written.append(listed[0] if listed else name)
    if colour.ordered or letters != "iec":
        return "/".join(written)
    return "".join(written)


def translate(colour: Colour, letters: Letters) -> str | None:
    """The colour in another system's letters, or None where that system cannot say it.

    German and Japanese letters always put the base first: a colour of unknown order has none.
    """
    if letters != "iec" and not colour.ordered:
        return None
    return _lettered(colour, letters)


def confusable(a: Colour | str, b: Colour | str) -> bool:
    """Whether two colours can be taken for one another in poor light (common practice).

    Equal ones always can; base and tracer exchanged count.  A name given as text is canonical.
    """
    one = Colour(a) if isinstance(a, str) else a
    two = Colour(b) if isinstance(b, str) else b
    if len(one.colours) != len(two.colours):
        return False
    if sorted(one.colours) == sorted(two.colours):
        return True
    return all(map(_near, one.colours, two.colours))


def _near(one: str, two: str) -> bool:
    return one == two or frozenset((one, two)) in _ALIKE
