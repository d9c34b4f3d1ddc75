"""The fuses of a job: which are out while it is rung out, what each feeds, in which order they go back and at which rating."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from wiremap.evidence import refused
from wiremap.evidence.expected import electrical
from wiremap.graph import Harness, Point

if TYPE_CHECKING:
    from wiremap.sizing.job import JobSizes

UNSTATED = "rating not stated"


@dataclass(frozen=True, slots=True)
class Fuse:
    """One fuse that is out until first power puts it back.

    `amps` is the rating it shall have, `found_amps` the one that was found, both None if not stated; `own` marks a fuse
    that the job adds; `feeds` are the contacts behind it; `named` is false where the job does not say which fuse it is.
    """

    name: str
    amps: float | None
    found_amps: float | None
    own: bool
    feeds: tuple[str, ...]
    named: bool = True

    @property
    def rating(self) -> str:
        """The rating it shall have, in words if it is not stated."""
        if self.amps is not None:
            return f"{self.amps:g} A"
        return (
            UNSTATED
            if self.found_amps is None
            else f"{self.found_amps:g} A found, its new {UNSTATED}"
        )

    @property
    def label(self) -> str:
        """Its name and the rating it shall have."""
        return (
            f"{self.name} {self.rating}"
            if self.amps is not None
            else f"{self.name} ({self.rating})"
        )

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
        return (
            f"fit {self.label} in place of the {self.found_amps:g} A found"
            if self.swapped
            else f"fit {self.label}"
        )

    @property
    def swapped(self) -> bool:
        """Whether it goes in at another rating than the one that was found."""
        return (
            self.found_amps is not None and self.amps is not None and self.found_amps != self.amps
        )

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
    """Every fuse that is out, in the order in which they go back: the machine's own before a feed, then the job's.

    Of the machine's fuses only those that feed a joint of the job; all others stay in.
    """
    found: dict[str, Fuse] = {}
    for fuse in _upstream(harness):
        known = found.get(fuse.name)
        found[fuse.name] = fuse if known is None else _both(known, fuse)
    for extra in harness.job.extras.values():
        if extra.kind == "fuse":
            size = sizes.fuses.get(extra.name) if sizes is not None else None
            amps = extra.amps if extra.amps is not None else size.amps if size is not None else None
            found[extra.name] = Fuse(
                extra.name, amps, None, True, tuple(_behind(harness, extra.legs))
            )
    return tuple(found.values())


def fuses_kept(harness: Harness) -> tuple[str, ...]:
    """The machine's fuses that the job names but that feed none of its joints: they stay in."""
    out = {f.name for f in fuses_out(harness)}
    named = [fed.fuse for end in harness.job.ends.values() for fed in end.fed.values() if fed.fuse]
    return tuple(n for n in dict.fromkeys(named) if n not in out)


def unfused(harness: Harness) -> tuple[str, ...]:
    """The joined contacts that the job says no fuse protects."""
    return tuple(
        p.address
        for p in _fed_points(harness)
        if p.end and p.cavity and (f := p.end.fed.get(p.cavity.name)) and f.unfused
    )


def _fed_points(harness: Harness) -> Iterator[Point]:
    for p in harness.points.values():
        if (
            p.end is None
            or p.cavity is None
            or p.end.side != "machine"
            or refused(p.cavity)
            or not harness.circuits_at(p.address)
        ):
            continue
        if p.cavity.name in p.end.fed or electrical(p.cavity) == "supply":
            yield p


def _upstream(harness: Harness) -> Iterator[Fuse]:
    for p in _fed_points(harness):
        assert p.end is not None and p.cavity is not None
        fed = p.end.fed.get(p.cavity.name)
        if fed is None:
            yield Fuse(f"the fuse of {p.address}", None, None, False, (p.address,), named=False)
        elif not fed.unfused:
            yield Fuse(
                fed.fuse or f"the fuse of {p.address}",
                fed.fuse_amps,
                fed.found_amps,
                False,
                (p.address,),
                fed.fuse is not None,
            )


def _both(a: Fuse, b: Fuse) -> Fuse:
    """One fuse stated at two contacts: of two ratings the smaller is the safe one to print."""
    amps = [x for x in (a.amps, b.amps) if x is not None]
    found = a.found_amps if a.found_amps is not None else b.found_amps
    return replace(a, amps=min(amps, default=None), found_amps=found, feeds=(*a.feeds, *b.feeds))


def _behind(harness: Harness, legs: tuple[str, ...]) -> Iterator[str]:
    """Contacts of the far side: units and in-line units that get their current through this fuse."""
    for leg in legs:
        for p in harness.cavities(harness.sections.of(leg)):
            if (
                p.end is not None
                and p.end.side != "machine"
                and p.cavity is not None
                and electrical(p.cavity) == "supply"
            ):
                yield p.address
