"""The notebook's answers, laid over what the files say; nothing is overwritten, every claim is kept."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from types import MappingProxyType
from typing import Any

from wiremap.base import Accepted, Place
from wiremap.evidence.allowed import FIGURES, NUMBER, YES, bad_answer, figures, undecided
from wiremap.files.wires import BadWire, parse_wire
from wiremap.graph import cavity_fingerprint
from wiremap.model import (
    Address,
    AsFound,
    Basis,
    Cavity,
    Claim,
    Confirmed,
    End,
    EndKind,
    Entry,
    Fed,
    Flow,
    Job,
    LookedAt,
    Need,
    Notebook,
    OnOff,
    Pinout,
    Side,
    Span,
    Supply,
    Surroundings,
    Wire,
    frozen,
    split,
)
from wiremap.naming import Meaning
from wiremap.trade.functions import normalise

NUMBERS = frozenset({"amps", "peak_amps", "asleep_amps", "kbit_s", "volts_ac"})
NAMES = frozenset({"pair", "chain"})
WORDS: Mapping[str, type[StrEnum]] = MappingProxyType(
    {"flow": Flow, "need": Need, "as_found": AsFound}
)


@dataclass(frozen=True, slots=True)
class Stale:
    """An entry that speaks of something as it no longer stands, and what changed."""

    entry: Entry
    subject: tuple[str, ...]
    why: str


@dataclass(frozen=True, slots=True)
class Disagreement:
    """A cavity on whose function its sources differ; `settled` is the named answer that settles it, if any."""

    address: str
    claims: tuple[Claim, ...]
    settled: Entry | None


def entries(job: Job, *kinds: str) -> Iterator[Entry]:
    """The entries of these kinds in the order they were written."""
    for notebook in job.notebooks:
        for entry in notebook.entries:
            if entry.kind in kinds:
                yield entry


def answers(job: Job) -> dict[str, Entry]:
    """The last decided, fresh answer about each thing, by the address it speaks of."""
    found: dict[str, Entry] = {}
    prints = _prints(job)
    for entry in entries(job, "answer"):
        if _decided(job, entry) and _fresh(job, entry, prints):
            old = found.get(entry.about)
            if old is None or old.answer != entry.answer or entry.about != spoken_of(job, entry):
                found.pop(
                    entry.about, None
                )  # laid over in the order of the last words; a function said again moves nothing
            found[entry.about] = entry
    return found


def answer(job: Job, about: str) -> Entry | None:
    """The answer that holds about one thing (`gateway.TA`, `donor.18`, `loom.1.amps`), if there is one."""
    return answers(job).get(about)


def unusable(job: Job) -> tuple[tuple[Entry, str], ...]:
    """Answers of the notebooks that say nothing their question allows, and why; they do not count and are asked again."""
    return tuple(
        (e, why) for e in entries(job, "answer") if (why := bad_answer(job, e)) is not None
    )


def acceptances(job: Job) -> dict[tuple[str, tuple[str, ...]], Accepted]:
    """Every signature of the notebook by rule and sorted subject; one without who, when or why is left out."""
    return {
        (e.rule, tuple(sorted(e.subject))): Accepted(e.by, e.date, e.why)
        for e in entries(job, "accept")
        if e.by.strip() and e.date.strip() and e.why.strip()
    }


def cavity_of(job: Job, address: str) -> tuple[End, Cavity] | None:
    """The end and cavity of an address, if the job has them."""
    owner, rest = split(address)
    end = job.ends.get(owner)
    cavity = end.pinout.cavities.get(rest) if end else None
    return (end, cavity) if end and cavity else None


def fingerprints(cavity: Cavity) -> frozenset[str]:
    """The fingerprints a cavity had under any of the claims that are still kept on it."""
    readings = [cavity.reading, *(c.reading for c in cavity.also)]
    return frozenset(cavity_fingerprint(replace(cavity, reading=r)) for r in readings)


def spoken_of(job: Job, entry: Entry) -> str:
    """The address of the cavity that an answer or a survey reading speaks of; empty if it speaks of none."""
    address = entry.about if entry.kind == "answer" else next(iter(entry.red), "")
    owner, rest = split(address)
    end = job.ends.get(owner)
    cavities = end.pinout.cavities if end else {}
    name = rest if rest in cavities else rest.partition(".")[0]
    return f"{owner}.{name}" if name in cavities else ""


def stamp(filed: Job, entry: Entry) -> Entry:
    """The entry with the fingerprint of its cavity; `filed` is the job as its files say it, no notebook laid over it.

    What an answer changed is no part of the fingerprint, so that the answer can be taken back.
    """
    known = cavity_of(filed, spoken_of(filed, entry))
    return entry if known is None else replace(entry, of=cavity_fingerprint(known[1]))


def _decided(job: Job, entry: Entry) -> bool:
    return not undecided(entry.answer) and bad_answer(job, entry) is None


def _prints(job: Job) -> Mapping[str, frozenset[str]]:
    """By address, the fingerprints of each cavity that a stamped entry speaks of: as the file says it, and as answers made it."""
    said: dict[str, list[Entry]] = {}
    stamped: dict[str, None] = {}
    for entry in entries(job, "answer", "survey"):
        address = spoken_of(job, entry)
        if address and entry.of is not None:
            stamped[address] = None
        if address and entry.kind == "answer" and _decided(job, entry):
            said.setdefault(address, []).append(entry)
    return {address: _made(job, address, said.get(address, [])) for address in stamped}


def _made(job: Job, address: str, said: list[Entry]) -> frozenset[str]:
    """Fingerprints of a cavity under every claim kept on it and under what the answers about it that count make of it.

    An entry may have been stamped while earlier answers lay over the file: it counts if those count.
    """
    known = cavity_of(job, address)
    assert known is not None
    makes = [
        _look(cavity)
        for _, cavity in filter(None, (cavity_of(_apply(job, e.about, e), address) for e in said))
    ]
    now = known[1]
    functions, volts, wires = (
        {now.function, *(c.reading.function for c in now.also)},
        {now.volts},
        {now.wire},
    )
    waiting = list(zip(said, makes, strict=True))
    while True:
        prints = frozenset(
            cavity_fingerprint(replace(now, reading=Meaning(f), volts=v, wire=w))
            for f in functions
            for v in volts
            for w in wires
        )
        counting = [made for e, made in waiting if e.of is None or e.of in prints]
        if not counting:
            return prints
        waiting = [(e, made) for e, made in waiting if e.of is not None and e.of not in prints]
        for function, span, wire in counting:
            functions.add(function)
            volts.add(span)
            wires.add(wire)


def _look(cavity: Cavity) -> tuple[str, Span | None, Wire | None]:
    return cavity.function, cavity.volts, cavity.wire


def _fresh(job: Job, entry: Entry, prints: Mapping[str, frozenset[str]]) -> bool:
    """Whether an entry speaks of its cavity as it stands; one about no cavity, or without a fingerprint, does."""
    if entry.of is None:
        return True
    address = spoken_of(job, entry)
    return entry.of in prints[address] if address else entry.kind == "answer"


def stale(job: Job) -> tuple[Stale, ...]:
    """Answers and survey readings whose cavity has changed in its file since they were written."""
    prints = _prints(job)
    found = []
    for entry in entries(job, "answer", "survey"):
        if not _fresh(job, entry, prints):
            address = entry.about if entry.kind == "answer" else next(iter(entry.red), "")
            found.append(
                Stale(
                    entry,
                    (address,),
                    f"function, volts or wire of {spoken_of(job, entry) or address} changed since {entry.date}",
                )
            )
    return tuple(found)


def _compared(job: Job) -> Job:
    """The job whose entries have been held against its files: the fingerprint stays on those that do not fit.

    It is done before any answer is laid over the files, for afterwards they can no longer be told apart.
    """
    prints = _prints(job)
    if not prints:
        return job

    def held(entry: Entry) -> Entry:
        fits = (
            entry.kind in ("answer", "survey")
            and entry.of is not None
            and _fresh(job, entry, prints)
        )
        return replace(entry, of=None) if fits else entry

    return replace(
        job, notebooks=tuple(replace(n, entries=tuple(map(held, n.entries))) for n in job.notebooks)
    )


def disagreements(job: Job) -> tuple[Disagreement, ...]:
    """Every cavity on whose function its sources differ, before or after `settle`."""
    settled = answers(job)
    found = []
    for end in job.ends.values():
        for cavity in end.pinout.cavities.values():
            first = Claim(
                reading=cavity.reading,
                basis=cavity.basis,
                source=cavity.source,
                place=cavity.place or Place(end.pinout.path),
                signal=cavity.signal,
            )
            claims = (first, *cavity.also)
            if len({c.reading.function for c in claims} - {"unknown"}) > 1:
                address = f"{end.name}.{cavity.name}"
                entry = settled.get(address) or settled.get(f"{address}.function")
                named = (
                    entry is not None
                    and bool(entry.by.strip())
                    and normalise(entry.answer) is not None
                )
                found.append(Disagreement(address, claims, entry if named else None))
    return tuple(found)


def alone(
    pinout: Pinout,
    notebooks: tuple[Notebook, ...] = (),
    name: str = "end",
    side: Side = Side.MACHINE,
) -> Job:
    """A job of one pinout, to be surveyed and asked about; bare cavities in its notebooks get the end's name."""
    end = End(name=name, pinout=pinout, kind=EndKind.CUT_TAIL, side=side)
    named = tuple(
        replace(n, entries=tuple(_named(e, pinout, name) for e in n.entries)) for n in notebooks
    )
    return Job(
        title=pinout.title, path=pinout.path, ends=frozen({name: end}), circuits=(), notebooks=named
    )


def _named(entry: Entry, pinout: Pinout, name: str) -> Entry:
    def full(text: str) -> Address:
        known = (
            text in pinout.cavities
            or text in pinout.switches
            or Address.read(text).end in pinout.cavities
        )
        return Address(name, text) if known else Address.read(text)

    return replace(
        entry,
        about=str(full(entry.about)),
        red=tuple(map(full, entry.red)),
        black=tuple(map(full, entry.black)),
        subject=tuple(map(full, entry.subject)),
    )


# -- laying over ----------------------------------------------------------------------------------


def settle(job: Job) -> Job:
    """The job with its notebooks' answers and judged survey readings applied; notebooks and claims are kept.

    An answer about a cavity names its function (`loom.12: analogue-input`) or one key of it (`loom.1.amps: 3`); about
    `end.SWITCH` it says on or off; about a circuit's id it confirms the circuit; further `end.tail_mm`,
    `supply.volts`, `surroundings.wet` and their like.  An entry that fits its file carries no fingerprint afterwards: it
    has been compared.  Running it twice changes nothing more.
    """
    from wiremap.evidence.weigh import measured_addresses

    job = _compared(job)
    for about, entry in answers(job).items():
        job = _apply(job, about, entry)
    for address in measured_addresses(job):
        job = _with_cavity(job, address, basis="measured")
    return job


def _apply(job: Job, about: str, entry: Entry) -> Job:
    owner, rest = split(about)
    text = entry.answer.strip()
    if owner in job.ends:
        return _apply_end(job, job.ends[owner], rest, text, entry)
    if any(c.id == about for c in job.circuits):
        if text.casefold() in YES and entry.by.strip():
            known = Confirmed(
                circuit=about, by=entry.by, date=entry.date, how=entry.how, place=entry.place
            )
            return (
                job if known in job.confirmed else replace(job, confirmed=(*job.confirmed, known))
            )
        return job
    if (
        owner == "supply"
        and rest in Supply.__dataclass_fields__
        and (v := number(text)) is not None
    ):
        return replace(job, supply=_with(job.supply, rest, v))
    if owner == "surroundings":
        return replace(job, surroundings=_surroundings(job.surroundings, rest, text))
    return job


def _surroundings(known: Surroundings, key: str, text: str) -> Surroundings:
    if key == "wet" and text.casefold() in ("yes", "no", "true", "false"):
        return replace(known, wet=text.casefold() in ("yes", "true"))
    if key == "moves":
        return replace(known, moves=text)
    value = number(text)
    if value is not None and key == "ambient_C":
        return replace(known, ambient_C=value)
    if value is not None and key == "bundle" and value >= 1:
        return replace(known, bundle=int(value))
    return known


def _apply_end(job: Job, end: End, rest: str, text: str, entry: Entry) -> Job:
    pinout = end.pinout
    if rest in pinout.switches:
        if text.casefold() in ("on", "off"):
            return _with_end(
                job, replace(end, switches=frozen({**end.switches, rest: OnOff(text.casefold())}))
            )
        return job
    if rest in pinout.cavities:
        return _function(job, end, pinout.cavities[rest], text, entry)
    name, _, key = rest.partition(".")
    if name in pinout.cavities:
        return _cavity_key(job, end, name, key, text, entry)
    if rest == "tail_mm" and (value := number(text)) is not None:
        return _with_end(job, replace(end, tail_mm=value))
    if (
        rest == "face.view"
        and text.casefold() in ("mating", "wire-entry")
        and pinout.connector.face
    ):
        face = replace(pinout.connector.face, view=LookedAt(text.casefold()))
        return _with_end(
            job,
            replace(end, pinout=replace(pinout, connector=replace(pinout.connector, face=face))),
        )
    return job


def _function(job: Job, end: End, cavity: Cavity, text: str, entry: Entry) -> Job:
    slug = normalise(text)
    if slug is None or not entry.by.strip():
        return job
    address = f"{end.name}.{cavity.name}"
    place = entry.place or cavity.place or Place(end.pinout.path)
    old = Claim(
        reading=cavity.reading,
        basis=cavity.basis,
        source=cavity.source,
        place=cavity.place or place,
        signal=cavity.signal,
    )
    claims = (old, *cavity.also)
    same = [c for c in claims if c.reading.function == slug]
    seen = entry.volts is not None or entry.ohms is not None
    basis = max(
        [*(c.basis for c in same), Basis.MEASURED if seen else Basis.TOLD],
        key=lambda basis: basis.rank,
    )
    stated = (
        same[0].reading
        if same
        else Meaning(slug, how="answer", because=(f"{entry.by}: {entry.how or text}",))
    )
    kept = tuple(c for c in claims if c.reading.function != slug)
    source = same[0].source if same else f"{entry.by}, {entry.date}"
    said = next((c.signal for c in same if c.signal), "")
    if not said and slug != cavity.function and cavity.signal:
        said = f"{slug} (paper: {cavity.signal})"  # the old name would tell the reader of another signal
    return _with_cavity(
        job,
        address,
        reading=replace(stated, settled=True),
        basis=basis,
        source=source,
        also=kept,
        signal=said or cavity.signal,
    )


def _cavity_key(job: Job, end: End, name: str, key: str, text: str, entry: Entry) -> Job:
    address = f"{end.name}.{name}"
    if key == "function":
        return _function(job, end, end.pinout.cavities[name], text, entry)
    if key == "volts" and (span := figures(text, FIGURES["volts"])) is not None:
        return _with_cavity(job, address, volts=span)
    if key in NUMBERS and (value := number(text)) is not None:
        return _with_cavity(job, address, **{key: value})
    if key in ("fuse_amps", "found_amps") and (value := number(text)) is not None:
        known = end.fed.get(name, Fed(cavity=name))
        fed = (
            replace(known, fuse_amps=value)
            if key == "fuse_amps"
            else replace(known, found_amps=value)
        )
        return _with_end(job, replace(end, fed=frozen({**end.fed, name: fed})))
    if key == "wire" and not isinstance(wire := parse_wire(text, None, None), BadWire):
        return _with_cavity(job, address, wire=wire)
    if key in NAMES or key in WORDS:
        return _with_cavity(
            job, address, **{key: WORDS[key](text.casefold()) if key in WORDS else text}
        )
    if key == "basis" and text in tuple(Basis) and entry.by.strip():
        return _with_cavity(job, address, basis=Basis(text))
    return job


def _with_end(job: Job, end: End) -> Job:
    return replace(job, ends=frozen({**job.ends, end.name: end}))


def _with_cavity(job: Job, address: str, **changes: Any) -> Job:
    owner, name = split(address)
    end = job.ends[owner]
    cavities: Mapping[str, Cavity] = {
        n: replace(c, **changes) if n == name else c for n, c in end.pinout.cavities.items()
    }
    return _with_end(job, replace(end, pinout=replace(end.pinout, cavities=frozen(cavities))))


def _with(known: Supply, key: str, value: float) -> Supply:
    return replace(known, **{key: value}) if key != "place" else known  # type: ignore[arg-type]


def number(text: str) -> float | None:
    """A number written with a point or a comma and perhaps a unit behind it; None if there is none."""
    found = NUMBER.fullmatch(text.strip())
    return float(found[1].replace(",", ".")) if found else None
