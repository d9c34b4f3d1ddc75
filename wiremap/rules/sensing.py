"""Inputs that only listen to a live line: harmless where both papers state levels that meet.

A camera is started by the reversing lamp's feed, a radio woken by the ignition, a speed pulse read
by two units (common practice).  What takes less than the line carries is judged as a clash first.
"""

from __future__ import annotations

from wiremap.rules.limits import limit
from wiremap.rules.signals import Signal, band

SWITCHED = frozenset(
    {
        "lamp-feed",
        "high-side-drive",
        "switched-supply",
        "accessory-supply",
        "start-supply",
        "relay-switched-supply",
        "auxiliary-supply",
    }
)
"""Positives that are not always there, so that an input can tell something by them."""
LISTENERS = frozenset({"digital-input", "wake"})
APART = ("side", "lamp", "place")


def may_listen(a: Signal, b: Signal) -> bool:
    """Whether one is an input that may listen to the other, whichever way round."""
    return _may_listen_to(a, b) or _may_listen_to(b, a)


def _may_listen_to(listener: Signal, line: Signal) -> bool:
    if not listener.listens or not line.drives:
        return False
    return _takes(listener, line) and not _told_apart(listener, line)


def _takes(listener: Signal, line: Signal) -> bool:
    """Whether an input of its kind can tell something by a line of that kind."""
    if listener.volts is None or line.volts is None:
        return False
    slug = listener.row.slug
    if slug == "analogue-input":
        return line.row.slug in SWITCHED and _within(line, listener)
    if slug == "digital-input" and line.row.slug == "low-side-drive":
        return _meet(listener, line)
    return slug in LISTENERS and line.row.slug in SWITCHED and _meet(listener, line)


def may_listen_together(a: Signal, b: Signal) -> bool:
    """Whether two that both listen to one driven line may do so: each is judged by what drives."""
    if not (a.listens and b.listens):
        return False
    slugs = {a.row.slug, b.row.slug}
    if slugs <= LISTENERS or slugs == {"pulse-input"}:
        return a.volts is None or b.volts is None or _meet(a, b)
    if slugs & LISTENERS and slugs & SWITCHED:
        return a.volts is not None and b.volts is not None and _meet(a, b)
    return False


def _meet(a: Signal, b: Signal) -> bool:
    if a.volts is None or b.volts is None:
        return False
    margin = limit("nominal-margin")
    return band(a.volts, margin).overlaps(band(b.volts, margin))


def _within(line: Signal, listener: Signal) -> bool:
    """Whether an input is made for the whole of what the line carries."""
    if line.volts is None or listener.volts is None:
        return False
    return listener.volts.low <= line.volts.low and line.volts.high <= listener.volts.high


def _told_apart(a: Signal, b: Signal) -> bool:
    """Whether the words say that the input is meant for another line."""
    for kind in APART:
        one, two = a.qualifiers.get(kind), b.qualifiers.get(kind)
        if one and two and one != two:
            return True
    return False


def says_more(one: str, two: str) -> bool:
    """Whether one name of a circuit only adds words to the other: `fan` and `fan-speed`."""
    first, second = set(one.split("-")), set(two.split("-"))
    return first <= second or second <= first
