"""What each wording of a pinout was read as, from what, and how surely."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from wiremap.model import Cavity, Pinout
from wiremap.trade.dangers import acting_in
from wiremap.trade.functions import called


class Surety(StrEnum):
    """How surely a function is known from a paper."""

    STATED = "stated"  # the paper or an answer names the function
    TOLD = "told"  # a mark or the words settle it
    GUESS = "guess"  # the words may mean something else, or too little
    UNKNOWN = "unknown"


WORDS = {
    Surety.STATED: "as stated",
    Surety.TOLD: "by its {how}",
    Surety.GUESS: "a guess from its {how}",
    Surety.UNKNOWN: "nothing tells",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadAs:
    """A cavity's wording, and the function that it was read as.

    `how` is stated, mark, name, answer or none; `may_be` are the other functions that the same
    words stand for, `dangers` what the words name that can hurt people.
    """

    cavity: str
    signal: str
    function: str
    how: str
    surety: Surety
    may_be: tuple[str, ...]
    because: tuple[str, ...]
    dangers: tuple[str, ...]
    wire: str

    def as_dict(self) -> dict[str, Any]:
        """As plain data."""
        return {
            "cavity": self.cavity,
            "signal": self.signal,
            "function": self.function,
            "how": self.how,
            "surety": self.surety,
            "may_be": list(self.may_be),
            "because": list(self.because),
            "dangers": list(self.dangers),
        }

    @property
    def told(self) -> str:
        """The reading in one sentence, without its cavity."""
        wire = f" (wire {self.wire})" if self.wire else ""
        said = f"`{self.signal}`{wire}: " if self.signal else ""
        said += f"{called(self.function)}, {WORDS[self.surety].format(how=self.how)}"
        if self.may_be:
            said += f"; may be {' or '.join(map(called, self.may_be))}"
        if self.dangers:
            said += f"; names danger: {', '.join(self.dangers)}"
        return said


def read_as(pinout: Pinout) -> tuple[ReadAs, ...]:
    """What each wording of a pinout was read as, in the order of its cavities."""
    return tuple(_read(cavity) for cavity in pinout.cavities.values())


def as_dicts(papers: Iterable[Pinout]) -> list[dict[str, Any]]:
    """The readings of several papers as plain data."""
    return [
        {"file": paper.path, "read": [row.as_dict() for row in read_as(paper)]} for paper in papers
    ]


def _read(cavity: Cavity) -> ReadAs:
    meaning = cavity.reading
    dangers = acting_in(cavity.signal)
    return ReadAs(
        cavity=cavity.name,
        wire=cavity.wire.written if cavity.wire else "",
        signal=cavity.signal,
        function=meaning.function,
        how=meaning.how,
        surety=_surety(cavity),
        may_be=meaning.may_be,
        because=meaning.because,
        dangers=tuple(danger.meaning for danger in dangers),
    )


def _surety(cavity: Cavity) -> Surety:
    meaning = cavity.reading
    if meaning.function == "unknown":
        return Surety.UNKNOWN
    if meaning.how in ("stated", "answer"):
        return Surety.STATED
    return Surety.TOLD if meaning.settled else Surety.GUESS
