"""Cards of the fuses that are pulled before the battery is off, one fuse each."""

from __future__ import annotations

from collections.abc import Sequence

from wiremap.content.cards import DONE, CardQuestion, Choice, Places, Tick, mark_for
from wiremap.content.done import are_made, ticked
from wiremap.content.fuses_pulled import FusePull, fuse_pulls
from wiremap.content.given import Given
from wiremap.content.stop_cards import passed
from wiremap.content.words import sentence_case
from wiremap.graph import Harness
from wiremap.model import CHASSIS, Entry, Stop

PULLED = "fuses pulled before the cut"
STILL_LIVE = "Not dead: stop. Something else feeds it, and the job's files do not say so yet."


def pulls_left(given: Given, entries: Sequence[Entry]) -> tuple[FusePull, ...]:
    """The fuses that nobody has pulled yet; none once the work has begun."""
    if passed(Stop.CUT, entries) or are_made(entries):
        return ()
    done = ticked(entries, PULLED)
    return tuple(pull for pull in fuse_pulls(given) if pull.deed not in done)


def pull_ask(harness: Harness, pull: FusePull) -> CardQuestion:
    """One fuse out, and where the meter shows that its wire is dead."""
    places = Places(harness, at_machine=True)
    red = [places.spot("red probe", point) for point in pull.points]
    return CardQuestion(
        mark=mark_for("tick", PULLED, pull.deed),
        heading=pull.title,
        spots=(*red, places.spot("black probe", CHASSIS)),
        lead=(f"{sentence_case(pull.words)}.", STILL_LIVE),
        choices=(Choice(value=DONE.value, words=f"dead: {pull.step.want}"),),
        of=Tick(under=PULLED, deed=pull.deed),
    )
