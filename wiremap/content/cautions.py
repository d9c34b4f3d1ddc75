"""The cautions of a job, each to be read and signed before the first cut."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain

from wiremap.base import Finding, only
from wiremap.content.given import Given
from wiremap.content.joint_work import SIDE_RANK
from wiremap.content.named_first import named_first
from wiremap.content.read_here import is_told, pair_rows, points_told
from wiremap.content.steps import Slot, Step
from wiremap.content.words import few, listed, number, spaced
from wiremap.model import Address
from wiremap.sizing.unjudged import NotJudged
from wiremap.trade.tables import figure


@dataclass(frozen=True, slots=True)
class Act:
    """What to do about a caution, in few words."""

    words: str
    or_signed: bool = False  # once it is signed nothing is left to do
    by_reading: bool = False  # the survey's readings of its contacts close it


ACTS = {  # a caution of another rule is mended as the rule itself says
    "colours-confused": Act("flag each before one is worked on"),
    "coil-without-clamp": Act(
        "look at each coil, write what clamps it (diode, resistor, inside); with nothing: stop, "
        "first a diode drawn into the job"
    ),
    "terminators-unknown": Act("battery off, the ohms into the loom and into the unit, both here"),
    "gauge-step": Act("look at the thinner wire and its fuse"),
    "rests-on-document": Act("measure, or sign for the document", or_signed=True, by_reading=True),
    "sleeves-overlap": Act("lengthen the run, or sign the thick place", or_signed=True),
    "voltage-drop": Act("a thicker or shorter wire, or sign for the load", or_signed=True),
    "outputs-over-supply": Act(
        "which of them are never on together, and who says so; or what it draws with all on that "
        "may be"
    ),
    "carried-caution": Act(""),
}

MOST_NAMED = 3  # of what one finding is about, where several share a step
TICKED = "ticked behind the survey's readings"
BY_NAME = "{points}: said by name {where}"
SIGN_ALONE = "{points}: no reading of this sheet tells, only a signature"
CLAMP_REVERSE = figure("first_power.toml", "row", "clamp-reverse")
CATHODES = {
    "high-side-drive": "the output's wire",
    "low-side-drive": "the feed of the coil",
}
SUPPLIER = "what the coil's supplier says"
STEP_EACH = ("colours-confused",)  # each a step by itself, looked for at the face of its end


def caution_steps(given: Given) -> tuple[Step, ...]:
    """Every caution's subject and sentence; those of one rule share a step.

    The step of one that is looked for at a face bears the name of its end.
    """
    signer = only(_signers(given.cautions))
    all_alike = bool(signer)
    steps = []
    for name, findings in _numbered(given):
        text = _sentence(findings)
        act = _act(given, findings)
        note = _signatures(findings, all_alike=all_alike)
        at = _looked_for_at(findings)
        open_yet = not at and any(f.accepted is None for f in findings)
        slot = Slot.LINE if open_yet else Slot.BOX  # what nobody signed no tick closes
        if open_yet and _by_survey(given, findings):
            act, slot = _read_here(given, findings), Slot.NONE
        text = f"{text}: {act}" if act else text
        steps.append(Step(n=name, at=at, text=text, note=note, slot=slot))
    if all_alike and steps:
        first, *others = steps
        steps = [replace(first, note=f"accepted by {signer}, as are the others"), *others]
    return tuple(steps)


def closed_by_survey(given: Given) -> dict[str, list[NotJudged]]:
    """The cautions that the survey's readings close, by number, each with what the survey prints a
    tick for: that tick closes the caution too.
    """
    closed = {}
    for name, findings in _numbered(given):
        if any(f.accepted is None for f in findings) and _by_survey(given, findings):
            closed[name] = [left for f in findings for left in _ticked_with(given, f)]
    return closed


def _numbered(given: Given) -> Iterator[tuple[str, list[Finding]]]:
    """The cautions of each step under its number, `C2-11`."""
    n = 1
    for findings in _in_order(given):
        last = n + len(findings) - 1
        yield f"C{n}" if last == n else f"C{n}-{last}", findings
        n = last + 1


def _by_survey(given: Given, findings: Sequence[Finding]) -> bool:
    """Whether the readings before the cut close each of some cautions."""
    return all(_ticked_with(given, finding) for finding in findings)


def _ticked_with(given: Given, finding: Finding) -> list[NotJudged]:
    """What the survey has a tick for that closes a caution as well; none where it closes none.

    Unknown terminators are known once both pairs of the bus, machine's and unit's, are read.
    """
    ticked = [left for left in given.not_judged if points_told(given, left)]
    subject = set(finding.subject)
    if finding.rule == "terminators-unknown":
        pairs = [{row.red, row.black} for row in pair_rows(given, finding.subject)]
        known = any(set(left.subject) == subject for left in ticked)
        return [left for left in ticked if set(left.subject) in pairs] if known else []
    act = ACTS.get(finding.rule)
    if act is None or not act.by_reading:
        return []
    return [left for left in ticked if left.by_reading and subject <= set(left.subject)]


def _read_here(given: Given, findings: Sequence[Finding]) -> str:
    """Where the survey reads what some cautions ask for, and which contacts a name closes."""
    subject = [point for finding in findings for point in finding.subject]
    first, *_ = findings
    if first.rule == "terminators-unknown":
        rows = [row for finding in findings for row in pair_rows(given, finding.subject)]
        named = (f"S{row.n} in the unit" if row.at_unit else f"S{row.n}" for row in rows)
        return f"read at {' and '.join(named)}; {TICKED}"
    untold = [point for point in subject if not is_told(given, (point,))]
    where = "at its joint" if set(untold) <= set(named_first(given)) else "below"
    by_name = BY_NAME.format(points=few(untold), where=where) if untold else ""
    return "; ".join(filter(None, (f"read in the survey, {TICKED}", by_name)))


def _together(cautions: Sequence[Finding]) -> list[list[Finding]]:
    """The cautions that share a step: those of one rule, but of `STEP_EACH` each by itself."""
    by_rule: dict[tuple[str, ...], list[Finding]] = {}
    for finding in cautions:
        alone = finding.subject if finding.rule in STEP_EACH else ()
        by_rule.setdefault((finding.rule, *alone), []).append(finding)
    return list(by_rule.values())


def _signers(findings: Sequence[Finding]) -> list[str]:
    """Who accepted, and when; an empty word where some are not accepted."""
    return sorted({f"{f.accepted.by} {f.accepted.date}" if f.accepted else "" for f in findings})


def _sentence(findings: Sequence[Finding]) -> str:
    """The words of a step: a finding's own; of several of a rule its name and their subjects."""
    first, *others = findings
    if first.rule in STEP_EACH and first.subject:
        return "alike in colour as told under its face"
    return _several(first.rule, findings) if others else _single(first)


def _looked_for_at(findings: Sequence[Finding]) -> str:
    """The end at whose face a caution is looked for; empty for one of the whole job."""
    first, *_ = findings
    if first.rule in STEP_EACH and first.subject:
        return Address.read(first.subject[0]).end
    return ""


def _in_order(given: Given) -> list[list[Finding]]:
    """Those of the whole job first, then end after end as their faces follow on paper."""
    by_side: dict[str | None, list[list[Finding]]] = {None: [], **{side: [] for side in SIDE_RANK}}
    for findings in _together(given.cautions):
        end = given.job.ends.get(_looked_for_at(findings))
        by_side[None if end is None else end.side].append(findings)
    return list(chain.from_iterable(by_side.values()))


def _single(finding: Finding) -> str:
    text = finding.message.rstrip(".")
    if finding.subject and not text.startswith(finding.subject[0]):
        return f"{listed(*finding.subject)}: {text}"
    return text


def _several(rule: str, findings: Sequence[Finding]) -> str:
    subjects = [" and ".join(f.subject[:MOST_NAMED]) for f in findings]
    return f"{rule.replace('-', ' ')}: {'; '.join(subjects)}"


def _signatures(findings: Sequence[Finding], *, all_alike: bool) -> str:
    """Who accepted these cautions, and how many are not accepted; `all_alike`: every caution of
    the job was accepted by one person on one day, which the first step says.
    """
    signed = listed(*_signers(findings))
    accepted = f"(accepted: {signed})" if signed and not all_alike else ""
    open_yet = sum(f.accepted is None for f in findings)
    count = f"{open_yet} " if open_yet < len(findings) else ""
    return spaced(accepted, f"({count}not signed yet)" if open_yet else "")


def _act(given: Given, findings: Sequence[Finding]) -> str:
    """What is to be done about the cautions of one step; empty where signatures leave nothing, or
    where each is mended in another way.
    """
    first, *_ = findings
    act = ACTS.get(first.rule)
    if act is None:
        return (only({f.on_paper for f in findings}) or "").rstrip(".")
    if act.or_signed and all(f.accepted is not None for f in findings):
        return ""
    subject = [point for finding in findings for point in finding.subject]
    untold = [point for point in subject if not is_told(given, (point,))]
    if act.by_reading and untold:
        return f"{act.words}; {SIGN_ALONE.format(points=few(untold))}"
    if first.rule == "coil-without-clamp":
        return f"{act.words}, {_diode(given, findings)}"
    return act.words


def _diode(given: Given, findings: Sequence[Finding]) -> str:
    """What a diode across a coil bears, and which way round it lies: by how its output switches."""
    volts = given.job.supply.volts
    bears = f" and {number(volts * CLAMP_REVERSE)} V or more" if volts else ""
    ways: dict[str, list[str]] = {}
    for finding in findings:
        output = given.harness.points[Address.read(finding.subject[0])]
        ways.setdefault(CATHODES.get(output.function, SUPPLIER), []).append(output.address)
    named = ways.items() if len(ways) > 1 else [(way, []) for way in ways]
    lies = (spaced(way, f"({few(points)})" if points else "") for way, points in named)
    return f"of its current{bears}, cathode to {' or '.join(lies)}"
