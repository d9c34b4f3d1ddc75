"""What a named person has answered that the words of a contact mean (`old.3.means`)."""

from __future__ import annotations

from wiremap.model import Cavity, Entry, says_what
from wiremap.trade.dangers import NamedDanger, Treatment, acting_in

MEANS = ".means"  # behind a contact: what its words mean is spoken of


def meant_by(entry: Entry, signal: str) -> str:
    """What an answer says beyond the paper's own words, which it may repeat."""
    return _beyond(entry.answer, signal)


def _beyond(answer: str, signal: str) -> str:
    said, words = answer.casefold(), signal.strip().casefold()
    return said.replace(words, " ").strip() if words else said


def explains(entry: Entry, signal: str) -> bool:
    """Whether an answer says, by name and with the reason, that the words mean no danger.

    One that names a danger itself takes none away.
    """
    said = meant_by(entry, signal)
    if not says_what(said) or acting_in(said):
        return False
    return bool(entry.by.strip()) and says_what(entry.how or entry.why)


def still_named(cavity: Cavity, answer: str) -> NamedDanger | None:
    """The danger in a contact's own words that an answer about them names too.

    None where the answer takes the danger away, or names another one.
    """
    signals = (cavity.signal, *(claim.signal for claim in cavity.also))
    own = {danger.kind for signal in signals for danger in acting_in(signal)}
    said = acting_in(_beyond(answer, cavity.signal))
    if any(danger.kind not in own for danger in said):
        return None
    return next((each for each in said if each.treatment is Treatment.LICENSED), None)
