"""The cautions of a job, each to be read and signed before the first cut."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from wiremap.base import Finding
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
    """What to do about a caution, in few words.

    Whether a signature leaves nothing to do, and whether a reading of its contacts closes it.
    """

    words: str
    or_signed: bool = False
    by_reading: bool = False


ACTS = {  # of other rules their own way to mend it
    "colours-confused": Act("flag each before one is worked on"),
    "coil-without-clamp": Act(
        "look at each coil, write what clamps it (diode, resistor, inside); with nothing: first a "
        "diode drawn into the job"
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

TICKED = "ticked behind the survey's readings"
BY_NAME = "{points}: said by name {where}"
SIGN_ALONE = "{points}: no reading of this sheet tells, only a signature"
CLAMP_REVERSE = figure("first_power.toml", "row", "clamp-reverse")
CATHODES = {
    "high-side-drive": "the output's wire",
    "low-side-drive": "the feed of the coil",
}
SUPPLIER = "what the coil's supplier says"
EACH = ("colours-confused",)  # told by itself: its sentence names connector and groups


def caution_steps(given: Given) -> tuple[Step, ...]:
    """Every caution's subject and sentence; those of one rule share a step.

    One of colours stands at the faces: its step bears the end at which it is looked for.
    """
    signers = _signers(given.cautions)
    all_alike = len(signers) == 1 and bool(signers[0])
    steps = []
    for name, found in _numbered(given):
        text = _told(found)
        act = _act(given, found)
        note = _standing(found, all_alike=all_alike).strip()
        at = _looked_for_at(found)
        open_yet = not at and any(f.accepted is None for f in found)
        slot = Slot.LINE if open_yet else Slot.BOX  # what nobody signed no tick closes
        if open_yet and _by_survey(given, found):
            act, slot = _read_here(given, found), Slot.NONE
        text = f"{text}: {act}" if act else text
        steps.append(Step(n=name, at=at, text=text, note=note, slot=slot))
    if all_alike and steps:
        steps[0] = replace(steps[0], note=f"accepted by {signers[0]}, as are the others")
    return tuple(steps)


def closed_by_survey(given: Given) -> dict[str, list[NotJudged]]:
    """The cautions that the survey's readings close, by number: at whose tick behind them."""
    closed = {}
    for name, found in _numbered(given):
        if any(f.accepted is None for f in found) and _by_survey(given, found):
            closed[name] = [left for f in found for left in _ticked_with(given, f)]
    return closed


def _numbered(given: Given) -> Iterator[tuple[str, list[Finding]]]:
    """The cautions of each step under its number, `C2-11`."""
    n = 1
    for found in sorted(_together(given.cautions), key=lambda found: _rank(given, found)):
        last = n + len(found) - 1
        yield f"C{n}" if last == n else f"C{n}-{last}", found
        n = last + 1


def _by_survey(given: Given, found: Sequence[Finding]) -> bool:
    """Whether the readings before the cut close each of some cautions, behind which it is asked."""
    return all(_ticked_with(given, finding) for finding in found)


def _ticked_with(given: Given, finding: Finding) -> list[NotJudged]:
    """What the survey has a tick for that closes a caution as well; none where it closes none."""
    told = [left for left in given.not_judged if points_told(given, left)]
    subject = set(finding.subject)
    if finding.rule == "terminators-unknown":
        pairs = [{row.red, row.black} for row in pair_rows(given, finding.subject)]
        known = any(set(left.subject) == subject for left in told)
        return [left for left in told if set(left.subject) in pairs] if known else []
    act = ACTS.get(finding.rule)
    if act is None or not act.by_reading:
        return []
    return [left for left in told if left.by_reading and subject <= set(left.subject)]


def _read_here(given: Given, found: Sequence[Finding]) -> str:
    """Where the survey reads what some cautions ask for, and which contacts a name closes."""
    subject = [point for finding in found for point in finding.subject]
    if found[0].rule == "terminators-unknown":
        rows = [row for finding in found for row in pair_rows(given, finding.subject)]
        named = (f"S{row.n} in the unit" if row.at_unit else f"S{row.n}" for row in rows)
        return f"read at {' and '.join(named)}; {TICKED}"
    untold = [point for point in subject if not is_told(given, (point,))]
    where = "at its joint" if set(untold) <= set(named_first(given)) else "below"
    by_name = BY_NAME.format(points=few(untold), where=where) if untold else ""
    return "; ".join(filter(None, (f"read in the survey, {TICKED}", by_name)))


def _together(cautions: Sequence[Finding]) -> list[list[Finding]]:
    """The cautions that share a step: those of one rule, unless each says what belongs together."""
    by_rule: dict[tuple[str, ...], list[Finding]] = {}
    for finding in cautions:
        alone = finding.subject if finding.rule in EACH else ()
        by_rule.setdefault((finding.rule, *alone), []).append(finding)
    return list(by_rule.values())


def _signers(found: Sequence[Finding]) -> list[str]:
    """Who accepted, and when; an empty word where some are not accepted."""
    return sorted({f"{f.accepted.by} {f.accepted.date}" if f.accepted else "" for f in found})


def _told(found: Sequence[Finding]) -> str:
    """The words of a step: a finding's own, or where several of its rule hold."""
    first = found[0]
    if first.rule in EACH and first.subject:
        return "alike in colour as told under its face"
    return _single(first) if len(found) == 1 else _several(first.rule, found)


def _looked_for_at(found: Sequence[Finding]) -> str:
    """The end at whose face a caution is looked for; empty for one of the whole job."""
    first = found[0]
    if first.rule in EACH and first.subject:
        return Address.read(first.subject[0]).end
    return ""


def _rank(given: Given, found: Sequence[Finding]) -> int:
    """Those of the whole job first, then end after end as their faces follow on paper."""
    at = _looked_for_at(found)
    return SIDE_RANK[given.job.ends[at].side] + 1 if at in given.job.ends else 0


def _single(finding: Finding) -> str:
    text = finding.message.rstrip(".")
    if finding.subject and not text.startswith(finding.subject[0]):
        return f"{listed(*finding.subject)}: {text}"
    return text


def _several(rule: str, found: Sequence[Finding]) -> str:
    subjects = [" and ".join(f.subject[:3]) for f in found]
    return f"{rule.replace('-', ' ')}: {'; '.join(subjects)}"


def _standing(found: Sequence[Finding], *, all_alike: bool) -> str:
    """Who accepted these cautions, and how many are not accepted."""
    told = ""
    signed = listed(*_signers(found))
    if signed and not all_alike:
        told += f" (accepted: {signed})"
    not_accepted = sum(f.accepted is None for f in found)
    if not_accepted == len(found):
        return f"{told} (not signed yet)"
    if not_accepted:
        return f"{told} ({not_accepted} not signed yet)"
    return told


def _act(given: Given, found: Sequence[Finding]) -> str:
    act = ACTS.get(found[0].rule)
    if act is None:
        fixes = {f.on_paper for f in found}
        return found[0].on_paper.rstrip(".") if len(fixes) == 1 else ""
    if act.or_signed and all(f.accepted is not None for f in found):
        return ""
    subject = [point for finding in found for point in finding.subject]
    untold = [point for point in subject if not is_told(given, (point,))]
    if act.by_reading and untold:
        return f"{act.words}; {SIGN_ALONE.format(points=few(untold))}"
    if found[0].rule == "coil-without-clamp":
        return f"{act.words}, {_diode(given, found)}"
    return act.words


def _diode(given: Given, found: Sequence[Finding]) -> str:
    """What a diode across a coil bears, and which way round it lies: by how its output switches."""
    volts = given.job.supply.volts
    bears = f" and {number(volts * CLAMP_REVERSE)} V or more" if volts else ""
    ways: dict[str, list[str]] = {}
    for finding in found:
        output = given.harness.points[Address.read(finding.subject[0])]
        ways.setdefault(CATHODES.get(output.function, SUPPLIER), []).append(output.address)
    named = ways.items() if len(ways) > 1 else [(way, []) for way in ways]
    lies = (spaced(way, f"({few(points)})" if points else "") for way, points in named)
    return f"of its current{bears}, cathode to {' or '.join(lies)}"
