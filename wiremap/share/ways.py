"""Two ways to fit one unit side by side: cut and spliced, or plug to plug."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from wiremap.base import Finding, Place, fault
from wiremap.check import check_job
from wiremap.model import EndKind, Job, Side
from wiremap.ringout.plan import TooLarge
from wiremap.share.revisions import read_papers
from wiremap.share.way import Minutes, Way, count_way

COUNTED = (
    "joints",
    "contacts",
    "mated",
    "plugs",
    "wires_cut",
    "harmful_slips",
    "survey_readings",
    "ring_out_readings",
    "joints_to_undo",
)  # of two ways, the one with fewer has it easier


@dataclass(frozen=True, slots=True, kw_only=True)
class Ways:
    """Both ways; `only` names the unit's contacts that one of them alone joins, by its file."""

    splice: Way
    adapter: Way
    only: dict[str, tuple[str, ...]]
    withdrawn: tuple[str, ...]

    @property
    def fewer(self) -> dict[str, str]:
        """For each thing counted that differs, which way has fewer of it."""
        sides = {}
        for name in COUNTED:
            one, two = getattr(self.splice, name), getattr(self.adapter, name)
            if None not in (one, two) and one != two:
                sides[name] = "splice" if one < two else "adapter"
        return sides

    @property
    def holds(self) -> bool:
        """Whether one of the two jobs holds."""
        return any(way.verdict != "in-order" for way in (self.splice, self.adapter))

    def as_dict(self) -> dict[str, Any]:
        """As plain data: `{"ways": {"splice": {}, "adapter": {}}, "fewer": {}, "only": {}}`."""
        return {
            "ways": {"splice": self.splice.as_dict(), "adapter": self.adapter.as_dict()},
            "fewer": self.fewer,
            "only": {file: list(points) for file, points in self.only.items()},
            "withdrawn": list(self.withdrawn),
        }


def compare_ways(
    paths: tuple[str, str], minutes: Minutes, *, full: bool = False
) -> Ways | tuple[Finding, ...]:
    """Compare a splice with an adapter, named in either order; findings where that cannot be.

    The harmful slips of jobs of more than FEW_CIRCUITS circuits are counted only if `full`.
    """
    read = read_papers(paths)
    if read.findings:
        return read.findings
    jobs = [paper for paper in read.papers if isinstance(paper, Job)]
    cutting = [_cuts(job) for job in jobs]
    if len(jobs) != len(paths) or sorted(cutting) != [False, True]:
        return (_not_two_ways(jobs, paths),)
    ways = []
    for job, path in zip(jobs, paths, strict=True):
        try:
            ways.append(count_way(check_job(job), path, minutes, full=full))
        except TooLarge as large:
            return (fault("ringout-too-large", str(large), Place(path), fix=large.fix),)
    splice = cutting.index(True)
    return Ways(
        splice=ways[splice],
        adapter=ways[1 - splice],
        only=_joined_by_one(jobs, paths),
        withdrawn=read.withdrawn,
    )


def _cuts(job: Job) -> bool:
    return any(end.kind is EndKind.CUT_TAIL for end in job.ends.values())


def _not_two_ways(jobs: Sequence[Job], paths: tuple[str, str]) -> Finding:
    if len(jobs) < len(paths):
        words = "two jobs are compared as two ways, not pinouts"
    elif any(map(_cuts, jobs)):
        words = "both jobs cut the machine's wires; one of the two ways must cut nothing"
    else:
        words = "neither job cuts a wire of the machine; one of the two ways must be a splice"
    fix = "Name a splice (an end that is `cut-tail`) and an adapter (all ends mated)."
    _, second = paths
    return fault("not-two-ways", words, Place(second), fix=fix)


def _joined_by_one(jobs: Sequence[Job], paths: tuple[str, str]) -> dict[str, tuple[str, ...]]:
    """The contacts of the unit's papers that one job joins and the other does not."""
    one, two = (_joined_unit_contacts(job) for job in jobs)
    only = {}
    first, second = paths
    for path, mine, other in ((first, one, two), (second, two, one)):
        alone = sorted(mine - other)
        if alone:
            only[path] = tuple(f"{paper}, contact {cavity}" for paper, cavity in alone)
    return only


def _joined_unit_contacts(job: Job) -> set[tuple[str, str]]:
    points = {point for circuit in job.circuits for point in circuit.join}
    contacts = set()
    for point in points:
        end = job.ends.get(point.end)
        if end is not None and end.side is Side.UNIT:
            contacts.add((end.pinout.title, point.cavity))
    return contacts
