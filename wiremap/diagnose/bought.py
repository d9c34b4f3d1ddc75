"""A bought or inherited adapter, judged from two pinouts and probe readings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from wiremap.base import Finding
from wiremap.diagnose.adapter import Adapter, NotApart, batch_lines
from wiremap.diagnose.adapter_nets import AdapterNets, Groups, Owed, one_face
from wiremap.diagnose.adapter_probes import AdapterProbes
from wiremap.diagnose.as_built import BARRED, job_of
from wiremap.diagnose.astray import Astray, astray
from wiremap.diagnose.crossed_signals import Exchange, exchanges
from wiremap.diagnose.misread_faces import misread_faces
from wiremap.evidence import settle
from wiremap.graph import Harness
from wiremap.model import Entry, Pinout
from wiremap.rules import run

LEFT_OUT = frozenset(
    {
        "cavity-forgotten",
        "coding-undecided",
        "guard-open",
        "input-floating",
        "left-out-unexplained",
        "needed-signal-open",
        "nothing-feeds",
        "partner-missing",
    }
)  # rules that take an open contact for a decision
NOT_OF_FACES = frozenset({"protection-unjudged", "load-unjudged"})  # no paper of a face says them
OF_WORK_TO_DO = frozenset({"size-missing"})  # barrels, sleeves and runs: it is built already
UNWRITTEN = "as-built.yaml"  # how findings name the job's file while none is written

__all__ = ["Adapter", "batch_lines", "first_probes", "judge_adapter"]


def judge_adapter(
    pinouts: Mapping[str, Pinout], entries: Sequence[Entry], path: str = UNWRITTEN
) -> Adapter:
    """Judge an adapter without a job.

    The first pinout is the machine's face, every other the unit's.
    """
    nets = AdapterNets(pinouts, entries, path)
    readings = nets.readings
    groups = readings.groups
    job = job_of(pinouts, readings, groups, path)
    owed = nets.owed(groups)
    not_probed = tuple(
        point
        for group in groups
        for point in group
        if point not in readings.touched and not nets.why_spared[point]
    )
    partly = _partly(nets, groups, owed)
    not_yet = {*not_probed, *partly}
    findings = run(Harness(settle(job)))
    crossed = exchanges(pinouts, groups)
    return Adapter(
        job=job,
        circuits=tuple(group for group in groups if len(group) > 1),
        parts=tuple(readings.parts),
        findings=_findings(findings, not_yet),
        not_judged=tuple(each.message for each in findings if each.rule in NOT_OF_FACES),
        misread=misread_faces(pinouts, groups),
        exchanges=crossed,
        astray=tuple(_not_exchanged(crossed, astray(nets, groups))),
        contradictions=tuple(readings.contradictions),
        not_counted=tuple(readings.not_counted),
        unclear=tuple(nets.unclear(groups)),
        not_probed=not_probed,
        partly=partly,
        not_apart=_not_apart(groups, owed, not_yet),
        untested=nets.untested(groups, owed),
        left_alone=tuple(point for point, why in nets.why_spared.items() if why == BARRED),
        next=tuple(AdapterProbes(nets).asks()),
    )


def first_probes(pinouts: Mapping[str, Pinout]) -> list[str]:
    """The probes worth taking first at an adapter that nobody has read yet, as batch lines.

    Likely partners by proposal come first, then combs that prove the rest apart if those beeped.
    """
    return batch_lines(list(AdapterProbes(AdapterNets(pinouts, (), UNWRITTEN)).asks()))


def _findings(findings: Sequence[Finding], not_yet: set[str]) -> tuple[Finding, ...]:
    """What the rule book says of what was probed, and can be said of two faces."""
    kept = []
    for finding in findings:
        open_yet = finding.rule in LEFT_OUT and not not_yet.isdisjoint(finding.subject)
        if not open_yet and finding.rule not in NOT_OF_FACES | OF_WORK_TO_DO:
            kept.append(finding)
    return tuple(kept)


def _not_exchanged(crossed: Sequence[Exchange], found: Iterable[Astray]) -> Iterator[Astray]:
    """The wires that went astray but for those that took one another's places."""
    told = {old for each in crossed for old, _ in each.arrives}
    return (each for each in found if each.old not in told)


def _partly(nets: AdapterNets, groups: Groups, owed: Sequence[Owed]) -> dict[str, tuple[str, ...]]:
    """The contacts that were probed, join nothing, and are not proven apart from all across."""
    found = {}
    for number, group in enumerate(groups):
        if one_face(group) and group[0] in nets.readings.touched:
            left = nets.across(owed, groups, number)
            if left:
                found[group[0]] = left
    return found


def _not_apart(groups: Groups, owed: Sequence[Owed], not_yet: set[str]) -> tuple[NotApart, ...]:
    """Nets not proven apart, but for contacts that are told as not probed anyway."""
    found = []
    for each in owed:
        one, two = groups[each.one], groups[each.two]
        told_anyway = not not_yet.isdisjoint((one[0], two[0]))
        crossing = not one_face(one) and not one_face(two)
        if crossing or (one_face(one, two) and not told_anyway):
            found.append(NotApart(one=one[0], two=two[0], why=each.why))
    return tuple(found)
