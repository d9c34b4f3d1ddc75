"""Which answers of a notebook do not count, and why: none allowed, or about what nobody reads."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from wiremap.evidence.allowed import WORDS, allowed, undecided
from wiremap.evidence.answer_figures import FIGURES
from wiremap.evidence.founded import baseless
from wiremap.evidence.refusing import no_answer, short
from wiremap.model import Entry, EntryKind, Job, split

OF_CONTACT = tuple(key for key in FIGURES if "." not in key and key != "tail_mm")
READ_ELSEWHERE = frozenset({"beeper"})  # by the ring-out
OF_SURROUNDINGS = ("surroundings.wet", "surroundings.moves")
OF_CAVITY = (
    "function",
    "means",
    "partner",
    "resistor",
    "untwisted_mm",
    "basis",
    "wire",
    "pair",
    "chain",
    *WORDS,
    *OF_CONTACT,
)
# keys that people type, and the one that is read
MEANT: Mapping[str, str] = MappingProxyType(
    {
        "fuse": "fuse_amps",
        "csa_mm2": "wire",
        "csa": "wire",
        "size": "wire",
        "colour": "wire",
        "bundle": "surroundings.bundle",
        "signal": "means",
    }
)


def bad_answer(job: Job, entry: Entry) -> str | None:
    """Why an answer in a notebook does not count; None if it does, or is read by the ring-out."""
    known = allowed(job, entry.about)
    if entry.kind != EntryKind.ANSWER or entry.about in READ_ELSEWHERE:
        return None
    if known is None:
        return f"nothing reads an answer about {short(entry.about)!r}: {_what_is_read(job, entry)}"
    if undecided(entry.answer):
        return None
    if known.fits(entry.answer.strip()):
        return _baseless(job, entry)
    return f"{no_answer(job, entry.about, entry.answer, known)} (as: {known.example})"


def _baseless(job: Job, entry: Entry) -> str | None:
    """Why a contact does not rest on what is said; None if the reading or the paper is told."""
    lacking = baseless(job, entry.about, entry.answer, _told(entry))
    return f"{lacking.why} ({lacking.fix})" if lacking else None


def _told(entry: Entry) -> str:
    """How an answer was found, in words, with the figures that stand beside it."""
    told = [entry.how]
    if entry.volts is not None:
        told.append(f"{entry.volts:g} V {entry.key or ''}")
    if entry.ohms is not None:
        told.append(f"{entry.ohms.low:g} ohm")
    return " ".join(told)


def _what_is_read(job: Job, entry: Entry) -> str:
    """What may be answered about the end or contact that an answer speaks of, or at all."""
    owner, rest = split(entry.about)
    name, _, key = rest.partition(".")
    end = job.ends.get(owner)
    if owner in ("supply", "surroundings"):
        keys = (known for known in (*FIGURES, *OF_SURROUNDINGS) if known.startswith(f"{owner}."))
        return f"read are {', '.join(keys)}"
    if end is None:
        ends = ", ".join(job.ends) or "none"
        meant = f"; for {owner} say {MEANT[owner]}" if owner in MEANT else ""
        return f"it is no circuit and no end of this job (ends: {ends}){meant}"
    if name in end.pinout.cavities:
        told = f" (for {key}: {MEANT[key]})" if key in MEANT else ""
        return f"of {owner}.{name} are read {', '.join(OF_CAVITY)}{told}"
    what = ", ".join((*end.pinout.switches, "tail_mm", "face.view"))
    return f"{owner} has no contact {short(name)!r}; of the end itself are read {what}"
