"""From readings that disagree to the fewest mistakes that fit, and the probe that tells them apart.

What rests on one reading alone is asked again, not believed.  Then the explanations are told apart
until a mistake is in every set that fits: that one is certain, it is told, and nothing more is
asked.  What else is wrong shows when it has been mended and its nets are read again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from wiremap.diagnose.explain import Ask, Diagnosis, Explanation, beeped_groups
from wiremap.diagnose.narrowing import narrowing, sweep_for_wire
from wiremap.diagnose.next_probe import telling_probe
from wiremap.diagnose.search import Search
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows
from wiremap.mistakes.face_read import FaceRead
from wiremap.mistakes.mistake import Mistake
from wiremap.ringout.masks import ones_of
from wiremap.ringout.taken import Taken, seen

FALLEN = "its clip may have come off: see to it, then read again"
FEW = 4  # explanations told apart at once; of more, the wires that went astray are followed first
MOST_OF_RIVALS = 2  # mistakes: of more no pair is as likely an explanation


def diagnose(drawn: Drawn, readings: Sequence[Taken]) -> Diagnosis:
    """Explain the readings that disagree with what is drawn."""
    search = Search(drawn, readings)
    if not search.evidence.failing:
        return Diagnosis(ask=_ask_wavering(readings))
    found = search.explain()
    suspect = _suspects(search, found)
    fits = [e for e in found if not e.unexplained]
    certain: tuple[Mistake, ...] = ()
    ask = _first_question(search, found, suspect)
    if ask is None and fits:
        certain = _in_all(fits)
        if len(fits) == 1 and len(fits[0].mistakes) <= MOST_OF_RIVALS:
            found = _merged(found, search.rivals(fits[0]))
            fits = [e for e in found if not e.unexplained]
            certain = _in_all(fits)
    if ask is None and not certain:
        ask = _tell_apart(search, found)
    if ask is None and not fits:
        ask = _in_ohms(search)
    return Diagnosis(
        explanations=tuple(found),
        suspect=suspect,
        ask=ask,
        certain=certain,
        as_built=() if fits else beeped_groups(readings),
    )


def _in_all(fits: Sequence[Explanation]) -> tuple[Mistake, ...]:
    """The mistakes that every fitting set contains."""
    return tuple(m for m in fits[0].mistakes if all(m in e.mistakes for e in fits))


def _first_question(
    search: Search, found: Sequence[Explanation], suspect: Sequence[Taken]
) -> Ask | None:
    """What must be read before any explanation is believed.

    Half of a comb that nothing explains, or a lone reading again.
    """
    fits = any(not e.unexplained for e in found)
    lone = len(suspect) == 1 and suspect[0].is_alone
    if not fits and not lone:
        ask = narrowing(search)
        if ask is not None:
            return ask
    if suspect:
        first = suspect[0]
        why = "one reading alone speaks for this: touch both points again"
        if _is_of_a_clip(search.drawn, first):
            why = FALLEN
        return _again(first, why)
    return None


def _is_of_a_clip(drawn: Drawn, taken: Taken) -> bool:
    """Whether a comb was read against another point of one of its nets."""
    reds = {drawn.net_of[a] for a in taken.red}
    return not taken.is_alone and any(drawn.net_of[a] in reds for a in taken.black)


def _tell_apart(search: Search, found: Sequence[Explanation]) -> Ask | None:
    """The probe that tells the explanations apart; of many, first which of a comb met, or where a
    wire went.
    """
    several = search.variants or found
    if len(several) > FEW:
        ask = narrowing(search)
        face = any(isinstance(m, FaceRead) for m in found[0].mistakes)
        if ask is None and not face:
            ask = sweep_for_wire(search)
        if ask is not None:
            return ask
    return telling_probe(search, several)


def _in_ohms(search: Search) -> Ask | None:
    """Where nothing fits and only the beeper spoke, the ohms, which a load or part has."""
    evidence = search.evidence
    for index in ones_of(evidence.failing):
        taken = evidence.readings[index]
        if (
            taken.is_alone
            and taken.unit == Shows.BEEP
            and taken.entry.ohms is None
            and not taken.unsure
        ):
            why = "nothing that hands do fits: read the ohms, they tell a load or a poor joint"
            return replace(_again(taken, why), expect=Shows.OHMS)
    return None


def _again(taken: Taken, why: str) -> Ask:
    return Ask(
        red=taken.red, black=taken.black, why=why, again=True, expect=taken.unit, state=taken.state
    )


def _ask_wavering(readings: Sequence[Taken]) -> Ask | None:
    """What read wrong and now reads well: a wire that comes and goes does so too."""
    for taken in readings:
        if taken.wavers and not taken.was_well and taken.before is not None:
            then, now = seen(taken.before), seen(taken.entry)
            why = (
                f"{then} before, {now} now: pull at the wire and read until it reads the same "
                f"twice in a row"
            )
            return _again(taken, why)
    return None


def _merged(found: Sequence[Explanation], more: Sequence[Explanation]) -> list[Explanation]:
    known = {e.build.signature() for e in found}
    both = [*found, *(e for e in more if e.build.signature() not in known)]
    return sorted(both, key=lambda e: (len(e.unexplained), e.cost))


def _suspects(search: Search, found: Sequence[Explanation]) -> tuple[Taken, ...]:
    """Failed readings on which a mistake of the best explanation rests alone, taken only once."""
    evidence = search.evidence
    if not found:
        failed = [evidence.readings[k] for k in ones_of(evidence.failing)]
        return tuple(t for t in failed if _is_lone(t))[:1]
    best = found[0]
    out = []
    for mistake in best.mistakes:
        rest = tuple(m for m in best.mistakes if m is not mistake)
        left = evidence.all_left(search.explanation_of(rest).build) if rest else evidence.failing
        alone = evidence.failing & left
        if alone.bit_count() == 1:
            out.append(evidence.readings[alone.bit_length() - 1])
    out += [t for t in best.unexplained if t not in out]
    return tuple(t for t in out if _is_lone(t))


def _is_lone(taken: Taken) -> bool:
    """Whether a reading was taken once only, and nobody was unsure of it when asked again."""
    return taken.times < 2 and not taken.unsure
