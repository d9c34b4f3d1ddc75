"""From readings that disagree to the mistake: the fewest mistakes that fit, and the probe that tells them apart.

What rests on one reading alone is asked again, not believed.  Then the explanations are told apart, and the one that is
left is proven: only then is there no further question.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from wiremap.diagnose.explain import Ask, Diagnosis, Explanation, as_built
from wiremap.diagnose.next_probe import astray, narrowing, telling
from wiremap.diagnose.prove import masked, proof
from wiremap.diagnose.search import Search
from wiremap.diagnose.weigh import bits
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.face_read import FaceRead
from wiremap.mistakes.mistake import Mistake
from wiremap.ringout.readings import Taken, seen

SHOWN = 8  # explanations that are told
FEW = 4  # explanations that are told apart at once; of more, the wires that went astray are followed first


def diagnose(
    drawn: Drawn, readings: Sequence[Taken], hidden: Collection[Mistake] | None = ()
) -> Diagnosis:
    """Explain the readings that disagree with what is drawn; `hidden` are the mistakes that the plan does not show.

    None: the plan is not read to its end, so that what else it would show is not looked for behind the explanation.
    """
    search = Search(drawn, readings)
    if not search.evidence.failing:
        return Diagnosis((), (), _settle(readings))
    found = search.explain()
    suspect = _suspects(search, found)
    fits = [e for e in found if not e.unexplained]
    ask: Ask | None = None
    if not fits and not (len(suspect) == 1 and len(suspect[0].red) * len(suspect[0].black) == 1):
        ask = narrowing(search)
    if ask is None and suspect:
        t = suspect[0]
        ask = Ask(
            t.red,
            t.black,
            "one reading alone speaks for this: touch both points again",
            True,
            t.unit,
            t.state,
        )
    if ask is None and len(search.variants or found) > FEW:
        ask = narrowing(search)
        if ask is None and not any(isinstance(f, FaceRead) for f in found[0].mistakes):
            ask = astray(search)
    if ask is None:
        ask = telling(search, search.variants or found)
    if (
        ask is None
        and fits
        and not (hidden is None and any(isinstance(f, FaceRead) for f in fits[0].mistakes))
    ):
        ask = proof(search, fits[0]) or (
            masked(search, fits[0], hidden) if hidden is not None else None
        )
        if ask is None and hidden is not None and len(fits[0].mistakes) <= 2:
            found = _merged(found, search.rivals(fits[0]))
            ask = telling(search, [e for e in found if not e.unexplained])
    fit_too = sum(not e.unexplained for e in found[SHOWN:])
    return Diagnosis(
        tuple(found[:SHOWN]),
        suspect,
        ask or _settle(readings),
        () if fits else as_built(readings),
        fit_too,
    )


def _settle(readings: Sequence[Taken]) -> Ask | None:
    """What read wrong and now reads well: a wire that comes and goes does so too."""
    t = next((t for t in readings if t.before is not None), None)
    if t is None or t.before is None:
        return None
    why = f"{seen(t.before)} before, {seen(t.entry)} now: pull at the wire and read until it reads the same twice in a row"
    return Ask(t.red, t.black, why, True, t.unit, t.state)


def _merged(found: list[Explanation], more: list[Explanation]) -> list[Explanation]:
    known = {e.build.signature() for e in found}
    return sorted(
        [*found, *(e for e in more if e.build.signature() not in known)],
        key=lambda e: (len(e.unexplained), e.cost),
    )


def _suspects(search: Search, found: list[Explanation]) -> tuple[Taken, ...]:
    """Failed readings on which a mistake of the best explanation rests alone, taken only once."""
    evidence = search.evidence
    if not found:
        failed = [evidence.readings[k] for k in bits(evidence.failing)]
        return tuple(t for t in failed if t.times < 2)[:1]
    best = found[0]
    out = []
    for fault in best.mistakes:
        rest = tuple(f for f in best.mistakes if f is not fault)
        alone = evidence.failing & (
            evidence.all_left(search.told(rest).build) if rest else evidence.failing
        )
        if alone.bit_count() == 1 and (t := evidence.readings[alone.bit_length() - 1]).times < 2:
            out.append(t)
    out += [t for t in best.unexplained if t.times < 2 and t not in out]
    return tuple(out)


__all__ = ["Ask", "Diagnosis", "Explanation", "as_built", "diagnose"]
