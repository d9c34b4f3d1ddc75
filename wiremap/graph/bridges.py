"""What a unit in line passes on: from the contacts of one segment to those of another."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.model import Address, Cavity, End, Job

Role = tuple[str, str]  # function and polarity, or ("", place in the order)


def bridged(job: Job) -> Iterator[tuple[Address, Address]]:
    """Pairs of points whose signal passes a unit from one segment to another: like to like."""
    for end in job.ends.values():
        for one, two in end.pinout.bridges:
            left = _by_role(end, one)
            right = _by_role(end, two)
            if not left.keys() & right.keys():  # functions unknown: the order as written
                left = _by_order(end, one)
                right = _by_order(end, two)
            for role in sorted(left.keys() & right.keys()):
                yield Address(end.name, left[role]), Address(end.name, right[role])


def _by_role(end: End, segment: str) -> dict[Role, str]:
    """The cavities of a segment by what they carry."""
    cavities = end.pinout.cavities
    names = end.pinout.segments.get(segment, ())
    return {_role(cavities[name]): name for name in names if name in cavities}


def _by_order(end: End, segment: str) -> dict[Role, str]:
    """The cavities of a segment by their place in it."""
    names = end.pinout.segments.get(segment, ())
    return {("", f"{i:04}"): name for i, name in enumerate(names)}


def _role(cavity: Cavity) -> Role:
    return cavity.reading.function, cavity.reading.qualifier("polarity") or ""
