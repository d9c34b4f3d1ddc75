"""The in-line module as the guided start asks for it: its pair, its feed and fuse, its ground."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from wiremap.base import only
from wiremap.cli.common import say
from wiremap.cli.guided_answers import (
    amps_fault,
    ground_fault,
    own_fuse_fault,
    unusual_amps,
    unusual_own_fuse,
    wire_fault,
)
from wiremap.cli.guided_files import GuidedModule, Plug
from wiremap.cli.guided_paper import YES_NO
from wiremap.cli.guided_plug import asked_feeds, asked_plug
from wiremap.cli.talk import DONT_KNOW, Talk
from wiremap.evidence.answer_figures import figure_of
from wiremap.evidence.new_wires import EXAMPLE, ToldWire, told_wire
from wiremap.evidence.unusual import unusual_thread, unusual_wire
from wiremap.model import Address, End, EndKind, Side, frozen
from wiremap.propose.inline import FEED, MODULE, CanPair, InlineModule, can_pairs, of_class
from wiremap.share.beginning import ToldPinout
from wiremap.share.module_paper import own_fuse, with_amps, with_ports

LEADS, PLUG = "leads", "plug"
OTHER = "other"
NEITHER, BOTH = "none", "both"
RESISTORS = {
    str(Side.MACHINE): (Side.MACHINE,),
    str(Side.UNIT): (Side.UNIT,),
    BOTH: (Side.MACHINE, Side.UNIT),
}


def asked_module(
    talk: Talk, folder: Path, old: Sequence[Plug], new: Sequence[Plug]
) -> GuidedModule | None:
    """What is told of a module that is cut into a pair; None if none goes in, or nobody knows.

    Where no paper tells of a pair nothing can be cut, and nothing is asked.
    """
    if not can_pairs([(plug.name, plug.pinout) for plug in (*old, *new)]):
        return None
    question = "Does an in-line module (a gateway, a filter) go into a CAN pair?"
    if talk.choose(MODULE, question, YES_NO, if_unknown=" (none for now)") != "yes":
        return None
    return _ModuleQuestions(talk, folder, old, new).module()


@dataclass(frozen=True, slots=True, kw_only=True)
class _FeedPoint:
    """Which contact feeds a module, and the plug that it is on where that is another one."""

    at: Address | None = None
    plug: Plug | None = None
    end: End | None = None


@dataclass(frozen=True, slots=True)
class _ModuleQuestions:
    """The questions about one module, each answered or left open."""

    talk: Talk
    folder: Path
    old: Sequence[Plug]
    new: Sequence[Plug]

    def module(self) -> GuidedModule:
        """All that is told of it."""
        plug = asked_plug(self.talk, self.folder, MODULE, "the in-line module")
        question = "Does it come with leads of its own, or do you wire a plug for it?"
        leads = self.talk.choose(
            f"{MODULE}.leads", question, (LEADS, PLUG), if_unknown=f" ({PLUG})"
        )
        cut = self._pair("cut", "Which pair of the machine is cut for it?", self.old)
        to_unit = self._pair("unit", "Which pair of the unit does it go to?", self.new)
        ports, ports_told = self._ports(plug)
        if ports is not None:
            plug = _with_paper(plug, with_ports(plug.paper, ports))
        fed = self._feed()
        plug = self._with_amps(plug)
        inline = InlineModule(
            pinout=plug.pinout,
            has_leads=leads == LEADS,
            cut=cut,
            to_unit=to_unit,
            ports=ports,
            ports_told=ports_told,
            feed=fed.at,
            tap=fed.end,
        )
        return GuidedModule(plug=plug, told=self._with_wiring(inline), tap=fed.plug)

    def _with_wiring(self, inline: InlineModule) -> InlineModule:
        """Its fuse, its ground, the wires that it takes and the resistors across the pair."""
        if inline.feed is not None:
            fuse = self.talk.ask(
                f"{MODULE}.fuse",
                "Which fuse of its own goes before it, in which form of holder?",
                "blade 2 (form and amps), blade (its amps are worked out), d",
                own_fuse_fault,
                unusual_own_fuse,
            )
            inline = replace(inline, fuse=None if fuse == DONT_KNOW else own_fuse(fuse))
            inline = replace(
                inline, to_fuse=self._wire("to_fuse", f"from {inline.feed} to that fuse")
            )
            if not inline.has_leads:
                inline = replace(inline, from_fuse=self._wire("from_fuse", "from that fuse to it"))
        inline = replace(inline, ground=self._ground())
        if inline.ground and not inline.has_leads:
            inline = replace(
                inline, to_ground=self._wire("to_ground", f"from it to {inline.ground}")
            )
        across = NEITHER
        if inline.cut and inline.to_unit and inline.ports:
            across = self.talk.choose(
                f"{MODULE}.resistor",
                "Does a 120 ohm resistor of yours go across the pair, and on which side of it?",
                (*RESISTORS, NEITHER),
                if_unknown=" (none for now; the check counts the terminators)",
            )
        return replace(inline, resistors=RESISTORS.get(across, ()))

    def _pair(self, key: str, question: str, plugs: Sequence[Plug]) -> CanPair | None:
        """A pair of one side; without a question where there is only one."""
        pairs = can_pairs([(plug.name, plug.pinout) for plug in plugs])
        if not pairs:
            say(f"  no whole CAN pair is told of {', '.join(plug.name for plug in plugs)}: the")
            say("  module is not cut in yet")
            return None
        named = {pair.typed: pair for pair in pairs}
        choice = only(named) or self.talk.choose(
            f"{MODULE}.{key}", question, tuple(named), if_unknown=" (not cut yet)"
        )
        return named.get(choice)

    def _ports(self, plug: Plug) -> tuple[tuple[CanPair, CanPair] | None, bool]:
        """The port towards the machine and the one towards the unit, and whether that was told."""
        pairs = can_pairs([(MODULE, plug.pinout)])
        if len(pairs) != 2:
            say(f"  its pin table tells {len(pairs)} whole CAN pairs, two are wanted: it is not")
            say("  cut in yet")
            return None, False
        one, other = pairs
        answer = self.talk.choose(
            f"{MODULE}.port",
            "Which port of it, high/low, faces the machine?",
            (_port_words(one), _port_words(other)),
            if_unknown=" (asked again before it counts)",
        )
        ports = (other, one) if answer == _port_words(other) else (one, other)
        return ports, answer != DONT_KNOW

    def _feed(self) -> _FeedPoint:
        """The contact that feeds it."""
        own = [at for plug in self.old for at in of_class(plug.name, plug.pinout, "supply")]
        contacts = "".join(f" {at} ({self._signal(at)})," for at in own)
        answer = self.talk.choose(
            f"{MODULE}.feed",
            f"Which contact feeds it, a permanent one as a rule:{contacts} or another plug?",
            (*own, OTHER),
            if_unknown=" (not fed yet)",
        )
        if answer == DONT_KNOW:
            return _FeedPoint()
        return self._other_plug() if answer == OTHER else _FeedPoint(at=Address.read(answer))

    def _other_plug(self) -> _FeedPoint:
        """The contact of a plug or socket that stays in service and gets a T."""
        plug = asked_plug(self.talk, self.folder, FEED, "the plug or socket that feeds it")
        alone = only(of_class(FEED, plug.pinout, "supply"))
        name = self._cavity_of(plug) if alone is None else alone.cavity
        if name == DONT_KNOW:
            return _FeedPoint()
        fed = asked_feeds(self.talk, plug, (name,))
        end = End(
            name=FEED, pinout=plug.pinout, kind=EndKind.TAP, side=Side.MACHINE, fed=frozen(fed)
        )
        return _FeedPoint(at=Address(FEED, name), plug=plug, end=end)

    def _cavity_of(self, plug: Plug) -> str:
        return self.talk.ask(
            f"{FEED}.contact",
            "Which cavity of it feeds the module?",
            "its number, d",
            lambda said: "" if said in plug.pinout.cavities else "it has no such cavity",
        )

    def _signal(self, at: Address) -> str:
        plug = next(plug for plug in self.old if plug.name == at.end)
        return plug.pinout.cavities[at.cavity].signal

    def _with_amps(self, plug: Plug) -> Plug:
        """What it draws, where its paper is written here and does not tell it."""
        points = of_class(MODULE, plug.pinout, "supply")
        if not points or any(plug.pinout.cavities[at.cavity].amps is not None for at in points):
            return plug
        answer = self.talk.ask(
            f"{MODULE}.amps",
            "How many amps does it draw, by its leaflet?",
            "0.15, 150 mA, d",
            amps_fault,
            unusual_amps,
        )
        amps = None if answer == DONT_KNOW else figure_of("amps", answer)
        if amps is None:
            return plug
        return _with_paper(plug, with_amps(plug.paper, next(iter(points)).cavity, amps))

    def _ground(self) -> str:
        """A thread, a ground of the machine's, or nothing where nobody knows."""
        own = [at for plug in self.old for at in of_class(plug.name, plug.pinout, "ground")]
        answer = self.talk.ask(
            f"{MODULE}.ground",
            "Where is it grounded: at a stud of its own, or at a ground of the plug?",
            ", ".join(("M6 (the stud's thread)", *own, "d (not grounded yet)")),
            ground_fault(own),
            unusual_thread,
        )
        return "" if answer == DONT_KNOW else answer

    def _wire(self, key: str, way: str) -> ToldWire | None:
        answer = self.talk.ask(
            f"{MODULE}.{key}",
            f"Which wire runs {way}: size, colour, length?",
            f"{EXAMPLE}, d",
            wire_fault,
            unusual_wire,
        )
        return None if answer == DONT_KNOW else told_wire(answer)


def _port_words(pair: CanPair) -> str:
    """A pair of the module as it is typed, `1/2`."""
    return f"{pair.high.cavity}/{pair.low.cavity}"


def _with_paper(plug: Plug, paper: ToldPinout) -> Plug:
    """The plug with what was told beside its paper; a file of the person's own stays as it is."""
    if paper.pinout is None or paper is plug.paper:
        return plug
    return replace(plug, paper=paper, pinout=paper.pinout, file=None)
