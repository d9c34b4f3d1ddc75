"""Cards for a screen: one thing at a time to read, do or answer, as plain data."""

from __future__ import annotations

from dataclasses import dataclass, field
from hashlib import sha256

from wiremap.content.face_card import FaceCard, face_card
from wiremap.graph import Harness
from wiremap.model import CHASSIS, Address

MARK_DIGITS = 16  # hex: 64 bits, so that no two questions of a job share a mark


@dataclass(frozen=True, slots=True, kw_only=True)
class CardSpot:
    """Where one probe goes, or what is looked at."""

    probe: str  # which probe it is: `red probe`; or what is looked at: `wire at`
    address: str
    where: str  # what the contact carries and the colour of its wire; empty where nobody has told
    face: FaceCard | None  # None where nobody has told how the connector looks


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """An answer to touch: what is kept, and how it is called."""

    value: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """Something to type: `figure` where a number is wanted, `long` where a sentence is.

    `first` stands above the answers to touch: it is read before them.
    """

    name: str
    words: str
    figure: bool = False
    long: bool = False
    first: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CardQuestion:
    """One thing to answer; `mark` names it and what had been answered when it was shown.

    Without a heading it is a deed to tick, said by its one choice.  `of` is what it asks about.
    """

    mark: str
    heading: str = ""
    spots: tuple[CardSpot, ...] = ()
    lead: tuple[str, ...] = ()
    choices: tuple[Choice, ...] = ()
    blanks: tuple[Blank, ...] = ()
    of: object

    def offers(self, value: str) -> bool:
        """Whether an answer is among those to touch."""
        return any(choice.value == value for choice in self.choices)

    @property
    def is_tick(self) -> bool:
        """Whether it is a deed to tick."""
        return not self.heading


@dataclass(frozen=True, slots=True, kw_only=True)
class CardLink:
    """Another place of the page, and its words."""

    path: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """What to do now: words, what is owed first, what is asked, where else to go.

    `stop` says that something is wrong; `wait_minutes` is how long a wait may last,
    `through` that nothing is left here.
    """

    heading: str
    lead: tuple[str, ...] = ()
    stop: tuple[str, ...] = ()
    owed: tuple[CardLink, ...] = ()
    asks: tuple[CardQuestion, ...] = ()
    more: tuple[CardLink, ...] = ()
    wait_minutes: int | None = None
    through: bool = False


DONE = Choice(value="done", words="done")


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A deed to tick, and what it stands under in the notebook."""

    under: str
    deed: str


def tick(under: str, deed: str, words: str = "") -> CardQuestion:
    """A deed as something to answer; `words` say it where its name on paper is too short."""
    return CardQuestion(
        mark=mark_for("tick", under, deed),
        choices=(Choice(value=DONE.value, words=words or deed),),
        of=Tick(under=under, deed=deed),
    )


def mark_for(*words: str) -> str:
    """What a question is known by, from the words that make it this one."""
    text = "|".join(words)
    return sha256(text.encode("utf-8", "replace")).hexdigest()[:MARK_DIGITS]


# -- faces ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Places:
    """Where probes go in one harness: spots with the fronts of their connectors."""

    harness: Harness
    words: dict[str, str] = field(default_factory=dict)  # what to print in place of an address
    at_machine: bool = False  # draw the machine's own half, not the one that mates with it
    at_unit: bool = False  # draw the new unit's own half, not the one that its paper shows

    def spot(self, probe: str, address: str) -> CardSpot:
        """One probe at a contact, its front drawn where its paper tells how it looks."""
        where = signal_at(self.harness, address)
        if address == CHASSIS and address not in self.words:
            where = "bare metal of the machine"
        return CardSpot(
            probe=probe,
            address=self.words.get(address, address),
            where=where,
            face=face_card(self.harness, address, at_machine=self.at_machine, at_unit=self.at_unit),
        )


def signal_at(harness: Harness, address: str) -> str:
    """What a contact carries and the colour of its wire."""
    point = harness.points.get(Address.read(address))
    if point is None or point.cavity is None:
        return ""
    cavity = point.cavity
    colour = ""
    if cavity.wire is not None and cavity.wire.colour is not None:
        colour = f"wire {cavity.wire.colour.word}"
    return ", ".join(word for word in (cavity.signal, colour) if word)
