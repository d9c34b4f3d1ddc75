"""The closed sets of words that files choose from; each word is its own text, so it prints and
compares as written.
"""

from __future__ import annotations

from enum import StrEnum


class Side(StrEnum):
    """Whose an end is."""

    MACHINE = "machine"
    UNIT = "unit"
    BETWEEN = "between"


class EndKind(StrEnum):
    """What an end is to the hands (the file's key is `is`)."""

    CUT_TAIL = "cut-tail"
    PIGTAIL = "pigtail"
    MATE = "mate"
    TAP = "tap"


class Basis(StrEnum):
    """What a statement of a paper rests on, weakest first."""

    TOLD = "told"
    DOCUMENT = "document"
    MEASURED = "measured"

    @property
    def rank(self) -> int:
        """0 for the weakest."""
        return list(Basis).index(self)


class Flow(StrEnum):
    """Which way a signal runs, told from the machine's side of the interface."""

    TO_UNIT = "to-unit"
    FROM_UNIT = "from-unit"
    BOTH = "both"


class Need(StrEnum):
    """Whether the unit or machine is whole without a signal."""

    MUST = "must"
    MAY = "may"


class Treat(StrEnum):
    """What is done with a cavity that no circuit joins."""

    BLANK = "blank"  # its hole is closed with a plug
    CAP = "cap"  # its wire is capped, sealed, tied back
    LEAVE = "leave"


class Grade(StrEnum):
    """How sure a proposed circuit is, best first."""

    CERTAIN = "certain"
    LIKELY = "likely"
    ASK = "ask"


class JointKind(StrEnum):
    """How conductors are joined."""

    BUTT_CRIMP = "butt-crimp"
    OPEN_BARREL = "open-barrel"
    LAP_SOLDER = "lap-solder"
    SOLDER_SLEEVE = "solder-sleeve"


class ExtraKind(StrEnum):
    """What a part of the job's own is."""

    FUSE = "fuse"
    RESISTOR = "resistor"
    DIODE = "diode"
    STUD = "stud"


class Contacts(StrEnum):
    """Which kind of contact a shell holds."""

    SOCKET = "socket"
    PIN = "pin"

    @property
    def other(self) -> Contacts:
        """The kind that it mates with."""
        return Contacts.PIN if self is Contacts.SOCKET else Contacts.SOCKET


class Half(StrEnum):
    """Which half of a connector a paper shows: the one that carries wires, or the unit's own
    header.
    """

    WIRED = "wired"
    UNIT = "unit"


class LookedAt(StrEnum):
    """From which side a face is drawn."""

    MATING = "mating"
    WIRE_ENTRY = "wire-entry"


class KeyAt(StrEnum):
    """Where the keyway sits in a drawn face."""

    TOP = "top"
    RIGHT = "right"
    BOTTOM = "bottom"
    LEFT = "left"

    @property
    def mirrored(self) -> KeyAt:
        """Where it sits once left and right are exchanged."""
        if self is KeyAt.LEFT:
            return KeyAt.RIGHT
        if self is KeyAt.RIGHT:
            return KeyAt.LEFT
        return self


class KeyShape(StrEnum):
    """What the keyway of a shell looks like from its front."""

    RIB = "rib"  # stands out of the shell
    GROOVE = "groove"  # goes into it
    LATCH = "latch"  # an arm that is pressed

    @property
    def other(self) -> KeyShape:
        """What it looks like on the half that mates: a rib goes into a groove."""
        if self is KeyShape.RIB:
            return KeyShape.GROOVE
        if self is KeyShape.GROOVE:
            return KeyShape.RIB
        return self


class AsFound(StrEnum):
    """What was found in a cavity's hole."""

    EMPTY = "empty"
    WIRED = "wired"


class OnOff(StrEnum):
    """The position of a switch or of the ignition."""

    ON = "on"
    OFF = "off"


class Clamp(StrEnum):
    """What limits the kick of a coil that is switched off."""

    DIODE = "diode"
    RESISTOR = "resistor"
    INSIDE = "inside"
    NONE = "none"


class Plating(StrEnum):
    """The metal on a contact's surface."""

    TIN = "tin"
    SILVER = "silver"
    GOLD = "gold"
    NICKEL = "nickel"


class Wall(StrEnum):
    """How thick a wire's insulation is."""

    THIN = "thin"
    THICK = "thick"


class EntryKind(StrEnum):
    """What an entry of a notebook tells."""

    ANSWER = "answer"
    SURVEY = "survey"
    PROBE = "probe"
    ACCEPT = "accept"
    POWER = "power"
    BUILT = "built"
    DONE = "done"
    STOP_PASSED = "stop-passed"
    MENDED = "mended"
    STRUCK_OUT = "struck-out"
    ADOPTED = "adopted"


class Stop(StrEnum):
    """Where two names are wanted before the work goes on."""

    CUT = "cut"
    SLEEVES = "sleeves"
    BATTERY = "battery"
    MATING = "mating"


class Seen(StrEnum):
    """What a meter showed where it showed no figure."""

    BEEP = "beep"
    SILENT = "silent"
    UNSURE = "unsure"
    DIODE = "diode"
