"""What to do now in a walk through a ring-out, and what a typed line asks of the walk."""

from __future__ import annotations

from dataclasses import dataclass

from wiremap.mistakes.build import AS_USUAL
from wiremap.mistakes.expectation import Shows
from wiremap.mistakes.mistake import Mistake
from wiremap.model import State
from wiremap.ringout.probe import Probe, ProbeKind

KEYS = (
    "b beep, s silent, o open (OL), n not sure, a number of ohms, d diode, no diode, "
    "m mended (and its contacts), u undo, ? why, h this list, q keep and stop; Enter is no answer"
)
KEPT, BACK, WHY, HELP = "q", "u", "?", "h"
_WORDS = {
    "quit": KEPT,
    "exit": KEPT,
    "stop": KEPT,
    "keep": KEPT,
    "undo": BACK,
    "back": BACK,
    "why": WHY,
    "help": HELP,
    "keys": HELP,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """What to do now: a probe to take, or something to mend.

    `why` says what the probe tells, `probe` is the one of the plan if this is one, `telling` says
    that it tells explanations apart, `unit` what is read.  `mend` holds the mistakes of which
    one must be mended; then there is nothing to probe.
    """

    red: tuple[str, ...] = ()
    black: tuple[str, ...] = ()
    expect: str = ""
    why: str
    probe: Probe | None = None
    telling: bool = False
    state: State = AS_USUAL
    unit: Shows = Shows.BEEP
    mend: tuple[Mistake, ...] = ()
    certain: bool = True  # of the mistakes to mend: all of them are there

    @property
    def is_sweep(self) -> bool:
        """Whether one probe goes over several points, so that the one that beeps may be named.

        Not where a clip is tried: it beeps through all that hang together, or has fallen.
        """
        tries_clip = self.probe is not None and self.probe.kind == ProbeKind.CLIP
        return len(self.red) == 1 and len(self.black) > 1 and not tries_clip

    @property
    def is_one_by_one(self) -> bool:
        """Whether the points of a sweep are tried one after another, none clipped with others."""
        return self.is_sweep and self.probe is None


def planned_turn(probe: Probe) -> Turn:
    """A planned reading as what to do now."""
    return Turn(
        red=probe.red,
        black=probe.black,
        expect=probe.wanted,
        why="; ".join(filter(None, (*probe.proves, probe.why))),
        probe=probe,
        state=probe.state,
        unit=probe.expect,
    )


def meant(typed: str) -> str:
    """What a typed line asks of the walk (`q`, `u`, `?` or `h`, spelled out or not).

    Empty if it is an answer.
    """
    word = typed.strip().casefold()
    return _WORDS.get(word, word if word in (KEPT, BACK, WHY, HELP) else "")
