"""Family `scope`: a danger that one word takes off the paper."""

from __future__ import annotations

from wiremap.rules.cure import typed
from wiremap.rules.dangers import dangers_at, open_dangers
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.view import View
from wiremap.trade.dangers import Treatment

SCOPE = Family("scope", Matter.PEOPLE)


@SCOPE.stop(
    "danger-called-unused",
    licensed=True,
    what="{a} names {kind} ({meaning}) by its wording, and {who} unused; a licensed person must "
    "stand to it by name",
    why="One word takes a danger off the paper, and nobody asks for its wire again.",
    fix="Have a person licensed for this work sign it"
    + typed(" (wiremap sign JOB --by NAME --licensed WHICH)")
    + "; or leave it what its paper says, and leave it out for a reason"
    + typed(" (the mark of an answer: wiremap next JOB --kept)")
    + ".",
)
def danger_called_unused(view: View) -> Hits:
    """A contact left out whose wording names what only a licensed person may settle, and that is
    said to be unused all the same.
    """
    for address in view.fixed(open_dangers):
        cavity = view.points[address].cavity
        if cavity is None or not cavity.unused or view.is_joined(address):
            continue
        named = [n for n in dangers_at(view, address) if n.treatment == Treatment.LICENSED]
        acting = next((n for n in named if not n.lamps_only), None)
        if acting is not None:
            answer = view.answers.get(address)
            who = f"{answer.by} has called it" if answer is not None else "is described as"
            kind = acting.kind.replace("-", " ")
            yield view.described_hit(address, kind=kind, meaning=acting.meaning, who=who)
