"""Where a file and the notebook state two values for one thing."""

from __future__ import annotations

from typing import Any

from wiremap.evidence.allowed import WORDS
from wiremap.evidence.overlay import NUMBERS
from wiremap.evidence.supply_answered import FED
from wiremap.files.wires import same_wire
from wiremap.model import End, Entry, Job, Replaced, Wire, split

OF_CAVITY = frozenset({"pair", "chain", "wire", "volts"}) | NUMBERS | WORDS.keys()  # keys


def replaced_by(job: Job, about: str, entry: Entry, after: Job) -> Replaced | None:
    """What an answer took the place of; None if the file stated nothing there, or the same."""
    was = stated(job, about)
    now = stated(after, about)
    if was is None or _agree(was, now):
        return None
    return Replaced(about=about, paper=_shown(was), answer=_shown(now), entry=entry)


def stated(job: Job, about: str) -> Any:
    """The value that stands about one thing; None if there is none, or the thing is a function."""
    owner, rest = split(about)
    if owner == "supply":
        return getattr(job.supply, rest, None)
    if owner == "surroundings":
        return getattr(job.surroundings, rest, None)
    if owner not in job.ends:
        return None
    return _at_end(job.ends[owner], rest)


def _at_end(end: End, rest: str) -> Any:
    if rest in end.switches:
        return end.switches[rest]
    if rest == "tail_mm":
        return end.tail_mm
    if rest == "face.view":
        face = end.pinout.connector.face
        return face.view if face else None
    name, _, key = rest.partition(".")
    fed = end.fed.get(name)
    if key in FED:
        return getattr(fed, key) if fed else None
    cavity = end.pinout.cavities.get(name)
    if cavity is None or key not in OF_CAVITY:
        return None
    if key == "need" and key not in cavity.places:  # it follows from the function
        return None
    return getattr(cavity, key)


def _agree(was: Any, now: Any) -> bool:
    """Whether two values say the same; of a wire, what one leaves out does not contradict."""
    if not isinstance(was, Wire) or not isinstance(now, Wire):
        return bool(was == now)
    return same_wire(was, now)


def _shown(value: Any) -> str:
    if isinstance(value, float):
        return f"{value:g}"
    written = getattr(value, "written", None)
    return str(written if written is not None else value)
