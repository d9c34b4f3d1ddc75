"""What slips of the hand weigh that make one word of another.

Light ones are two letters exchanged, one doubled or not, a vowel left out, a letter for another
that sounds like it; any other letter left out, too many or wrong is a heavy one.  The longer the
word, the more slips are believed.  Its first letter must be right, and its last one too, since a
wrong last letter makes another form of the word.
"""

from __future__ import annotations

LIGHT, HEAVY = 1, 2  # what a slip weighs
SHORT = 5  # letters of a word of which one light slip counts (of one letter fewer, two exchanged),
MIDDLE = 6  # of which a heavy one or two light ones do,
LONG = 9  # and of which three light ones do, or one of each
FEWER = 2  # letters that a word may have lost
CUT = 6  # letters of a word of which the last one may be missing
VOWELS = "aeiouyаеиоуыэюя"
_UNHEARD = f"{VOWELS}h"
_ALIKE = ("ae", "ei", "iyj", "ou", "ckq", "sz", "cs", "kg", "vwf", "dt", "bp", "ао", "еи", "сз")


def weight_of(typed: str, meant: str) -> int:
    """What slips weigh that make one word of the other; 0: the words are equal, or too unlike."""
    allowed = _allowed(len(meant))
    lost = len(meant) - len(typed)
    most = FEWER if len(meant) > MIDDLE else 1
    if not allowed or typed == meant or not -1 <= lost <= most:
        return 0
    if typed[0] != meant[0] or len(set(typed) ^ set(meant)) > allowed + 1:
        return 0
    if len(meant) < SHORT and sorted(typed) != sorted(meant):
        return 0
    weight = _weight(typed, meant, allowed)
    return weight if weight <= allowed else 0


def _allowed(letters: int) -> int:
    """How much slips may weigh together in a word of so many letters."""
    if letters < SHORT - 1:
        return 0
    if letters < MIDDLE:
        return LIGHT
    if letters < LONG:
        return HEAVY
    return HEAVY + LIGHT


def _weight(typed: str, meant: str, most: int) -> int:
    """What the slips between two words weigh together; of more than `most` only that it is more.

    The weighted edit distance with neighbours exchanged (optimal string alignment), row by row.
    """
    start = 1
    while start < len(typed) and start < len(meant) and typed[start] == meant[start]:
        start += 1
    if start == len(typed) or start == len(meant):  # only what ends the longer word is left
        return _at_the_end(typed, meant)
    above: list[int] = []
    row = [0]
    for at in range(start, len(meant)):
        row.append(row[-1] + _dropped(meant, at))
    for at in range(start, len(typed)):
        before, row = row, [row[0] + _added(typed, at)]
        for other in range(start, len(meant)):
            place = other - start
            ways = [before[place] + _instead(typed, at, meant, other)]
            ways += (row[place] + _dropped(meant, other), before[place + 1] + _added(typed, at))
            if above and place and typed[at - 1 : at + 1] == meant[other : other - 2 : -1]:
                ways.append(above[place - 1] + LIGHT)
            row.append(min(ways))
        if min(row + before) > most:
            return most + 1
        above = before
    return row[-1]


def _at_the_end(typed: str, meant: str) -> int:
    """What a letter too many or left out at the very end weighs: mostly it inflects."""
    longer = max(typed, meant, key=len)
    if abs(len(meant) - len(typed)) > 1:
        return HEAVY + HEAVY
    if longer[-1] == longer[-2] and len(meant) > SHORT:
        return LIGHT
    return HEAVY if len(typed) < len(meant) and len(meant) >= CUT else HEAVY + HEAVY


def _instead(typed: str, at: int, meant: str, other: int) -> int:
    """What a letter instead of another weighs."""
    one, two = typed[at], meant[other]
    if one == two:
        return 0
    if at == len(typed) - 1 and other == len(meant) - 1:
        return HEAVY + HEAVY  # the last letter inflects
    return LIGHT if any(one in group and two in group for group in _ALIKE) else HEAVY


def _dropped(meant: str, at: int) -> int:
    """What a letter left out weighs."""
    return LIGHT if meant[at] == meant[at - 1] or meant[at] in _UNHEARD else HEAVY


def _added(typed: str, at: int) -> int:
    """What a letter too many weighs."""
    return LIGHT if typed[at] == typed[at - 1] or typed[at] == "h" else HEAVY
