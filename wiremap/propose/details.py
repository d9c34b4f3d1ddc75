"""What two papers say of a contact beside its function: qualifiers, words, designations weighed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from wiremap.model import Cavity, Side
from wiremap.naming import Meaning, read_signal
from wiremap.propose.comparison import Comparison
from wiremap.propose.doubt import Doubt, DoubtKind, about_qualifier
from wiremap.propose.likeness import likeness, speaks
from wiremap.propose.same_danger import DangersOfTwo
from wiremap.trade.functions import FUNCTIONS, are_kin, called
from wiremap.trade.wording import counted

# Weights only rank candidates; they raise no grade.
AGREES = 120  # a qualifier that both papers tell
ONE_TELLS = 15  # lost where only one tells it
DIFFERS = 150  # lost where they tell different ones
SHARED_WORD = 60
OTHER_WORD = 20  # lost for a word of one paper alone
LOOKS = 100  # wordings that look all alike
ONE_DANGER = 250  # both wordings name one danger

# qualifiers of which two unlike values mean two signals
DECISIVE = frozenset({"side", "polarity", "channel", "lamp", "place", "source"})
# classes of which one circuit serves several loads: another circuit's name is no other signal
SHARED_CLASSES = frozenset({"supply", "ground"})
# classes of which a connector carries many: a function alone does not tell which one it is
NEEDS_NAME = frozenset({"input", "drive", "lamp", "speaker", "data", "coding"})

_WORDS = re.compile(r"[^\W_]+")
_LICENSED = "it acts on brakes or steering: a licensed person settles it"
_WHERE_GROUNDED = "goes through or ends here is decided by where it is grounded"


def _never_sure() -> Mapping[str, str]:
    doubts = {slug: _LICENSED for slug, known in FUNCTIONS.items() if known.licensed}
    doubts["coding"] = "what a coding contact selects is each unit's own"
    doubts["auxiliary-supply"] = "neither paper tells how this supply is switched"
    doubts["shield"] = f"whether a shield {_WHERE_GROUNDED}"
    doubts["frame-ground"] = f"whether a frame ground {_WHERE_GROUNDED}"
    return MappingProxyType(doubts)


NEVER_SURE = _never_sure()
"""Functions that still leave something open where both papers tell them, and what."""


SWITCHES = frozenset(
    {"relay", "coil", "contactor"}
)  # words for what switches a load, not for which


def part_of(one: str, two: str) -> bool:
    """Whether one circuit's name only says more than the other's.

    So it is with `pump` and `pump-relay`, and with `motor-relay` and `relay-coil`, where the one
    does not say which relay it means.
    """
    first = set(one.split("-"))
    second = set(two.split("-"))
    if first <= second or second <= first:
        return True
    return bool(first & second & SWITCHES) and (first <= SWITCHES or second <= SWITCHES)


@dataclass(slots=True, kw_only=True)
class Weighing:
    """A comparison under way; `weight` to `identical` begin as the functions alone have them."""

    old: Cavity
    new: Cavity
    weight: int
    reasons: list[str] = field(default_factory=list)
    soft: list[Doubt] = field(default_factory=list)
    hard: list[Doubt] = field(default_factory=list)
    identical: bool = False

    def result(self) -> Comparison:
        """The comparison as it stands; a weight is never below 1."""
        return Comparison(
            weight=max(self.weight, 1),
            reasons=tuple(self.reasons),
            soft=tuple(self.soft),
            hard=tuple(self.hard),
            identical=self.identical or (not self.hard and self._says_one_thing()),
        )

    def _says_one_thing(self) -> bool:
        """Whether both say one function, or the same words of none, and the same of it."""
        old = self.old.reading
        new = self.new.reading
        if old.function != new.function or set(old.unexplained) != set(new.unexplained):
            return False
        return _qualified(old) == _qualified(new)

    def qualifiers(self) -> str:
        """Weigh every kind of qualifier; why the two can never be joined, empty if they may be."""
        old = dict(self.old.reading.qualifiers)
        new = dict(self.new.reading.qualifiers)
        if not old and not new:
            return ""
        for kind in sorted(old.keys() | new.keys()):
            if kind == "serves":
                continue  # each side's own numbering: weighed with the returns
            stop = self._qualifier(kind, old.get(kind), new.get(kind))
            if stop:
                return stop
        return ""

    def _qualifier(self, kind: str, old: str | None, new: str | None) -> str:
        if old == new or (kind == "circuit" and _same_words(old, new)):
            self.weight += AGREES
            self.reasons.append(f"both say {kind} {old}")
        elif kind == "channel" and "secondary" in (old, new):
            return "a secondary channel is never the primary one of the same name"
        elif old is None or new is None:
            self.weight -= ONE_TELLS
            if not self._is_implied(kind, old or new or ""):
                side = "new" if old is None else "old"
                words = f"only the {side} paper says which {kind}: {old or new}"
                self.soft.append(about_qualifier(kind, words))
        elif kind == "circuit" and part_of(old, new):
            self.hard.append(about_qualifier(kind, f"circuit {old} may not be circuit {new}"))
        elif kind == "index" and counted(old) == counted(new):
            self.weight += AGREES
            self.soft.append(about_qualifier(kind, f"{old} and {new} are two ways of counting"))
        elif self._decides(kind):
            return f"one paper says {old}, the other {new}"
        else:
            self.weight -= DIFFERS
            self.hard.append(about_qualifier(kind, f"{kind} differs: {old} and {new}"))
        return ""

    def _is_implied(self, kind: str, value: str) -> bool:
        """Whether the function's own name says as much: a guard loop is a guard's."""
        return kind == "circuit" and value in called(self.old.function).split("-")

    def _decides(self, kind: str) -> bool:
        if kind == "circuit":
            return FUNCTIONS[self.old.function].electrical not in SHARED_CLASSES
        return kind in DECISIVE

    def dangers(self, of_two: DangersOfTwo) -> None:
        """Weigh the dangers that the wordings name: one and the same, or one of one paper alone."""
        if of_two.shared:
            self.weight += ONE_DANGER
            self.reasons.append(f"both name {of_two.shared}")
        if of_two.apart:
            self.weight -= DIFFERS
            self.hard.append(Doubt(of_two.apart))

    def unexplained_words(self) -> None:
        """Weigh the words that no table explains: equal ones speak for, others are open."""
        self.weight += round(LOOKS * likeness(self.old.signal, self.new.signal))
        if not self.old.reading.unexplained and not self.new.reading.unexplained:
            return
        old = _own_words(self.old)
        new = _own_words(self.new)
        shared = old & new
        shared |= {word for word in old - new if _says(self.new, word)}
        shared |= {word for word in new - old if _says(self.old, word)}
        if shared:
            self.reasons.append(f"both say {listed(shared)}")
        self._only("old", old - shared)
        feeds_out = {word for word in new - shared if _only_tells_feed(self.new, word)}
        if feeds_out:
            words = f"only the new paper tells who feeds it: {listed(feeds_out)}"
            self.soft.append(Doubt(words, DoubtKind.FEED))
        self._only("new", new - shared - feeds_out)
        if old and new and not shared:
            self.hard.append(Doubt("what the two papers call it differs"))
        self.weight += SHARED_WORD * len(shared) - OTHER_WORD * len(old ^ new)

    def _only(self, side: str, words: set[str]) -> None:
        if words:
            self.soft.append(Doubt(f"only the {side} paper says {listed(words)}"))

    def lamp_doubt(self) -> None:
        """Who feeds a lamp that both papers name: one doubt, however many wordings leave it."""
        both = (self.old.reading, self.new.reading)
        is_open = any(map(_leaves_feed_open, both)) and self._one_function()
        if is_open and not any(doubt.kind == DoubtKind.FEED for doubt in self.soft):
            words = "the wordings do not tell who feeds it, the machine or the unit"
            self.soft.append(Doubt(words, DoubtKind.FEED))

    def _one_function(self) -> bool:
        return self.old.function == self.new.function

    def doubts_of_one(self, side: str, meaning: Meaning) -> None:
        """What one paper leaves open by itself; `side` is `old` or `new`."""
        told_by_lamp_doubt = self._one_function() and _leaves_feed_open(meaning)
        if not meaning.settled and meaning.function != "unknown" and not told_by_lamp_doubt:
            words = f"the {side} wording alone could mean something else"
            if meaning.may_be:
                words += f" ({', '.join(map(called, meaning.may_be))})"
            self.soft.append(Doubt(words))
        for words in meaning.contradicts:
            self.soft.append(Doubt(f"the {side} paper contradicts itself: {words}"))

    def marks(self) -> None:
        """Compare the standards' own designations."""
        if not self.old.mark or not self.new.mark:
            return
        for scheme in sorted(self.old.mark.keys() & self.new.mark.keys()):
            old = self.old.mark[scheme]
            new = self.new.mark[scheme]
            if old.casefold() == new.casefold():
                self.reasons.append(f"both carry {scheme} {old}")
            else:
                self.hard.append(Doubt(f"{scheme} {old} is not {new}"))

    def other_doubts(self) -> None:
        """What is open by flow, by volts, by a missing name, or by the function itself."""
        old, new = self.old, self.new
        if old.flow and new.flow and old.flow != new.flow:
            self.soft.append(Doubt(f"flow {old.flow} and {new.flow}"))
        same = self._one_function()
        if same and old.function == "wake" and (old.volts is None or new.volts is None):
            self.soft.append(Doubt("the wake line's volts are not stated on both papers"))
        needs_name = FUNCTIONS[old.function].electrical in NEEDS_NAME
        if needs_name and not (has_name(old) and has_name(new)):
            words = "a function alone does not tell which circuit it is, and a paper gives no name"
            self.hard.append(Doubt(words))
        if same and old.function in NEVER_SURE:
            self.soft.append(Doubt(NEVER_SURE[old.function]))


def _leaves_feed_open(meaning: Meaning) -> bool:
    """Whether the only doubt of a lamp's wording is which side feeds it: all that it may mean is a
    function of the same kin, which a table tells apart by the side that feeds.
    """
    lamp = FUNCTIONS[meaning.function].electrical == "lamp"
    kin = all(are_kin(meaning.function, name) for name in meaning.may_be)
    return lamp and not meaning.settled and bool(meaning.may_be) and kin


def _same_words(old: str | None, new: str | None) -> bool:
    """Whether two names of a circuit differ by the order of their words alone."""
    return bool(old and new) and sorted(str(old).split("-")) == sorted(str(new).split("-"))


def _says(cavity: Cavity, word: str) -> bool:
    """Whether a paper's wording holds a word, explained by a table or not."""
    return word.casefold() in _WORDS.findall(cavity.signal.casefold())


def _own_words(cavity: Cavity) -> set[str]:
    """The words that nothing explains, without those that were weighed as qualifiers."""
    weighed = set(cavity.reading.qualifiers)
    words = set()
    for word in cavity.reading.unexplained:
        kinds = set(read_signal(word).qualifiers)
        if not kinds or not kinds <= weighed:
            words.add(word)
    return words


def _only_tells_feed(cavity: Cavity, word: str) -> bool:
    """Whether a word only tells that the unit feeds its lamp."""
    return cavity.reading.feeds_out(Side.UNIT) and read_signal(word).outward


def _qualified(meaning: Meaning) -> dict[str, str]:
    return {kind: value for kind, value in meaning.qualifiers if kind != "serves"}


def has_name(cavity: Cavity) -> bool:
    """Whether a paper gives a contact a name to go by: a wording or a standard's designation."""
    return bool(cavity.mark) or speaks(cavity.signal)


def listed(words: set[str]) -> str:
    """Words as a sentence quotes them, in their order by letter."""
    return ", ".join(f"`{word}`" for word in sorted(words))
