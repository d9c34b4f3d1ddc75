"""Is it the same signal?  Two contacts compared: what speaks for, what is open, what forbids."""

from __future__ import annotations

from wiremap.model import Cavity, Span
from wiremap.naming import Meaning
from wiremap.propose.comparison import Comparison, refusal
from wiremap.propose.details import Weighing, has_name, listed
from wiremap.propose.doubt import Doubt, DoubtKind
from wiremap.propose.likeness import speaks
from wiremap.propose.same_danger import dangers_of_two
from wiremap.trade.functions import FUNCTIONS, are_kin, called

# Weights only rank candidates; they raise no grade.
SAME = 1000  # one function on both papers
KIN = 400  # functions under which other papers name one signal
KIN_RETURNS = 200  # grounds and returns
MEANT = 120  # a wording that may mean it by the tables, beside mere kin
HALF_KNOWN = 150  # one paper does not tell the function
UNKNOWN = 120  # neither does

VOLTS_SLACK = 0.15  # of the higher volts: by so much two papers may differ about one voltage

QUIET_RETURNS = frozenset({"signal-ground", "bus-ground", "sensor-return"})
# classes to which nothing unknown is ever offered
NEVER_TO_UNKNOWN = frozenset(
    {"supply", "ground", "reference", "bus", "loop", "drive", "shield", "refused"}
)


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
    by_function = _by_function(old, new)
    if by_function.refused and dangers.shared and not _stated(old, new):
        by_function = _unlike_functions(old, new, "signal", KIN)
    if by_function.refused:
        return by_function
    if _battery_on_load(old, new) or _battery_on_load(new, old):
        return refusal("a battery contact that nothing switches is never offered to a load's feed")
    weighing = Weighing(
        old=old,
        new=new,
        weight=by_function.weight,
        reasons=[*by_function.reasons],
        soft=[*by_function.soft],
        hard=[*by_function.hard],
        identical=by_function.identical,
    )
    stop = weighing.qualifiers()
    if stop:
        return refusal(stop)
    weighing.dangers(dangers)
    weighing.unexplained_words()
    weighing.lamp_doubt()
    weighing.doubts_of_one("old", old.reading)
    weighing.doubts_of_one("new", new.reading)
    weighing.marks()
    weighing.other_doubts()
    return weighing.result()


def _electrical_stop(old: Cavity, new: Cavity) -> str:
    if old.flow != new.flow and {old.flow, new.flow} == {"to-unit", "from-unit"}:
        return f"one is {old.flow}, the other {new.flow}"
    if old.volts and new.volts and not _volts_overlap(old.volts, new.volts):
        return f"{old.volts} V is not {new.volts} V"
    if old.kbit_s and new.kbit_s and old.kbit_s != new.kbit_s:
        return f"{old.kbit_s:g} kbit/s is not {new.kbit_s:g} kbit/s"
    return ""


def _volts_overlap(one: Span, two: Span) -> bool:
    """Whether two papers may mean one voltage: a 12 V system is also called 13.8 V."""
    slack = VOLTS_SLACK * max(abs(one.high), abs(two.high))
    return one.low - slack <= two.high and two.low - slack <= one.high


def _battery_on_load(battery: Cavity, other: Cavity) -> bool:
    """Whether a battery contact would feed a load for good, with nothing to switch it off."""
    if battery.function != "permanent-supply" or other.function == "permanent-supply":
        return False
    meant = {other.function, *other.reading.may_be}
    return any(FUNCTIONS[name].electrical in ("drive", "lamp") for name in meant)


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
        return _unlike_functions(old, new, "return", KIN_RETURNS)
    return refusal(f"{called(old.function)} is not {called(new.function)}")


def _both_unknown(old: Cavity, new: Cavity) -> Comparison:
    if speaks(old.signal) and speaks(new.signal):
        doubt = Doubt("neither paper tells the function")
        same = old.signal.casefold() == new.signal.casefold()
        return Comparison(weight=UNKNOWN, hard=(doubt,), identical=same)
    return refusal("neither paper tells the function, and one gives no word to go by")


def _half_known(known: str, unknown: Cavity) -> Comparison:
    """A contact of the function `known` beside one whose wording tells none."""
    if not has_name(unknown):
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
    return _unlike_functions(old, new, "signal", KIN + MEANT if meant else KIN)


def _switches_something(wake: Cavity, other: Cavity) -> str:
    """Why a switch that is named after what it belongs to wakes no unit; empty if it may."""
    if wake.function != "wake" or other.function == "wake" or not other.reading.unexplained:
        return ""
    words = listed(set(other.reading.unexplained))
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


def _unlike_functions(old: Cavity, new: Cavity, noun: str, weight: int) -> Comparison:
    """Two functions that may name one thing, a `noun` (signal, return), as a hard doubt."""
    one, other = called(old.function), called(new.function)
    doubt = Doubt(f"one paper says {one}, the other {other}", DoubtKind.FUNCTION)
    reasons = (f"{one} and {other} can name one {noun}",)
    return Comparison(weight=weight, reasons=reasons, hard=(doubt,))


def _stated(old: Cavity, new: Cavity) -> bool:
    """Whether a paper states a function, which no likeness of words overrules."""
    return "stated" in (old.reading.how, new.reading.how)


def _grounds_alike(old: Cavity, new: Cavity) -> bool:
    """Whether two returns, none a power ground, may be one: a wording may mean a third function
    which is kin to that of the other contact.
    """
    if not {old.function, new.function} <= QUIET_RETURNS:
        return False
    if _stated(old, new):
        return False
    return _may_be_kin(old.reading, new) or _may_be_kin(new.reading, old)


def _may_be_kin(meaning: Meaning, other: Cavity) -> bool:
    names = QUIET_RETURNS.intersection(meaning.may_be)
    return any(are_kin(name, other.function) for name in names)
