"""Work as plain data: numbered steps under each other, one box or one blank each."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from wiremap.model import Stop


class Slot(StrEnum):
    """What stands at the right edge of a step."""

    BOX = "box"  # ticked when it is done, or when it showed what it must
    BLANK = "blank"  # a figure is written here
    LINE = "line"  # words are written here
    NONE = "none"


class Want(StrEnum):
    """What a meter must do where no figure is read."""

    BEEP = "beep"
    SILENT = "silent"


@dataclass(frozen=True, slots=True)
class AddressLine:
    """An address with its words on a line of its own; `asked` is what is written in behind them."""

    at: str
    text: str
    asked: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One thing to do or to read.

    `n` is how the step is called on paper and in the commands: `S5`, `RO12` and `P3` are the
    numbers that survey, ring-out and first power print.  `at` are the addresses, set larger than
    the words; `lines` follow below; `want` is the band or what the meter does; `unit` stands
    behind a blank; `note` is small print; `with_last` keeps the step with the one above: the boxes
    of one joint.
    `counts` is one that asks how many of all above it are wrong or left open.
    `seen` is what the notebook holds, `by` whose hand it is, `wrong` whether it is not as wanted.
    """

    n: str = ""
    at: str = ""
    text: str = ""
    lines: tuple[AddressLine, ...] = ()
    want: str = ""
    slot: Slot = Slot.BOX
    unit: str = ""
    note: str = ""
    seen: str = ""
    by: str = ""
    wrong: bool = False
    reading: bool = False
    with_last: bool = False
    counts: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """Steps under a heading; `whole` ones are not parted over two pages where one page has room.

    `with_next` ones stay with the face below them, which they are for; `title_again` ones have
    their heading on each page, as it says how all of them are read.
    """

    title: str = ""
    lead: str = ""
    steps: tuple[Step, ...]
    whole: bool = False
    with_next: bool = False
    title_again: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoNames:
    """A two-name stop: lines to be spoken and ticked, then who did the work and who read it back.

    `alone` is said to whom works alone; empty where the work is never signed alone.
    """

    n: int  # of the stops that this job has
    stop: Stop
    name: str
    steps: tuple[Step, ...]
    alone: str
    section: str = ""  # the number of its section
    signed: tuple[str, ...] = ()  # the two names, where the notebook has them
