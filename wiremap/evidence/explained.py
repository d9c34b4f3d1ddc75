"""What a named person has answered that the words of a contact mean (`old.3.means`)."""

from __future__ import annotations

from wiremap.model import Entry, says_what
from wiremap.trade.dangers import acting_in


def meant_by(entry: Entry, signal: str) -> str:
    """What an answer says beyond the paper's own words, which it may repeat."""
    answer, words = entry.answer.casefold(), signal.strip().casefold()
    return answer.replace(words, " ").strip() if words else answer


def explains(entry: Entry, signal: str) -> bool:
    """Whether an answer says, by name and with the reason, that the words mean no danger.

    One that names a danger itself takes none away.
    """
    said = meant_by(entry, signal)
    if not says_what(said) or acting_in(said):
        return False
    return bool(entry.by.strip()) and says_what(entry.how or entry.why)
