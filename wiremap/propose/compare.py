"""Is it the same signal?  Two contacts compared: what speaks for, what is open, what forbids."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from types import MappingProxyType

from wiremap.model import Cavity, Span
from wiremap.trade.functions import FUNCTIONS, are_kin

SAME, KIN, HALF_KNOWN, UNKNOWN = 1000, 400, 150, 120
MEANT = 120  # what a wording may mean by the tables goes before what other papers call alike
HARD_KINDS = frozenset(
    {"side", "polarity", "channel", "lamp", "place", "source"}
)  # unlike values: another signal
RESISTANT = frozenset({"supply", "ground"})  # classes whose circuit names only describe
QUIET_RETURNS = frozenset({"signal-ground", "bus-ground", "sensor-return"})
_LICENSED = "it acts on brakes or steering: a licensed person settles it"
# Equal functions that still leave something open, whatever else agrees
NEVER_SURE: Mapping[str, str] = MappingProxyType(
    {
        "coding": "what a coding contact selects is each unit's own",
        "auxiliary-supply": "neither paper tells how this supply is switched",
        "shield": "whether a shield goes through or ends here is decided by where it is grounded",
        "frame-ground": "whether a frame ground goes through or ends here is decided by where it is grounded",
    }
    | {slug: _LICENSED for slug, known in FUNCTIONS.items() if known.licensed}
)
MANY = frozenset(
    {"input", "drive", "lamp", "speaker", "data", "coding"}
)  # classes of which a connector carries many
WORD = re.compile(r"[^\W\d_]{2,}|\d+[a-z]?", re.UNICODE)


@dataclass(frozen=True, slots=True)
class Comparison:
    """How two contacts stand to each other.

    `refused` says why they can never be joined by proposal; otherwise `weight` ranks them, `reasons` speak for them,
    `soft` lists what is open (one may be left for `likely`) and `hard` what keeps them a question.
    """

    weight: int = 0
    reasons: tuple[str, ...] = ()
    soft: tuple[str, ...] = ()
    hard: tuple[str, ...] = ()
    refused: str = ""

    @property
    def whole(self) -> bool:
        """Whether nothing at all is open."""
        return not (self.refused or self.soft or self.hard)


@lru_cache(maxsize=4096)
def refusal(text: str) -> Comparison:
    """A comparison that forbids."""
    return Comparison(refused=text)


def offered(cavity: Cavity) -> bool:
    """Whether a contact may be proposed at all."""
    known = FUNCTIONS[cavity.function]
    return (
        known.offered
        and not known.refused
        and cavity.as_found != "empty"
        and not _high_voltage(cavity)
    )


def _high_voltage(cavity: Cavity) -> bool:
    return (
        cavity.volts is not None and max(abs(cavity.volts.low), abs(cavity.volts.high)) > 60
    ) or (cavity.volts_ac or 0) > 30


def compare(a: Cavity, b: Cavity) -> Comparison:
    """Compare an old and a new contact by function, qualifiers, words, flow, volts and rate; never by colour or number."""
    stop = _electrical_stop(a, b)
    if stop:
        return refusal(stop)
    base = _function(a, b)
    if base.refused:
        return base
    weight, reasons, soft, hard = base.weight, list(base.reasons), list(base.soft), list(base.hard)
    ra, rb = a.reading, b.reading
    qa, qb = dict(ra.qualifiers), dict(rb.qualifiers)
    for kind in sorted(qa.keys() | qb.keys()) if qa or qb else ():
        if kind == "serves":
            continue  # each side's own numbering: weighed with the returns
        one, two = qa.get(kind), qb.get(kind)
        if one == two:
            weight += 120
            reasons.append(f"both say {kind} {one}")
        elif kind == "channel" and "secondary" in (one, two):
            return refusal("a secondary channel is never the primary one of the same name")
        elif one is None or two is None:
            weight -= 15
            soft.append(f"only one paper says {kind} {one or two}")
        elif kind == "circuit" and part_of(one, two):
            hard.append(f"circuit {one} may not be circuit {two}")
        elif kind in HARD_KINDS or (
            kind == "circuit" and FUNCTIONS[ra.function].electrical not in RESISTANT
        ):
            return refusal(f"{kind} {one} is not {kind} {two}")
        else:
            weight -= 150
            hard.append(f"{kind} differs: {one} and {two}")
    weight += _words(ra.unexplained, rb.unexplained, a, b, reasons, soft, hard)
    for side, reading in (("old", ra), ("new", rb)):
        if not reading.settled and reading.function != "unknown":
            soft.append(
                f"the {side} wording alone could mean something else"
                + (f" ({', '.join(reading.may_be)})" if reading.may_be else "")
            )
        soft.extend(f"the {side} paper contradicts itself: {said}" for said in reading.contradicts)
    _marks(a, b, reasons, hard)
    if a.flow and b.flow and a.flow != b.flow:
        soft.append(f"flow {a.flow} and {b.flow}")
    if ra.function == rb.function == "wake" and (a.volts is None or b.volts is None):
        soft.append("the wake line's volts are not stated on both papers")
    if _nameless(a, b):
        hard.append("a function alone does not tell which circuit it is, and a paper gives no name")
    if ra.function == rb.function and ra.function in NEVER_SURE:
        soft.append(NEVER_SURE[ra.function])
    return Comparison(max(weight, 1), tuple(reasons), tuple(soft), tuple(hard))


def _nameless(a: Cavity, b: Cavity) -> bool:
    """Whether only the class of signal is known of one side: an input, drive, lamp or data wire without name or mark."""
    if FUNCTIONS[a.function].electrical not in MANY:
        return False
    return not ((a.mark or _speaks(a.signal)) and (b.mark or _speaks(b.signal)))


@lru_cache(maxsize=8192)
def _speaks(text: str) -> bool:
    return any(map(str.isalnum, text))


def part_of(one: str, two: str) -> bool:
    """Whether one circuit's name only says more than the other's (`pump` and `pump-relay`)."""
    parts = set(one.split("-")), set(two.split("-"))
    return parts[0] <= parts[1] or parts[1] <= parts[0]


def _electrical_stop(a: Cavity, b: Cavity) -> str:
    if a.flow != b.flow and {a.flow, b.flow} == {"to-unit", "from-unit"}:
        return f"one is {a.flow}, the other {b.flow}"
    if a.volts and b.volts and not _alike(a.volts, b.volts):
        return f"{a.volts} V is not {b.volts} V"
    if a.kbit_s and b.kbit_s and a.kbit_s != b.kbit_s:
        return f"{a.kbit_s:g} kbit/s is not {b.kbit_s:g} kbit/s"
    return ""


def _alike(a: Span, b: Span) -> bool:
    slack = 0.15 * max(abs(a.high), abs(b.high))
    return a.low - slack <= b.high and b.low - slack <= a.high


def _function(a: Cavity, b: Cavity) -> Comparison:
    fa, fb = a.function, b.function
    if fa == fb and fa != "unknown":
        return Comparison(SAME, (f"both are {fa}",))
    if fa == fb:
        if not (_speaks(a.signal) and _speaks(b.signal)):
            return refusal("neither paper tells the function, and one gives no word to go by")
        return Comparison(UNKNOWN, (), (), ("neither paper tells the function",))
    if "unknown" in (fa, fb):
        known, other = (fb, a) if fa == "unknown" else (fa, b)
        if known in other.reading.may_be:
            return Comparison(
                KIN,
                (f"the other wording may mean {known}",),
                (),
                ("one paper does not tell the function",),
            )
        if FUNCTIONS[known].electrical in ("supply", "ground", "loop", "refused"):
            return refusal(f"an unknown contact is never offered to a {known}")
        if other.reading.may_be:
            return refusal(f"its wording may mean {', '.join(other.reading.may_be)}, not {known}")
        return Comparison(HALF_KNOWN, (), (), ("one paper does not tell the function",))
    meant = fb in a.reading.may_be or fa in b.reading.may_be
    if are_kin(fa, fb) or meant:
        lamp = a.reading.qualifier("lamp") or b.reading.qualifier("lamp")
        if lamp not in (None, "stop") and (FUNCTIONS[fa].licensed or FUNCTIONS[fb].licensed):
            return refusal(f"{fa} is not {fb}")
        return Comparison(
            KIN + MEANT * meant,
            (f"{fa} and {fb} can name one signal",),
            (),
            (f"one paper says {fa}, the other {fb}",),
        )
    if _grounds_alike(a, b):
        return Comparison(
            KIN // 2,
            (f"{fa} and {fb} can name one return",),
            (),
            (f"one paper says {fa}, the other {fb}",),
        )
    return refusal(f"{fa} is not {fb}")


def _grounds_alike(a: Cavity, b: Cavity) -> bool:
    """Whether two returns, neither of them a power ground, may be one by a third name that a wording stands for."""
    if not {a.function, b.function} <= QUIET_RETURNS or "stated" in (a.reading.how, b.reading.how):
        return False
    return any(
        are_kin(said, y.function)
        for x, y in ((a, b), (b, a))
        for said in x.reading.may_be
        if said in QUIET_RETURNS
    )


def _words(
    one: tuple[str, ...],
    two: tuple[str, ...],
    a: Cavity,
    b: Cavity,
    reasons: list[str],
    soft: list[str],
    hard: list[str],
) -> int:
    """Words that no table explains: equal ones speak for, others are open."""
    if not one and not two:
        return round(100 * _likeness(a.signal, b.signal))
    set_a, set_b = set(one), set(two)
    shared = set_a & set_b
    weight = 60 * len(shared) - 20 * len(set_a ^ set_b)
    if shared:
        reasons.append("both say " + ", ".join(f"`{w}`" for w in sorted(shared)))
    for side, rest in (("old", set_a - shared), ("new", set_b - shared)):
        if rest:
            soft.append(f"only the {side} paper says " + ", ".join(f"`{w}`" for w in sorted(rest)))
    if set_a and set_b and not shared:
        hard.append("what the two papers call it differs")
    likeness = _likeness(a.signal, b.signal)
    return weight + round(100 * likeness)


def _likeness(a: str, b: str) -> float:
    """How alike two wordings look, 0 to 1: shared words, or shared letters and pairs of letters (Dice).  It ranks and raises no grade."""
    if not a or not b:
        return 0.0
    if a == b:
        return 1.0
    words_a, letters_a = _look(a)
    words_b, letters_b = _look(b)
    shared = len(words_a & words_b) / max(1, min(len(words_a), len(words_b)))
    return max(shared, 2 * len(letters_a & letters_b) / max(1, len(letters_a) + len(letters_b)))


@lru_cache(maxsize=8192)
def _look(text: str) -> tuple[frozenset[str], frozenset[str]]:
    folded = text.casefold()[:200]
    return frozenset(WORD.findall(folded)), frozenset(c for c in folded if c.isalnum()) | {
        a + b for a, b in pairwise(folded) if a != " " and b != " "
    }


def _marks(a: Cavity, b: Cavity, reasons: list[str], hard: list[str]) -> None:
    for scheme in sorted(a.mark.keys() & b.mark.keys()) if a.mark and b.mark else ():
        one, two = a.mark[scheme].casefold(), b.mark[scheme].casefold()
        if one == two:
            reasons.append(f"both carry {scheme} {a.mark[scheme]}")
        else:
            hard.append(f"{scheme} {a.mark[scheme]} is not {b.mark[scheme]}")
