"""A question about a job, in the words of its table."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Any

from wiremap.model import End
from wiremap.trade.tables import named_row

FILE = "questions.toml"
DONT_KNOW = "don't know"


class FoundAt(StrEnum):
    """Where a person is who finds an answer out, in the order in which he comes there."""

    MAP = "map"  # both papers on the table: what goes with what
    LEAFLET = "leaflet"  # what the unit's own paper tells
    METER = "meter"  # what is read on the machine
    FEED = "feed"  # battery and fuse box
    HANDS = "hands"  # the wires and plugs in hand
    PLACE = "place"  # where the splice will lie
    BENCH = "bench"  # what is at hand for the ring-out


ORDER = tuple(FoundAt)
WHO_KNOWS: Mapping[FoundAt, str] = MappingProxyType(
    {
        FoundAt.MAP: "who has both papers, or has worked on such a machine",
        FoundAt.LEAFLET: "the leaflet, the type plate, the maker or his dealer",
        FoundAt.METER: "a meter on the machine",
        FoundAt.FEED: "a meter at the battery and the fuse box",
        FoundAt.HANDS: "who has the plugs and wires in hand",
        FoundAt.PLACE: "who stands where the new wiring will lie",
        FoundAt.BENCH: "who will ring it out",
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What is asked about which address, why it matters, how to find out, which answers there are.

    `found_at` says where the answer is found out, `harm` (0 to 10) how bad a wrong guess would be,
    `minutes` what finding out takes.  `against`: the machine or another paper has already said
    otherwise, so that it is asked before all else.  `not_known`: who did not know it, and when.
    `row` is the question's name in the table, `named` what its contact is called where several
    contacts are asked of as one; `also` are the addresses that it asks of besides.
    """

    about: str
    text: str
    why: str
    how: str
    answers: tuple[str, ...]
    found_at: FoundAt
    harm: float
    minutes: float
    against: bool = False
    not_known: str = ""
    row: str = ""
    named: str = ""
    also: tuple[str, ...] = ()

    @property
    def all_about(self) -> tuple[str, ...]:
        """Every address that it asks of."""
        return (self.about, *self.also)

    @property
    def who_knows(self) -> str:
        """Who or what could tell the answer."""
        return WHO_KNOWS[self.found_at]

    @property
    def so_far(self) -> str:
        """That nobody knew it so far, and who could; empty where it was not asked yet."""
        if not self.not_known:
            return ""
        return f"not known so far ({self.not_known}); who could know: {self.who_knows}"

    def as_dict(self) -> dict[str, Any]:
        """The question as plain data."""
        out = asdict(self)
        for name in ("against", "found_at", "row", "named", "also"):
            del out[name]
        out["question"] = out.pop("text")
        out["answers"] = list(self.answers)
        return out


def of_table(name: str, about: str, choices: Iterable[str] = (), **blanks: str) -> Question:
    """A question of the table, its blanks filled in; `choices` are answers besides the table's."""
    row = named_row(FILE, "row", name)
    listed = [answer.format(**blanks) for answer in row["answers"]]
    return Question(
        about=about,
        text=row["text"].format(**blanks),
        why=row["why"].format(**blanks),
        how=row["how"],
        answers=tuple(dict.fromkeys((*choices, *listed, DONT_KNOW))),
        found_at=FoundAt(row["found_at"]),
        harm=row["harm"],
        minutes=row["minutes"],
        row=name,
        named=row.get("named", "").format(**blanks),
    )


def has_machine_behind(end: End) -> bool:
    """Whether the wires of an end lead into a machine, so that a meter reads something at them."""
    return end.is_machine or end.is_tap


def row_of_unknown(end: End) -> str:
    """The row of the table that asks after an unknown wire, by whether a meter can read it."""
    return "unknown" if has_machine_behind(end) else "unknown_loose"
