"""The fuses of a job: which are out during the ring-out, what each feeds, how they go back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from wiremap.evidence import refused
from wiremap.evidence.expected import electrical
from wiremap.graph import Harness, Point
from wiremap.model import End, Extra, Fed
from wiremap.sizing.job_sizes import JobSizes

UNSTATED = "rating not stated"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fuse:
    """One fuse that is out until first power puts it back.

    `amps` is the rating it shall have, `found_amps` the one that was found, both None if not
    stated; `own` marks a fuse that the job adds; `feeds` are the contacts behind it; `named` is
    false where the job does not say which fuse it is.
    """

    name: str
    amps: float | None = None
    found_amps: float | None = None
    own: bool = False
    feeds: tuple[str, ...]
    named: bool = True

    @property
    def first_feed(self) -> str:
        """The first contact behind it, at which it is found."""
        first, *_ = self.feeds
        return first

    @property
    def rating(self) -> str:
        """The rating it shall have, in words if it is not stated."""
        if self.amps is not None:
            return f"{self.amps:g} A"
        if self.found_amps is not None:
            return f"{self.found_amps:g} A found; which goes back is not stated"
        return UNSTATED

    @property
    def label(self) -> str:
        """Its name and the rating it shall have."""
        return f"{self.name} ({self.rating})" if self.amps is None else f"{self.name} {self.rating}"

    @property
    def out(self) -> str:
        """Its name and the rating with which it comes out."""
        found = self.found_amps if self.found_amps is not None else self.amps
        return f"{self.name} ({UNSTATED})" if found is None else f"{self.name} {found:g} A"

    @property
    def fit(self) -> str:
        """The deed of putting it in, with its rating and what it must not be."""
        if self.own:
            return f"fit {self.label} in its empty holder"
        if self.swapped:
            return f"fit {self.label} in place of the {self.found_amps:g} A found"
        return f"fit {self.label}"

    @property
    def swapped(self) -> bool:
        """Whether it goes in at another rating than the one that was found."""
        return None not in (self.found_amps, self.amps) and self.found_amps != self.amps

    def as_dict(self) -> dict[str, Any]:
        """The fuse as plain data."""
        return {
            "name": self.name,
            "amps": self.amps,
            "found_amps": self.found_amps,
            "own": self.own,
            "feeds": list(self.feeds),
        }


def fuses_out(harness: Harness, sizes: JobSizes | None = None) -> tuple[Fuse, ...]:
    """Every fuse that is out, in the order in which they go back: the machine's before the job's.

    Of the machine's fuses only those that feed a joint of the job; all others stay in.
    """
    found: dict[str, Fuse] = {}
    for fuse in _upstream(harness):
        known = found.get(fuse.name)
        found[fuse.name] = fuse if known is None else _stated_twice(known, fuse)
    for extra in harness.job.extras.values():
        if extra.is_fuse:
            amps = _amps(extra, sizes)
            feeds = tuple(_behind(harness, extra))
            found[extra.name] = Fuse(name=extra.name, amps=amps, own=True, feeds=feeds)
    return tuple(found.values())


def fuses_kept(harness: Harness) -> tuple[str, ...]:
    """The machine's fuses that the job names but that feed none of its joints: they stay in."""
    out = {fuse.name for fuse in fuses_out(harness)}
    named = [fed.fuse for end in harness.job.ends.values() for fed in end.fed.values() if fed.fuse]
    return tuple(name for name in dict.fromkeys(named) if name not in out)


def unfused(harness: Harness) -> tuple[str, ...]:
    """The joined contacts that the job says no fuse protects."""
    return tuple(
        point.address for point, fed in _fed_points(harness) if fed is not None and fed.unfused
    )


def _amps(extra: Extra, sizes: JobSizes | None) -> float | None:
    """The rating of a fuse of the job: stated, else chosen by its size."""
    if extra.amps is not None or sizes is None:
        return extra.amps
    size = sizes.fuses.get(extra.name)
    return size.amps if size is not None else None


def _fed_points(harness: Harness) -> Iterator[tuple[Point, Fed | None]]:
    """The machine's joined contacts that are fed, and what is stated of it."""
    for point in harness.points.values():
        if point.end is None or point.cavity is None or not point.end.is_machine:
            continue
        if refused(point.cavity) or not harness.circuits_at(point.address):
            continue
        fed = point.end.fed.get(point.cavity.name)
        if fed is not None or electrical(point.cavity) == "supply":
            yield point, fed


def _upstream(harness: Harness) -> Iterator[Fuse]:
    for point, fed in _fed_points(harness):
        nameless = f"the fuse of {point.address}"
        feeds = (point.address,)
        if fed is None:
            yield Fuse(name=nameless, feeds=feeds, named=False)
        elif not fed.unfused:
            yield Fuse(
                name=fed.fuse or nameless,
                amps=fed.fuse_amps,
                found_amps=fed.found_amps,
                feeds=feeds,
                named=fed.fuse is not None,
            )


def _stated_twice(one: Fuse, other: Fuse) -> Fuse:
    """One fuse stated at two contacts: of two ratings the smaller is the safe one to print."""
    amps = [x for x in (one.amps, other.amps) if x is not None]
    found = one.found_amps if one.found_amps is not None else other.found_amps
    return replace(
        one, amps=min(amps, default=None), found_amps=found, feeds=(*one.feeds, *other.feeds)
    )


def _behind(harness: Harness, fuse: Extra) -> Iterator[str]:
    """Contacts of units that get their current through this fuse: those beyond it from the feed."""
    fed = {point.address for point, _ in _fed_points(harness)}
    sides = {leg: {p.address for p in harness.behind(fuse, leg)} for leg in fuse.legs}
    beyond = [leg for leg in fuse.legs if fed.isdisjoint(sides[leg])]
    for leg in beyond or fuse.legs:
        for point in harness.cavities(harness.sections.of(leg)):
            if _is_unit(point.end) and point.cavity and electrical(point.cavity) == "supply":
                yield point.address


def _is_unit(end: End | None) -> bool:
    return end is not None and not end.is_machine
