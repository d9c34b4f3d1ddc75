"""Cards for a screen: one thing at a time to read, do or answer, as plain data."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from hashlib import sha256

from wiremap.graph import Harness
from wiremap.model import CHASSIS, Address, Face, KeyAt

PITCH = 12.0
EDGE = 9.0
TOP = 18.0
MARK_DIGITS = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """One cavity of a drawn face: its name, its middle, whether the probe goes there.

    `flag` says where the arrow has room: above, below, or nowhere among other cavities.
    """

    name: str
    x: float
    y: float
    here: bool
    flag: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Keyway:
    """Where the keyway is drawn in the edge of a face."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceCard:
    """A connector's front with one contact pointed at; lengths in drawing units."""

    said: str
    width: float
    height: float
    holes: tuple[Hole, ...]
    keyway: Keyway | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where one probe goes, or what is looked at; `probe` says which."""

    probe: str
    address: str
    where: str
    face: FaceCard | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """An answer to touch: what is kept, and how it is called."""

    value: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """Something to type: `figure` where a number is wanted, `long` where a sentence is."""

    name: str
    words: str
    figure: bool = False
    long: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """One thing to answer; `mark` names it and what had been answered when it was shown.

    Without a heading it is a deed to tick, said by its one choice.  `of` is what it asks about.
    """

    mark: str
    heading: str = ""
    spots: tuple[Spot, ...] = ()
    lead: tuple[str, ...] = ()
    choices: tuple[Choice, ...] = ()
    blanks: tuple[Blank, ...] = ()
    of: object = None

    def offers(self, value: str) -> bool:
        """Whether an answer is among those to touch."""
        return any(choice.value == value for choice in self.choices)

    @property
    def is_tick(self) -> bool:
        """Whether it is a deed to tick."""
        return not self.heading


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
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
    owed: tuple[Way, ...] = ()
    asks: tuple[Ask, ...] = ()
    more: tuple[Way, ...] = ()
    wait_minutes: int = 0
    through: bool = False


DONE = Choice(value="done", words="done")


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A deed to tick, and what it stands under in the notebook."""

    under: str
    deed: str


def tick(under: str, deed: str) -> Ask:
    """A deed as something to answer."""
    return Ask(
        mark=mark_for("tick", under, deed),
        choices=(Choice(value=DONE.value, words=deed),),
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
    words: dict[str, str] = field(default_factory=dict)

    def spot(self, probe: str, address: str) -> Spot:
        """One probe at a contact, its front drawn where its paper tells how it looks."""
        where = signal_at(self.harness, address)
        if address == CHASSIS and address not in self.words:
            where = "bare metal of the machine"
        return Spot(
            probe=probe,
            address=self.words.get(address, address),
            where=where,
            face=face_card(self.harness, address),
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


def face_card(harness: Harness, address: str) -> FaceCard | None:
    """A connector's front as its paper draws it; None where nobody has told how it looks."""
    point = harness.points.get(Address.read(address))
    if point is None or point.end is None or point.cavity is None:
        return None
    face = point.end.connector.face
    if face is None:
        return None
    return drawn_face(face, point.cavity.name, point.end.name)


def drawn_face(face: Face, name: str, end: str) -> FaceCard:
    """A face with one cavity pointed at."""
    rows = face.padded()
    keyway = f", keyway {face.key}" if face.key else ""
    width = 2 * EDGE + PITCH * (max(map(len, rows)) - 1)
    height = TOP + PITCH * (len(rows) - 1) + EDGE
    return FaceCard(
        said=f"{end}, {side_words(face.view)}{keyway}: cavity {name}",
        width=width,
        height=height,
        holes=tuple(_holes(rows, name)),
        keyway=_keyway(face.key, width, height),
    )


def _keyway(at: KeyAt | None, width: float, height: float) -> Keyway | None:
    """The notch in the edge where the keyway sits."""
    middle_x, middle_y = width / 2, (TOP - EDGE + height) / 2
    match at:
        case KeyAt.TOP:
            return Keyway(x=middle_x - 4, y=TOP - EDGE - 1, width=8, height=2)
        case KeyAt.BOTTOM:
            return Keyway(x=middle_x - 4, y=height - 2, width=8, height=2)
        case KeyAt.LEFT:
            return Keyway(x=0, y=middle_y - 4, width=2, height=8)
        case KeyAt.RIGHT:
            return Keyway(x=width - 2, y=middle_y - 4, width=2, height=8)
    return None


def _holes(rows: tuple[tuple[str | None, ...], ...], name: str) -> Iterable[Hole]:
    for row, cavities in enumerate(rows):
        for column, cavity in enumerate(cavities):
            if cavity is not None:
                x, y = EDGE + PITCH * column, TOP + PITCH * row
                flag = _flag(row, len(rows))
                yield Hole(name=cavity, x=x, y=y, here=cavity == name, flag=flag)


def _flag(row: int, rows: int) -> str:
    if row == 0:
        return "above"
    return "below" if row == rows - 1 else ""


def side_words(view: str) -> str:
    """Which way one looks at a face."""
    if view == "mating":
        return "looking into the front (mating face)"
    return "looking at the back, where the wires go in"
