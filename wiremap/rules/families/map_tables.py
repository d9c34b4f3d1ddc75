"""Family `map`: how a face was read, and whether two tables of one shell agree."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from wiremap.model import End
from wiremap.rules.faces import (
    MISREAD_WORDS,
    Statements,
    better_fit,
    claimed_by_source,
    statements_by,
)
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.view import View

MAP = Family("map", Matter.UNIT)
LAST = 1 << 30  # cavities without a number come after all numbers


@MAP.stop(
    "face-unlike-cavities",
    what="the face of {end} does not match its cavities: {what}",
    why="A face with a contact too many or too few is another connector, or is drawn wrongly.",
    fix="Draw every cavity once, and only those that the table lists.",
)
def face_unlike_cavities(view: View) -> Hits:
    """A drawn face that misses a cavity, shows one that the table lacks, or shows one twice."""
    seen = set()
    for end in view.job.ends.values():
        if end.pinout.path in seen:
            continue
        seen.add(end.pinout.path)
        face = end.pinout.connector.face
        wrong = "; ".join(_wrong(end))
        if face is not None and wrong:
            yield view.hit(end.name, place=face.place or end.pinout.place, end=end.name, what=wrong)


def _wrong(end: End) -> Iterator[str]:
    face = end.pinout.connector.face
    if face is None:
        return
    drawn, listed = list(face.names), set(end.pinout.cavities)
    lists = {
        "not drawn": listed - set(drawn),
        "drawn but not listed": set(drawn) - listed,
        "drawn twice": {name for name in drawn if drawn.count(name) > 1},
    }
    for word, names in lists.items():
        if names:
            yield f"{', '.join(sorted(names, key=_by_number))} {word}"


def _by_number(name: str) -> tuple[int, str]:
    return (int(name) if name.isdigit() else LAST, name)


@MAP.stop(
    "table-misread",
    what="{one} agrees better with {other} when it is read {how}: {n} of {told} statements "
    "instead of {before}",
    why="A face read from its wrong side or counted otherwise puts every wire into a wrong hole.",
    fix="Read the moulded digit at contact 1 and at the last contact, and correct the view or the "
    "table.",
)
def table_misread(view: View) -> Hits:
    """Two tables of one shell, or further claims on one table, that agree better under a
    whole-face misreading.
    """
    ends = view.job.ends.values()
    for one, two in combinations(ends, 2):
        if _same_shell(one, two):
            table, other = f"the table of {two.name}", f"that of {one.name}"
            yield from _misread(view, one, statements_by(two), one=table, other=other, guilty=two)
    for end in ends:
        for source, told in sorted(claimed_by_source(end.pinout).items()):
            other = f"the table of {end.name}"
            yield from _misread(view, end, told, one=source, other=other, guilty=end)


def _same_shell(one: End, two: End) -> bool:
    shells = [" ".join(end.pinout.connector.shell.casefold().split()) for end in (one, two)]
    if not shells[0] or shells[0] != shells[1] or one.pinout.path == two.pinout.path:
        return False
    return set(one.pinout.cavities) == set(two.pinout.cavities)


def _misread(
    view: View, shape: End, statements: Statements, *, one: str, other: str, guilty: End
) -> Hits:
    fit = better_fit(shape.pinout, statements_by(shape), statements)
    if fit is None:
        return
    face = guilty.pinout.connector.face
    place = (face.place if face else None) or guilty.pinout.place or guilty.place
    yield view.hit(
        *dict.fromkeys((shape.name, guilty.name)),
        place=place,
        one=one,
        other=other,
        how=MISREAD_WORDS[fit.kind],
        n=fit.as_misread,
        told=fit.told,
        before=fit.as_written,
    )
