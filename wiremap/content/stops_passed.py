"""Which two-name stops were passed, by whom, and which are never passed alone."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from wiremap.base import Finding
from wiremap.check import Checked
from wiremap.entries.courses import since_mended
from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.graph import Harness
from wiremap.model import EndKind, Entry, Job, Stop, named_licence, same_person, says_what
from wiremap.rules.dangers import takes_licence
from wiremap.rules.registry import RULES
from wiremap.rules.view import View
from wiremap.survey.left import unread_contacts

READ_ALOUD = "alone, read aloud"  # in the place of a second name
NEEDS_LICENCE = (
    "a circuit of this job takes a licensed person, and the notebook knows no licence of either "
    "name"
)
THEIR_LICENCE = "which licence one of the two holds: what it is for, its number or who gave it"


@dataclass(frozen=True, slots=True)
class Passed:
    """A stop as its last entry tells it."""

    stop: Stop
    entry: Entry

    @property
    def words(self) -> str:
        """Who passed it, and whether alone; why something stays unread at it."""
        unread = f"; unread: {self.entry.why}" if self.entry.why else ""
        return f"{self.stop} ({self.entry.by}, {self.entry.second or READ_ALOUD}{unread})"


def passed(job: Job) -> tuple[Passed, ...]:
    """The stops that were passed, in the order of work; of several entries the last one.

    After a repair they are passed again, but for the cut.  Two names are worth more than one: who
    signs alone behind two people takes nothing from them.
    """
    found: dict[Stop, Entry] = {}
    for entry in (*_cuts(job), *since_mended(job.entries)):
        stop = entry.passes
        if stop is not None and not (entry.alone and _two_names(found.get(stop))):
            found[stop] = entry
    return tuple(Passed(stop, found[stop]) for stop in Stop if stop in found)


def passed_by_two(job: Job, stop: Stop) -> Passed | None:
    """A stop as two people passed it; None where nobody did, or one alone."""
    found = (each for each in passed(job) if each.stop == stop)
    return next((each for each in found if _two_names(each.entry)), None)


def _cuts(job: Job) -> list[Entry]:
    """Every entry that passes the stop before the cut: what is cut stays cut."""
    return [entry for entry in job.entries if entry.passes == Stop.CUT]


def _two_names(entry: Entry | None) -> bool:
    return entry is not None and not entry.alone


def why_no_stop(job: Job, stop: Stop) -> str:
    """Why a job does not come to a stop; empty where it does."""
    is_cut = any(end.kind == EndKind.CUT_TAIL for end in job.ends.values())
    if stop is Stop.CUT and not is_cut:
        return "nothing is cut"
    return "nothing is joined" if stop is Stop.SLEEVES and not job.circuits else ""


def owed_before(job: Job, stop: Stop) -> tuple[Stop, ...]:
    """The stops that come before one in the order of work and were not passed."""
    done = {each.stop for each in passed(job)}
    order = list(Stop)
    return tuple(
        each
        for each in order[: order.index(stop)]
        if each not in done and not why_no_stop(job, each)
    )


def unread_at_cut(checked: Checked) -> tuple[str, ...]:
    """The contacts that the survey reads and nobody has read, unless a person who passed the stop
    before the cut has said why.
    """
    if checked.harness is None or any(says_what(entry.why) for entry in _cuts(checked.harness.job)):
        return ()
    return unread_contacts(checked.harness)


def guard_loops(job: Job) -> tuple[str, ...]:
    """The guard loops that joined contacts belong to."""
    chains: dict[str, None] = {}
    for circuit in job.circuits:
        for address in circuit.join:
            known = cavity_of(job, address)
            if known is not None and known.cavity.chain:
                chains[known.cavity.chain] = None
    return tuple(chains)


def never_alone(harness: Harness, findings: Iterable[Finding]) -> bool:
    """Whether no stop of a job is passed alone: it has a guard loop, or takes a licensed person."""
    return bool(guard_loops(harness.job)) or _is_licensed_work(harness, findings)


def _is_licensed_work(harness: Harness, findings: Iterable[Finding]) -> bool:
    """Whether a finding is one that only a licensed person signs, or has settled by an answer."""
    if any(RULES[each.rule].licensed for each in findings if each.rule in RULES):
        return True
    return takes_licence(View(harness))


def lacks_licence(checked: Checked, names: Sequence[str], licensed: str) -> bool:
    """Whether licensed work is there and none of these people holds a licence for it, by the
    notebook or by what is said now.  A guard loop takes a second person, but no licence.
    """
    harness = checked.harness
    if harness is None or named_licence(licensed):
        return False
    if not _is_licensed_work(harness, checked.findings):
        return False
    holders = [entry.by for entry in harness.job.entries if entry.licence]
    return not any(same_person(name, holder) for name in names for holder in holders)


def job_takes_licence(checked: Checked) -> bool:
    """Whether no stop of a checked job is passed alone."""
    return checked.harness is not None and never_alone(checked.harness, checked.findings)
