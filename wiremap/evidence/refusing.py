"""Why an answer cannot be kept, and an example of one that can."""

from __future__ import annotations

import re
from typing import NamedTuple

from wiremap.evidence.allowed import allowed, undecided
from wiremap.evidence.allowed_forms import Allowed
from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.confirmed import asks_partner_of
from wiremap.evidence.explained import MEANS, still_named
from wiremap.evidence.new_wires import NEW_WIRE, wrong_wire
from wiremap.evidence.not_partners import not_partners
from wiremap.evidence.parts_told import FORM, TELLS, form_asked, lead_of
from wiremap.evidence.told_faces import wrong_face
from wiremap.model import Address, Job, split
from wiremap.naming import read_signal

WORDS = re.compile(r"[^\W\d_]{3}")  # letters in a row, as no figure and no address has
SHOWN = 60  # characters of an answer that is told back


class Refusal(NamedTuple):
    """Why an answer cannot be kept, and what to do: mostly an example of one that can."""

    why: str
    fix: str


def refusal(job: Job, about: str, text: str) -> Refusal | None:
    """Why an answer cannot be kept; None if it can."""
    known = allowed(job, about)
    if known is None:
        return Refusal(
            f"nothing is asked about {about!r}: `{short(text)}` was not kept",
            _of_part(job, about) or "see `wiremap next FILE --full` for what can be answered",
        )
    if undecided(text) or known.fits(text.strip()):
        return _changes_nothing(job, about, text)
    wrong = wrong_face(job, about, text) or wrong_wire(about, text)
    example = _read_as(job, about, text, known) or f"{known.example}{wrong}"
    return Refusal(no_answer(job, about, text, known), f"as: {example}")


def _of_part(job: Job, about: str) -> str:
    """What can be answered of a part of the job; empty where no part is spoken of."""
    part = job.extras.get(split(about)[0])
    if part is None:
        return ""
    figures = [f"{part.name}.{TELLS[part.kind]}"] if part.kind in TELLS else []
    figures += [f"{part.name}.{FORM}"] if form_asked(job, f"{part.name}.{FORM}") else []
    wires = [f"{leg}{NEW_WIRE}" for leg in part.legs if lead_of(job, f"{leg}{NEW_WIRE}")]
    asked = " or ".join((*figures, *wires))
    return f"say which: --about {asked}" if asked else ""


def _read_as(job: Job, about: str, text: str, known: Allowed) -> str:
    """The function that words about a contact read as, and how words are told; empty for others."""
    if cavity_of(job, about) is None or not WORDS.search(text):
        return ""
    words = f'to tell what its words mean: --about {about}{MEANS} --answer "{short(text)}"'
    read = read_signal(text).function
    example = known.example if read == "unknown" else f"{read}, as which these words read"
    return f"{example}; {words}"


def _changes_nothing(job: Job, about: str, text: str) -> Refusal | None:
    """Why words that deny a danger by naming it leave a contact as it is, and what counts."""
    address = about.removesuffix(MEANS)
    known = cavity_of(job, address) if about.endswith(MEANS) else None
    named = still_named(known.cavity, text) if known is not None else None
    if named is None:
        return None
    kind = named.kind.replace("-", " ")
    why = f"`{short(text)}` names {kind} itself (`{named.said}`): {address} would hold as before"
    return Refusal(
        why,
        "say what it is in other words, as `rocker switch`; or a licensed person says "
        f"its function: wiremap next JOB --about {address} --answer digital-input "
        '--licensed WHICH --how "..." --by NAME',
    )


def no_answer(job: Job, about: str, text: str, known: Allowed) -> str:
    """That a text is no answer, and what would be one."""
    wrong = _wrong_partner(job, about, text)
    if wrong:
        return f"`{short(text)}` is not kept about {about}: {wrong}"
    told = f"allowed are {known.words}, or don't know"
    return f"`{short(text)}` is no answer about {about}: {told}"


def short(text: str) -> str:
    """An answer as it is told back."""
    return text if len(text) <= SHOWN else text[: SHOWN - 3] + "..."


def _wrong_partner(job: Job, about: str, text: str) -> str:
    """Why a contact is no partner of the other; empty for any other answer."""
    point = asks_partner_of(about)
    if point is None:
        return ""
    return not_partners(job, point, Address.read(text.strip()))
