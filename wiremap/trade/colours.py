"""Wire colours: letters of three systems and words of several languages, through one canonical form."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from types import MappingProxyType
from typing import Literal

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


@dataclass(frozen=True, slots=True)
class Colour:
    """A wire's colour: base, tracers in order, and the text it was read from.

    `ordered` is false where the writing does not tell which colour is the base; `base` and `tracers` then stand
    in the order of the IEC table and say no more than that these colours are present.
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
        """The colour without its writing: `green/white`, or `red+blue` where the order is unknown."""
        return ("/" if self.ordered else "+").join(self.colours)

    @property
    def word(self) -> str:
        """The colour in plain English: `green with white tracer`, `red and blue, order unknown`."""
        names = [name.replace("-", " ") for name in self.colours]
        if len(names) == 1:
            return names[0]
        if not self.ordered:
            both = ", ".join(names[:-1]) + " and " + names[-1]
            return both if set(self.colours) == {"green", "yellow"} else f"{both}, order unknown"
        return f"{names[0]} with {' and '.join(names[1:])} tracer" + ("s" if len(names) > 2 else "")

    @property
    def iec(self) -> str:
        """IEC 60757 letters, `GN/WH` or joined `RDBU` if unordered; a colour without letters there is spelled out."""
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


def _codes(system: Letters) -> Mapping[str, str]:
    codes: dict[str, str] = {}
    for row in _ROWS:
        listed = (
            (row["iec"],)
            if system == "iec" and "iec" in row
            else row[system]
            if system != "iec"
            else ()
        )
        for code in listed:
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


CODES: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {system: _codes(system) for system in SYSTEMS}
)
"""For each system its letters in lower case and the canonical colour of each."""

_WORDS = _word_table()
_DOUBTFUL: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        row["letters"]: row["readings"]
        for row in table("colours.toml").section("doubtful", letters=str, readings=tuple)
    }
)
_ALIKE: frozenset[frozenset[str]] = frozenset(
    frozenset((one, two))
    for row in table("colours.toml").section("alike", colours=tuple)
    for one, two in product(row["colours"], repeat=2)
)


def _made(names: Iterable[str], ordered: bool, written: str) -> Colour | None:
    colours = tuple(names)
    if not 1 <= len(colours) <= 3 or len(set(colours)) != len(colours):
        return None
    if len(colours) > 1 and not ordered:
        # IEC 60757 writes green and yellow as GNYE, against the order of its own table.
        pair = set(colours) == {"green", "yellow"}
        colours = ("green", "yellow") if pair else tuple(sorted(colours, key=_RANK.__getitem__))
    return Colour(colours[0], colours[1:], ordered or len(colours) == 1, written)


def _joined(token: str, codes: Mapping[str, str]) -> tuple[str, ...] | None:
    """Split a run of letters into colours, the longest code first, or None if letters are left over."""
    if not token:
        return ()
    for size in range(min(2, len(token)), 0, -1):
        name = codes.get(token[:size])
        if name is not None:
            rest = _joined(token[size:], codes)
            if rest is not None:
                return (name, *rest)
    return None


def _in_system(parts: tuple[str, ...], system: Letters, written: str) -> Colour | None:
    codes = CODES[system]
    if len(parts) > 1:
        names = [codes.get(part) for part in parts]
        return None if None in names else _made([name for name in names if name], True, written)
    found = _joined(parts[0], codes) if len(parts[0]) <= 6 else None
    if not found:
        return None
    ordered = system != "iec"
    if system == "iec" and len(found) == 3:
        # Joined IEC letters follow the table's order; three out of that order are a cable name, which starts with
        # the base (DIN 72551).
        ordered = list(found) != sorted(found, key=_RANK.__getitem__)
    return _made(found, ordered, written)


_TRACER = re.compile(r"\b(?:with|w|mit|avec|med|z|s|met)\b|\bwith an?\b")
_STRIPE = re.compile(r"\b(?:an?|tracers?|stripes?|striped|trace|streifen|strich|rand|liten)\b")
_AND = re.compile(r"\s*(?:\band\b|\bund\b|\bet\b|\boch\b|\bja\b|\bi\b|\ben\b|[+&])\s*")


def _one_word(text: str) -> str | None:
    return _WORDS.get(" ".join(_STRIPE.sub(" ", text).split()))


def _words(text: str, written: str) -> Colour | None:
    """Read colour words: one, base/tracer, `green with white tracer`, or two words of unknown order."""
    plain = _plain(text)
    if (single := _WORDS.get(plain)) is not None:
        return Colour(single, (), True, written)
    head, *tail = [
        part for part in re.split(r"[/|,]", _TRACER.sub("/", plain)) if part.strip()
    ] or [""]
    if tail:
        pieces = [piece for part in tail for piece in _AND.split(part)]
        names = [_one_word(piece) for piece in (head, *pieces)]
        return None if None in names else _made([name for name in names if name], True, written)
    pieces = _AND.split(plain)
    if len(pieces) > 1:
        names = [_one_word(piece) for piece in pieces]
        return None if None in names else _made([name for name in names if name], False, written)
    tokens = plain.split()
    for cut in range(1, len(tokens)):
        base, tracer = _WORDS.get(" ".join(tokens[:cut])), _one_word(" ".join(tokens[cut:]))
        if base and tracer:
            return _made((base, tracer), bool(_STRIPE.search(plain)), written)
    return None


def _parts(text: str) -> tuple[str, ...]:
    return tuple(part for part in re.split(r"\s*[/|,-]\s*|\s+", text.casefold()) if part)


def _readings(found: Mapping[Letters, Colour], parts: tuple[str, ...]) -> tuple[str, ...]:
    told = [f"{colour.word} ({SYSTEM_NAMES[system]})" for system, colour in found.items()]
    several = len(parts) > 1
    told += [
        f"`{part}` {reading}" if several else reading
        for part in parts
        for reading in _DOUBTFUL.get(part, ())
    ]
    return tuple(told)


def _settled(found: Mapping[Letters, Colour], parts: tuple[str, ...]) -> bool:
    """Whether the letters leave one reading: one colour in all systems, and no part that readers mistake."""
    if len({colour.canonical for colour in found.values()}) != 1:
        return False
    if not any(part in _DOUBTFUL for part in parts):
        return True
    sure = [part for part in parts if part not in _DOUBTFUL]
    return any(sum(part in CODES[system] for system in SYSTEMS) == 1 for part in sure)


def paper_letters(texts: Iterable[str]) -> Letters | None:
    """The one system that reads every lettered colour of a paper and that some colour there demands, or None."""
    fitting, demanded = set(SYSTEMS), set[Letters]()
    for text in sorted(set(texts)):
        written = text.strip()
        parts = _parts(written)
        if not parts or len(written) > 60 or _words(written, written) is not None:
            continue
        able: set[Letters] = {
            system for system in SYSTEMS if _in_system(parts, system, written) is not None
        }
        fitting &= able
        if len(able) == 1:
            demanded |= able
    return next(iter(demanded)) if len(demanded) == 1 and demanded <= fitting else None


@lru_cache(maxsize=4096)
def read_colour(
    text: str, letters: Letters | None = None, paper: Letters | None = None
) -> Colour | ColourFault:
    """The colour that a text names, or a fault listing what it could mean.

    Words are read whatever `letters` says.  Letters are read in the named system only; without one they are taken
    if every system that knows them agrees and readers are not known to mistake them.  One letter is taken on the
    same terms: `R`, `Y`, `W`, `O` and `V` mean one colour wherever they are used, `B`, `G`, `L` and `P` do not.
    `paper` is the system that the rest of the paper proves (see `paper_letters`): it decides between two systems'
    readings (`GY`), never about letters that readers mistake (`gr`, `B`).
    """
    written = text.strip()
    if not written or len(written) > 60:
        return ColourFault(
            text,
            "no colour is written" if not written else "too long to be a colour",
            fix="write letters such as GN/WH or words such as green/white",
        )
    if re.search(r"^[/|,-]|[/|,-]$|[/|,]\s*[/|,]", written):
        return ColourFault(
            written,
            f"`{written}` leaves a colour out beside its stroke",
            fix="write both colours, or one without the stroke",
        )
    spoken = _words(written, written)
    if spoken is not None:
        return spoken
    parts = _parts(written)
    read = {system: _in_system(parts, system, written) for system in SYSTEMS} if parts else {}
    found: dict[Letters, Colour] = {
        system: colour for system, colour in read.items() if colour is not None
    }
    if letters is not None:
        if letters in found:
            return found[letters]
        return ColourFault(
            written,
            f"`{written}` is no colour in {SYSTEM_NAMES[letters]}",
            _readings(found, parts),
            "write the colour as a word, or name the letters the paper uses",
        )
    if paper in found and not any(part in _DOUBTFUL for part in parts):
        found = {paper: found[paper]}
    if found and _settled(found, parts):
        return next(iter(found.values()))
    if found:
        return ColourFault(
            written,
            f"`{written}` is read differently by different papers",
            _readings(found, parts),
            "say which letters the paper uses (letters: iec, german or japanese), or write a word",
        )
    return ColourFault(
        written,
        f"`{written}` is no colour known here",
        (),
        "write letters such as GN/WH or words such as green/white",
    )


def _lettered(colour: Colour, letters: Letters, spell: bool = False) -> str | None:
    written: list[str] = []
    for name in colour.colours:
        row = _ROWS[_RANK[name]]
        listed = (
            (row["iec"],)
            if letters == "iec" and "iec" in row
            else row[letters]
            if letters != "iec"
            else ()
        )
        if not listed and not spell:
            return None
        written.append(listed[0] if listed else name)
    if colour.ordered or letters != "iec":
        return "/".join(written)
    return "".join(written)


def translate(colour: Colour, letters: Letters) -> str | None:
    """The colour in another system's letters, or None where that system cannot say it.

    German and Japanese letters always put the base first, so a colour of unknown order has none.
    """
    return None if letters != "iec" and not colour.ordered else _lettered(colour, letters)


def _near(one: str, two: str) -> bool:
    return one == two or frozenset((one, two)) in _ALIKE


def confusable(a: Colour | str, b: Colour | str) -> bool:
    """Whether two colours can be taken for one another in poor light (common practice); equal ones always can.

    A name given as text must be canonical.  Base and tracer exchanged count as confusable.
    """
    one = Colour(a) if isinstance(a, str) else a
    two = Colour(b) if isinstance(b, str) else b
    if len(one.colours) != len(two.colours):
        return False
    if all(_near(x, y) for x, y in zip(one.colours, two.colours, strict=True)):
        return True
    return sorted(one.colours) == sorted(two.colours)
