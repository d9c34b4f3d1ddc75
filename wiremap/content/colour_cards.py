"""The colour of each wire as it was found, held against the paper before anything is cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wiremap.content.cards import Blank, Card, CardLink, CardQuestion, Choice, Places, mark_for
from wiremap.content.given import Given
from wiremap.content.words import size_words
from wiremap.entries.deeds import deed_of
from wiremap.model import Address, Entry, EntryKind
from wiremap.trade.colours import Colour, ColourFault, read_colour

AS_FOUND = "colour as found"
MOST_OFFERED = 4
OTHER = Blank(name="colour", words="another colour: write it as a word, base first")
HOW = Blank(name="how", words="how you know that this is the right wire", long=True)
LOOKED_AGAIN = "again"
PAPER_WRONG = "paper"


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourAsked:
    """The wire of a contact: its colour on paper, and the one that was found, if one was."""

    point: str
    paper: Colour | None  # None where no paper tells
    found: Colour | None  # None where nobody has looked yet
    size: str  # of the wire on paper, in words; empty where no paper tells

    @property
    def differs(self) -> bool:
        """Whether paper and wire differ; where either does not tell base from stripe, their order
        does not count.
        """
        if self.paper is None or self.found is None:
            return False
        if self.paper.ordered and self.found.ordered:
            return not self.paper.same_as(self.found)
        return set(self.paper.colours) != set(self.found.colours)

    @property
    def wire_found(self) -> str:
        """The wire as a paper would write it: the size on paper, the colour that was found."""
        return f"{self.size} {self.found.canonical}".strip() if self.found else ""


def colour_of(given: Given, entries: Sequence[Entry], point: str) -> ColourAsked:
    """What is known of the colour at a contact; the last thing said of it counts."""
    paper = None
    size = ""
    cavity = given.harness.points[point].cavity
    if cavity is not None and cavity.wire is not None:
        paper = cavity.wire.colour
        size = size_words(cavity.wire)
    found = None
    for entry in entries:
        if entry.points != (point,):
            continue
        kept = deed_of(entry, AS_FOUND)
        if kept is not None:
            read = read_colour(kept)
            found = read if isinstance(read, Colour) else None  # asked again where it is no colour
    return ColourAsked(point=point, paper=paper, found=found, size=size)


def read_found(given: Given, point: str, text: str) -> Colour | ColourFault:
    """A typed colour, in words or in the letters of the paper that the contact stands in."""
    end = given.harness.points[point].end
    return read_colour(text, None, end.pinout.letters if end is not None else None)


def colour_ask(given: Given, asked: ColourAsked, entries: Sequence[Entry]) -> CardQuestion:
    """The question what colour the wire at a contact has, with colours to touch."""
    touched = [Choice(value=each.canonical, words=each.word) for each in offered(given, asked)]
    times = str(_times_kept(entries, asked.point))
    return CardQuestion(
        mark=mark_for(AS_FOUND, asked.point, times),
        heading=f"The wire at {asked.point}",
        spots=(Places(given.harness).spot("wire at", asked.point),),
        choices=tuple(touched),
        blanks=(OTHER,),
        of=asked,
    )


def offered(given: Given, asked: ColourAsked) -> list[Colour]:
    """The colour on paper among those of neighbouring cavities, by name: none stands out as the
    one that is wanted.  Empty where no paper tells the colour.
    """
    end = given.harness.points[asked.point].end
    if asked.paper is None or end is None:
        return []
    colours = {asked.paper.canonical: asked.paper}
    names = list(end.pinout.cavities)
    here = names.index(Address.read(asked.point).cavity)
    for name in [*names[here + 1 :], *names[:here]]:
        wire = end.pinout.cavities[name].wire
        if len(colours) < MOST_OFFERED and wire is not None and wire.colour is not None:
            colours.setdefault(wire.colour.canonical, wire.colour)
    return sorted(colours.values(), key=lambda colour: colour.word)


def _times_kept(entries: Sequence[Entry], point: str) -> int:
    """How often something was kept of a contact: asked again, the question bears a new mark."""
    return sum(entry.kind == EntryKind.DONE and entry.points == (point,) for entry in entries)


def stopped_card(
    given: Given, odd: ColourAsked, entries: Sequence[Entry], more: tuple[CardLink, ...]
) -> Card:
    """Paper and wire differ: nothing is cut until somebody has said which is right."""
    assert odd.paper is not None  # as `odd.differs`
    assert odd.found is not None
    stop = (
        f"Stop: {odd.point} is {odd.paper.word} on paper, and {odd.found.word} was found.",
        "Either this is another wire, or the paper is wrong. Cut nothing: count the cavity again "
        "on the face, and measure the wire.",
    )
    ask = CardQuestion(
        mark=mark_for(
            "difference", odd.point, odd.found.canonical, str(_times_kept(entries, odd.point))
        ),
        heading="Which is it?",
        spots=(Places(given.harness).spot("wire at", odd.point),),
        choices=(
            Choice(value=LOOKED_AGAIN, words=f"I looked again: it is {odd.paper.word}"),
            Choice(value=PAPER_WRONG, words=f"it is the right wire and {odd.found.word}"),
        ),
        blanks=(HOW,),
        of=odd,
    )
    return Card(heading="Colour and paper differ", stop=stop, asks=(ask,), more=more)
