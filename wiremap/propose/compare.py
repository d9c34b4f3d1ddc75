"""Is it the same signal?  Two contacts compared: what speaks for, what is open, what forbids."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from types import MappingProxyType

from wiremap.model import Cavity, Side, Span
from wiremap.naming import Meaning, read_signal
from wiremap.propose.doubt import Doubt, DoubtKind, about_qualifier
from wiremap.propose.likeness import likeness, speaks
from wiremap.propose.same_danger import DangersOfTwo, dangers_of_two
from wiremap.trade.functions import FUNCTIONS, are_kin, called

# Weights only rank candidates; they raise no grade.
SAME = 1000  # one function on both papers
KIN = 400  # functions under which other papers name one signal
MEANT = 120  # a wording that may mean it by the tables, beside mere kin
HALF_KNOWN = 150  # one paper does not tell the function
UNKNOWN = 120  # neither does
AGREES = 120  # a qualifier that both papers tell
ONE_TELLS = 15  # lost where only one tells it
DIFFERS = 150  # lost where they tell different ones
SHARED_WORD = 60
OTHER_WORD = 20  # lost for a word of one paper alone
LOOKS = 100  # wordings that look all alike
ONE_DANGER = 250  # both wordings name one danger

# unlike values: another signal
DECISIVE = frozenset({"side", "polarity", "channel", "lamp", "place", "source"})
RESISTANT = frozenset({"supply", "ground"})  # classes whose circuit names only describe
QUIET_RETURNS = frozenset({"signal-ground", "bus-ground", "sensor-return"})
# classes of which a connector carries many
MANY = frozenset({"input", "drive", "lamp", "speaker", "data", "coding"})
# classes to which nothing unknown is ever offered
NEVER_TO_UNKNOWN = frozenset(
    {"supply", "ground", "reference", "bus", "loop", "drive", "shield", "refused"}
)

_WORDS = re.compile(r"[^\W_]+")
_LICENSED = "it acts on brakes or steering: a licensed person settles it"
_WHERE_GROUNDED = "goes through or ends here is decided by where it is grounded"


def _never_sure() -> Mapping[str, str]:
    told = {slug: _LICENSED for slug, known in FUNCTIONS.items() if known.licensed}
    told["coding"] = "what a coding contact selects is each unit's own"
    told["auxiliary-supply"] = "neither paper tells how this supply is switched"
    told["shield"] = f"whether a shield {_WHERE_GROUNDED}"
    told["frame-ground"] = f"whether a frame ground {_WHERE_GROUNDED}"
    return MappingProxyType(told)


NEVER_SURE = _never_sure()
"""Functions that still leave something open where both papers tell them, and what."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """How two contacts stand to each other.

    `refused` says why they can never be joined by proposal; otherwise `weight` ranks them,
    `reasons` speak for them, `soft` lists what is open (one may be left for `likely`) and `hard`
    what keeps them a question.  `identical` says that both papers name one signal in all that they
    say of it; such a partner is never given up so that more circuits find one.
    """

    weight: int = 0
    reasons: tuple[str, ...] = ()
    soft: tuple[Doubt, ...] = ()
    hard: tuple[Doubt, ...] = ()
    refused: str = ""
    identical: bool = False


@lru_cache(maxsize=4096)
def refusal(text: str) -> Comparison:
    """A comparison that forbids."""
    return Comparison(refused=text)


def offered(cavity: Cavity) -> bool:
    """Whether a contact may be proposed at all."""
    known = FUNCTIONS[cavity.function]
    if not known.offered or known.refused or cavity.as_found == "empty":
        return False
    return not cavity.is_class_b


def compare(old: Cavity, new: Cavity) -> Comparison:
    """Compare two contacts by function, qualifiers, words, flow, volts and rate.

    Neither colour nor contact number counts.
    """
    stop = _electrical_stop(old, new)
    if stop:
        return refusal(stop)
    dangers = dangers_of_two(old, new)
    base = _by_function(old, new)
    if base.refused and dangers.shared and not _stated(old, new):
        base = _one_by_either(old, new, "signal", KIN)
    if base.refused:
        return base
    if _battery_on_load(old, new) or _battery_on_load(new, old):
        return refusal("a battery contact that nothing switches is never offered to a load's feed")
    weighing = _Weighing(
        old=old,
        new=new,
        weight=base.weight,
        reasons=[*base.reasons],
        soft=[*base.soft],
        hard=[*base.hard],
        identical=base.identical,
    )
    stop = weighing.qualifiers()
    if stop:
        return refusal(stop)
    weighing.dangers(dangers)
    weighing.words()
    weighing.lamp_doubt()
    weighing.doubts("old", old.reading)
    weighing.doubts("new", new.reading)
    weighing.marks()
    weighing.rest()
    return weighing.result()


SWITCHES = frozenset({"relay", "coil", "contactor"})  # what switches a load, not which


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


# ---- what forbids


def _electrical_stop(old: Cavity, new: Cavity) -> str:
    if old.flow != new.flow and {old.flow, new.flow} == {"to-unit", "from-unit"}:
        return f"one is {old.flow}, the other {new.flow}"
    if old.volts and new.volts and not _alike(old.volts, new.volts):
        return f"{old.volts} V is not {new.volts} V"
    if old.kbit_s and new.kbit_s and old.kbit_s != new.kbit_s:
        return f"{old.kbit_s:g} kbit/s is not {new.kbit_s:g} kbit/s"
    return ""


def _alike(one: Span, two: Span) -> bool:
    slack = 0.15 * max(abs(one.high), abs(two.high))
    return one.low - slack <= two.high and two.low - slack <= one.high


def _battery_on_load(battery: Cavity, other: Cavity) -> bool:
    if battery.function != "permanent-supply" or other.function == "permanent-supply":
        return False
    meant = {other.function, *other.reading.may_be}
    return any(FUNCTIONS[name].electrical in ("drive", "lamp") for name in meant)


# ---- by function


def _by_function(old: Cavity, new: Cavity) -> Comparison:
    if old.function == new.function == "unknown":
        return _both_unknown(old, new)
    if old.function == new.function:
        return Comparison(weight=SAME, reasons=(f"both are {called(old.function)}",))
    if old.function == "unknown":
        return _half_known(new.function, old)
    if new.function == "unknown":
        return _half_known(old.function, new)
    meant = new.function in old.reading.may_be or old.function in new.reading.may_be
    if meant or are_kin(old.function, new.function):
        return _kin(old, new, meant=meant)
    if _grounds_alike(old, new):
        return _one_by_either(old, new, "return", KIN // 2)
    return refusal(f"{called(old.function)} is not {called(new.function)}")


def _both_unknown(old: Cavity, new: Cavity) -> Comparison:
    if speaks(old.signal) and speaks(new.signal):
        doubt = Doubt("neither paper tells the function")
        same = old.signal.casefold() == new.signal.casefold()
        return Comparison(weight=UNKNOWN, hard=(doubt,), identical=same)
    return refusal("neither paper tells the function, and one gives no word to go by")


def _half_known(known: str, unknown: Cavity) -> Comparison:
    """A contact of known function beside one whose wording tells none."""
    if not _named(unknown):
        return refusal("a contact of which nothing is known is offered to nothing")
    hard = (Doubt("one paper does not tell the function"),)
    other = unknown.reading
    if known in other.may_be:
        reasons = (f"the other wording may mean {known}",)
        return Comparison(weight=KIN, reasons=reasons, hard=hard)
    if FUNCTIONS[known].electrical in NEVER_TO_UNKNOWN:
        return refusal(f"an unknown contact is never offered to a {known}")
    if other.may_be:
        return refusal(f"its wording may mean {', '.join(map(called, other.may_be))}, not {known}")
    return Comparison(weight=HALF_KNOWN, hard=hard)


def _kin(old: Cavity, new: Cavity, *, meant: bool) -> Comparison:
    lamp = old.reading.qualifier("lamp") or new.reading.qualifier("lamp")
    licensed = FUNCTIONS[old.function].licensed or FUNCTIONS[new.function].licensed
    if licensed and lamp not in (None, "stop"):
        return refusal(f"{called(old.function)} is not {called(new.function)}")
    apart = _named_apart(old.reading, new.reading) or _named_apart(new.reading, old.reading)
    apart = apart or _switches_something(old, new) or _switches_something(new, old)
    if apart:
        return refusal(apart)
    return _one_by_either(old, new, "signal", KIN + MEANT if meant else KIN)


def _switches_something(wake: Cavity, other: Cavity) -> str:
    """Why a switch that is named after what it belongs to wakes no unit; empty if it may."""
    if wake.function != "wake" or other.function == "wake" or not other.reading.unexplained:
        return ""
    words = _listed(set(other.reading.unexplained))
    return f"{words} names what the switch belongs to, which is no line that wakes a unit"


def _named_apart(one: Meaning, other: Meaning) -> str:
    """Why the lamp that one wording names is not the circuit that the other names; empty if not."""
    lamp = one.qualifier("lamp")
    circuit = other.qualifier("circuit")
    if not lamp or not circuit or other.qualifier("lamp") or one.qualifier("circuit"):
        return ""
    if "lamp" in circuit or set(one.unexplained) & set(other.unexplained):
        return ""
    return f"a {lamp} lamp is not a {circuit}"


def _one_by_either(old: Cavity, new: Cavity, what: str, weight: int) -> Comparison:
    one, other = called(old.function), called(new.function)
    doubt = Doubt(f"one paper says {one}, the other {other}", DoubtKind.FUNCTION)
    reasons = (f"{one} and {other} can name one {what}",)
    return Comparison(weight=weight, reasons=reasons, hard=(doubt,))


def _stated(old: Cavity, new: Cavity) -> bool:
    """Whether a paper states a function, which no likeness of words overrules."""
    return "stated" in (old.reading.how, new.reading.how)


def _grounds_alike(old: Cavity, new: Cavity) -> bool:
    """Whether two returns, none a power ground, may be one by a third name that a wording has."""
    if not {old.function, new.function} <= QUIET_RETURNS:
        return False
    if _stated(old, new):
        return False
    return _may_be_kin(old.reading, new) or _may_be_kin(new.reading, old)


def _may_be_kin(meaning: Meaning, other: Cavity) -> bool:
    names = QUIET_RETURNS.intersection(meaning.may_be)
    return any(are_kin(name, other.function) for name in names)


# ---- by what else they say


@dataclass(slots=True, kw_only=True)
class _Weighing:
    """A comparison under way."""

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
            identical=self.identical or (not self.hard and self._alike()),
        )

    def _alike(self) -> bool:
        """Whether both say one function, or the same words of none, and the same of it."""
        old = self.old.reading
        new = self.new.reading
        if old.function != new.function or set(old.unexplained) != set(new.unexplained):
            return False
        return _qualified(old) == _qualified(new)

    def qualifiers(self) -> str:
        """Weigh every kind of qualifier; the answer says why the two can never be joined, if so."""
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
            return FUNCTIONS[self.old.function].electrical not in RESISTANT
        return kind in DECISIVE

    def dangers(self, of_two: DangersOfTwo) -> None:
        """Weigh the dangers that the wordings name: one and the same, or one of one paper alone."""
        if of_two.shared:
            self.weight += ONE_DANGER
            self.reasons.append(f"both name {of_two.shared}")
        if of_two.apart:
            self.weight -= DIFFERS
            self.hard.append(Doubt(of_two.apart))

    def words(self) -> None:
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
            self.reasons.append(f"both say {_listed(shared)}")
        self._only("old", old - shared)
        feeds_out = {word for word in new - shared if _told_by_flow(self.new, word)}
        if feeds_out:
            told = f"only the new paper tells who feeds it: {_listed(feeds_out)}"
            self.soft.append(Doubt(told, DoubtKind.FEED))
        self._only("new", new - shared - feeds_out)
        if old and new and not shared:
            self.hard.append(Doubt("what the two papers call it differs"))
        self.weight += SHARED_WORD * len(shared) - OTHER_WORD * len(old ^ new)

    def _only(self, side: str, words: set[str]) -> None:
        if words:
            self.soft.append(Doubt(f"only the {side} paper says {_listed(words)}"))

    def lamp_doubt(self) -> None:
        """Who feeds a lamp that both papers name: one doubt, however many wordings leave it."""
        both = (self.old.reading, self.new.reading)
        told = any(doubt.kind == DoubtKind.FEED for doubt in self.soft)
        if any(map(_leaves_feed_open, both)) and self._one_function() and not told:
            words = "the wordings do not tell who feeds it, the machine or the unit"
            self.soft.append(Doubt(words, DoubtKind.FEED))

    def _one_function(self) -> bool:
        return self.old.function == self.new.function

    def doubts(self, side: str, meaning: Meaning) -> None:
        """What one paper leaves open by itself."""
        if self._one_function() and _leaves_feed_open(meaning):
            pass
        elif not meaning.settled and meaning.function != "unknown":
            said = f"the {side} wording alone could mean something else"
            if meaning.may_be:
                said += f" ({', '.join(map(called, meaning.may_be))})"
            self.soft.append(Doubt(said))
        for said in meaning.contradicts:
            self.soft.append(Doubt(f"the {side} paper contradicts itself: {said}"))

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

    def rest(self) -> None:
        """What is open by flow, by volts, by a missing name, or by the function itself."""
        old, new = self.old, self.new
        if old.flow and new.flow and old.flow != new.flow:
            self.soft.append(Doubt(f"flow {old.flow} and {new.flow}"))
        same = old.function == new.function
        if same and old.function == "wake" and (old.volts is None or new.volts is None):
            self.soft.append(Doubt("the wake line's volts are not stated on both papers"))
        if FUNCTIONS[old.function].electrical in MANY and not (_named(old) and _named(new)):
            told = "a function alone does not tell which circuit it is, and a paper gives no name"
            self.hard.append(Doubt(told))
        if same and old.function in NEVER_SURE:
            self.soft.append(Doubt(NEVER_SURE[old.function]))


def _leaves_feed_open(meaning: Meaning) -> bool:
    """Whether the only doubt of a lamp's wording is which side feeds it."""
    lamp = FUNCTIONS[meaning.function].electrical == "lamp"
    kin = all(are_kin(meaning.function, name) for name in meaning.may_be)
    return lamp and not meaning.settled and bool(meaning.may_be) and kin


def _same_words(old: str | None, new: str | None) -> bool:
    """Whether two names of a circuit differ by the order of their words alone."""
    return bool(old and new) and sorted(str(old).split("-")) == sorted(str(new).split("-"))


def _says(cavity: Cavity, word: str) -> bool:
    """Whether a paper says a word too, though there a table explains it, or otherwise."""
    return word.casefold() in _WORDS.findall(cavity.signal.casefold())


def _own_words(cavity: Cavity) -> set[str]:
    """The words that nothing explains, without those that were weighed as qualifiers."""
    weighed = set(cavity.reading.qualifiers)
    found = set()
    for word in cavity.reading.unexplained:
        told = set(read_signal(word).qualifiers)
        if not told or not told <= weighed:
            found.add(word)
    return found


def _told_by_flow(cavity: Cavity, word: str) -> bool:
    """Whether a word only tells that the unit feeds its lamp."""
    return cavity.reading.feeds_out(Side.UNIT) and read_signal(word).outward


def _qualified(meaning: Meaning) -> dict[str, str]:
    return {kind: value for kind, value in meaning.qualifiers if kind != "serves"}


def _named(cavity: Cavity) -> bool:
    return bool(cavity.mark) or speaks(cavity.signal)


def _listed(words: set[str]) -> str:
    return ", ".join(f"`{word}`" for word in sorted(words))
