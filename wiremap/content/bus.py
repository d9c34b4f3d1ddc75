"""The two halves of a cut bus: how each is cut and read, its switch, and what it must show."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.content.given import Given
from wiremap.content.joint_work import COLOUR_FOUND, SELF_SLEEVED, joint_kind
from wiremap.content.steps import AddressLine, Slot, Step
from wiremap.content.words import NOTE, listed, ohms_band, sentence_case, spaced, wire_words
from wiremap.model import End, OnOff, Side, Span, Switch
from wiremap.survey.cut_bus import alone_ohms, mated_ohms
from wiremap.survey.later import AFTER_CUT, LaterReading, mated, mated_for_good
from wiremap.survey.rows import Terminator, TerminatorStep

ANYTHING_ELSE = (
    "Anything else: stop, crimp nothing; the terminators of this half are not what this job is "
    "drawn for."
)


@dataclass(frozen=True, slots=True)
class SwitchSet:
    """A terminator switch of an in-line unit, and how the job wants it."""

    end: str
    name: str
    stands: OnOff | None  # as the job wants it; None: nobody has said
    delivered: OnOff | None  # as its paper says that it comes; None where it does not

    @property
    def address(self) -> str:
        """What an answer is about that says how it stands."""
        return f"{self.end}.{self.name}"

    @property
    def step(self) -> Step:
        """How it must stand; where nobody has said, what was read decides."""
        words = "set by what was read, then read aloud"
        if self.stands is not None:
            words = "set and read aloud"
        if self.delivered is not None:
            words += f" (delivered {self.delivered})"
        want = str(self.stands).upper() if self.stands is not None else ""
        return Step(at=spaced(self.end, self.name), text=words, want=want)


@dataclass(frozen=True, slots=True, kw_only=True)
class BusHalf:
    """One half of a bus at its cut: the terminator question, its switch, the in-line unit."""

    question: Terminator
    switch: SwitchSet | None  # None where no terminator switch lies across this half
    unit: str  # the in-line unit between the halves; empty where there is none
    plugged: str  # the end into which the new unit is plugged; empty on the machine's side
    ohms_alone: Span | None  # that it must show cut; None where no paper tells
    ohms_mated: Span  # that it must show once its units are mated

    @property
    def order(self) -> str:
        """What is done with it, one after another."""
        return "cut, then read" if self.switch is None else "cut, then read, then set the switch"

    @property
    def legs(self) -> tuple[str, str]:
        """Its two wires, the high one first."""
        return self.question.red, self.question.black

    @property
    def meanings(self) -> list[str]:
        """What the reading of the half by itself means: where the job says how its switch stands,
        whether that is right; else what to do for each figure that may be read.
        """
        if self.ohms_alone is None:
            return [_meaning(step) for step in self.question.steps]
        if self.switch is None:
            return [ANYTHING_ELSE]
        if self.switch.stands is None:
            return [_meaning(step) for step in self.question.steps]
        stands = f"{self.switch.end} {self.switch.name} {self.switch.stands.upper()}"
        return [f"As wanted: {stands}, as the next step says.", ANYTHING_ELSE]

    @property
    def alone(self) -> LaterReading:
        """The half by itself: cut, the in-line unit out."""
        red, black = self.legs
        low = self.ohms_alone.low if self.ohms_alone else None
        high = self.ohms_alone.high if self.ohms_alone else None
        return LaterReading(red=red, black=black, state=AFTER_CUT, low=low, high=high)

    @property
    def with_unit(self) -> LaterReading:
        """The half with the in-line unit mated for a moment, the battery still off."""
        return self._in_state(mated(self.unit))

    @property
    def for_good(self) -> LaterReading:
        """The half with the in-line unit mated at first power, the battery off again."""
        return self._in_state(mated_for_good(self.unit))

    def _in_state(self, state: str) -> LaterReading:
        red, black = self.legs
        ohms = self.ohms_mated
        return LaterReading(red=red, black=black, state=state, low=ohms.low, high=ohms.high)


def bus_halves(given: Given) -> tuple[BusHalf, ...]:
    """Each half whose two legs the job joins."""
    if given.survey is None:
        return ()
    halves = []
    for question in given.survey.terminators:
        legs = (question.red, question.black)
        if all(given.harness.circuits_at(leg) for leg in legs):
            halves.append(_half(given, question))
    return tuple(halves)


def _half(given: Given, question: Terminator) -> BusHalf:
    ends = list(_between(given, question))
    switches = [switch for end in ends for switch in _switches(given, end, question)]
    own = given.harness.end_of(question.red)
    return BusHalf(
        question=question,
        switch=next(iter(switches), None),
        unit=next((end.name for end in ends), ""),
        plugged=own.name if own is not None and not own.is_machine else "",
        ohms_alone=alone_ohms(given.harness, question),
        ohms_mated=mated_ohms(given.harness, question),
    )


def _between(given: Given, question: Terminator) -> Iterator[End]:
    """The in-line units that a leg of this half goes to."""
    for circuit in given.circuits([question.red]):
        for point in given.points(circuit):
            if point.end is not None and point.end.side == Side.BETWEEN:
                yield point.end


def _switches(given: Given, end: End, question: Terminator) -> Iterator[SwitchSet]:
    """The switch across the port that this half goes to."""
    for switch in end.pinout.switches.values():
        if _across(given, end, switch, question):
            stands = end.switches.get(switch.name)
            yield SwitchSet(end.name, switch.name, stands, switch.delivered)


def _across(given: Given, end: End, switch: Switch, question: Terminator) -> bool:
    """Whether a switch lies across the two contacts that the legs of this half go to."""
    legs = {question.red, question.black}
    for cavity in (switch.a, switch.b):
        circuits = given.circuits([f"{end.name}.{cavity}"])
        if not any(legs.intersection(circuit.join) for circuit in circuits):
            return False
    return True


UNTWISTED = (
    "where a sleeve waits on a twisted wire its pair untwisted for it, "
    "twisted again after the joint"
)


def cut_step(given: Given, half: BusHalf) -> Step:
    """Both legs cut, so that the half can be read by itself."""
    cuts = [f"{leg} to {_cut_mm(given, leg)}" for leg in half.legs]
    text = f"colours looked at, then cut {listed(*cuts)}, twisted up to there; ends apart"
    if any(joint_kind(given, joint) != SELF_SLEEVED for joint in given.harness.joints.values()):
        text += f"; {UNTWISTED}"
    if half.plugged:
        text += f"; the new unit plugged into {half.plugged} for the next reading alone"
    colours = tuple(
        AddressLine(leg, wire_words(conductor.wire), COLOUR_FOUND)
        for leg in half.legs
        for conductor in given.harness.conductors.values()
        if conductor.point == leg
    )
    return Step(at=" and ".join(half.legs), text=text, lines=colours)


def alone_reading(half: BusHalf) -> Step:
    """The ohms of a half by itself, and what they mean."""
    ohms = half.ohms_alone
    return Step(
        at=" – ".join(half.legs),
        text=listed(half.question.where, "then pulled again" if half.plugged else ""),
        want=ohms_band(ohms.low, ohms.high) if ohms else NOTE,
        slot=Slot.BLANK,
        unit="Ω",
        reading=True,
        note=" ".join(half.meanings),
    )


def mated_reading(reading: LaterReading, note: str = "") -> Step:
    """The ohms of one half of the bus with its unit mated."""
    return Step(
        at=f"{reading.red} – {reading.black}",
        text=reading.state or "",
        want=ohms_band(reading.low, reading.high),
        slot=Slot.BLANK,
        unit="Ω",
        reading=True,
        note=note,
    )


def _cut_mm(given: Given, leg: str) -> str:
    """The length to which a leg is cut, or a blank to write it into."""
    for cut in given.cuts:
        if given.harness.conductors[cut.conductor].point == leg:
            return f"{cut.mm:.0f} mm"
    return "______ mm"


def _meaning(step: TerminatorStep) -> str:
    """What is read, and what to do then."""
    unit = " Ω" if step.in_ohms else ""
    return f"{sentence_case(step.reads)}{unit}: {step.so}."
