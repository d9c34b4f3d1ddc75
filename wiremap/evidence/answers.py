"""Which entries of the notebooks count: the last decided answers about what still stands."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from wiremap.base import Accepted
from wiremap.evidence.allowed import undecided
from wiremap.evidence.cavity_lookup import about_of, cavity_of, claim_of, spoken_of
from wiremap.evidence.cavity_prints import Look, all_prints, look_of
from wiremap.evidence.not_counted import bad_answer
from wiremap.evidence.overlay import laid_over
from wiremap.graph import cavity_fingerprint
from wiremap.model import (
    Address,
    Cavity,
    Claim,
    Entry,
    EntryKind,
    Job,
    says_what,
)
from wiremap.trade.functions import normalise


@dataclass(frozen=True, slots=True)
class StaleAnswer:
    """An entry that speaks of something as it no longer stands, and what changed."""

    entry: Entry
    subject: tuple[str, ...]
    why: str


@dataclass(frozen=True, slots=True)
class Disagreement:
    """A cavity on whose function sources differ; `settled`: the named answer that settles it."""

    address: str
    claims: tuple[Claim, ...]
    settled: Entry | None


def entries(job: Job, *kinds: str) -> Iterator[Entry]:
    """The entries of these kinds in the order they were written."""
    return (entry for entry in job.entries if entry.kind in kinds)


def answers(job: Job) -> dict[str, Entry]:
    """The last decided, fresh answer about each thing, by the address it speaks of.

    In the order in which they were given last, as they are laid over the files in it; the same
    function answered again keeps its place.
    """
    found: dict[str, Entry] = {}
    prints = _prints(job)
    for entry in entries(job, EntryKind.ANSWER):
        if not _decided(job, entry) or not _fresh(job, entry, prints):
            continue
        old = found.get(entry.about)
        again = old is not None and old.answer == entry.answer
        if not again or entry.about != spoken_of(job, entry):
            found.pop(entry.about, None)
        found[entry.about] = entry
    return found


def answer(job: Job, about: str) -> Entry | None:
    """The answer that holds about one thing (`gateway.TA`, `donor.18`, `loom.1.amps`), if any."""
    return answers(job).get(about)


def called_unused(job: Job) -> set[str]:
    """The contacts that an answer calls unused; a meter may say otherwise."""
    found = set()
    for about in answers(job):
        known = cavity_of(job, about)
        if known is not None and known.cavity.unused:
            found.add(about)
    return found


def unusable(job: Job) -> tuple[tuple[Entry, str], ...]:
    """Answers that say nothing their question allows, and why; they do not count."""
    found = []
    for entry in entries(job, EntryKind.ANSWER):
        why = bad_answer(job, entry)
        if why is not None:
            found.append((entry, why))
    return tuple(found)


def acceptances(job: Job) -> dict[tuple[str, tuple[str, ...]], Accepted]:
    """Every signature by rule and sorted subject; one without who, when or why is left out."""
    found = {}
    for entry in entries(job, EntryKind.ACCEPT):
        if entry.by.strip() and entry.date.strip() and says_what(entry.why):
            signed = Accepted(entry.by, entry.date, entry.why)
            found[entry.rule, tuple(sorted(entry.subject))] = signed
    return found


def disagreements(job: Job) -> tuple[Disagreement, ...]:
    """Every cavity on whose function its sources differ, before or after `settle`."""
    settled = answers(job)
    found = []
    for end in job.ends.values():
        for cavity in end.pinout.cavities.values():
            if not cavity.also:
                continue
            claims = (claim_of(end, cavity), *cavity.also)
            if len({claim.reading.function for claim in claims} - {"unknown"}) > 1:
                address = Address(end.name, cavity.name)
                entry = settled.get(address) or settled.get(f"{address}.function")
                named = entry if entry is not None and _names_function(entry) else None
                found.append(Disagreement(address, claims, named))
    return tuple(found)


def _names_function(entry: Entry) -> bool:
    return bool(entry.by.strip()) and normalise(entry.answer) is not None


def stamp(filed: Job, entry: Entry) -> Entry:
    """The entry with the fingerprint of its cavity; `filed` is the job as its files say it.

    What an answer changed is no part of the fingerprint, so that the answer can be taken back.
    """
    known = cavity_of(filed, spoken_of(filed, entry))
    return entry if known is None else replace(entry, of=cavity_fingerprint(known.cavity))


# -- freshness ------------------------------------------------------------------------------------


def stale(job: Job) -> tuple[StaleAnswer, ...]:
    """Answers and survey readings whose cavity has changed in its file since they were written."""
    prints = _prints(job)
    found = []
    for entry in entries(job, EntryKind.ANSWER, EntryKind.SURVEY):
        if not _fresh(job, entry, prints):
            about = about_of(entry)
            cavity = spoken_of(job, entry) or about
            why = f"function, volts or wire colour of {cavity} changed since {entry.date}"
            found.append(StaleAnswer(entry, (about,), why))
    return tuple(found)


def compared(job: Job) -> Job:
    """The job whose entries have been held against its files: `of` stays on those that do not fit.

    It is done before any answer is laid over the files: afterwards nobody could tell any more what
    an entry was written about.
    """
    prints = _prints(job)
    if not prints:
        return job

    def held(entry: Entry) -> Entry:
        if entry.of is None or entry.kind not in (EntryKind.ANSWER, EntryKind.SURVEY):
            return entry
        return replace(entry, of=None) if _fresh(job, entry, prints) else entry

    notebooks = (replace(n, entries=tuple(map(held, n.entries))) for n in job.notebooks)
    return replace(job, notebooks=tuple(notebooks))


def _decided(job: Job, entry: Entry) -> bool:
    return not undecided(entry.answer) and bad_answer(job, entry) is None


def _fresh(job: Job, entry: Entry, prints: Mapping[str, frozenset[str]]) -> bool:
    """Whether an entry speaks of its cavity as it stands; one without a fingerprint does."""
    if entry.of is None:
        return True
    address = spoken_of(job, entry)
    return entry.of in prints[address] if address else entry.kind == EntryKind.ANSWER


def _prints(job: Job) -> Mapping[str, frozenset[str]]:
    """By address, the fingerprints of each cavity that a stamped entry speaks of: as its file says
    it, and as answers made it.
    """
    said: dict[str, list[Entry]] = {}
    stamped: dict[str, None] = {}
    for entry in entries(job, EntryKind.ANSWER, EntryKind.SURVEY):
        address = spoken_of(job, entry)
        if not address:
            continue
        if entry.of is not None:
            stamped[address] = None
        if entry.kind == EntryKind.ANSWER and _decided(job, entry):
            said.setdefault(address, []).append(entry)
    return {address: _made(job, address, said.get(address, [])) for address in stamped}


def _made(job: Job, address: str, said: list[Entry]) -> frozenset[str]:
    """Fingerprints of a cavity under its claims and under what the answers that count make of it.

    An entry may have been stamped while earlier answers lay over the file: it counts if those do.
    """
    known = cavity_of(job, address)
    assert known is not None
    now = known.cavity
    looks = [
        look_of(now),
        *(Look(c.reading.function, now.volts, now.wire) for c in now.also),
    ]
    waiting = [(entry, _look_after(job, address, entry)) for entry in said]
    written = {e.of for e in said if e.of is not None and _is_now_in_file(e, address, now)}
    while True:
        prints = all_prints(now, looks) | written
        counting = [look for entry, look in waiting if entry.of is None or entry.of in prints]
        if not counting:
            return prints
        waiting = [
            (entry, look)
            for entry, look in waiting
            if entry.of is not None and entry.of not in prints
        ]
        looks += counting


def _is_now_in_file(entry: Entry, address: str, now: Cavity) -> bool:
    """Whether the file has come to say what an answer said of the function: it changes nothing."""
    if now.reading.how == "answer" or entry.about not in (address, f"{address}.function"):
        return False
    return normalise(entry.answer.strip()) == now.function


def _look_after(job: Job, address: str, entry: Entry) -> Look:
    changed = cavity_of(laid_over(job, entry.about, entry), address)
    assert changed is not None
    return look_of(changed.cavity)
