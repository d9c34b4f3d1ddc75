"""The stage of the ring-out, and what is owed before it."""

from __future__ import annotations

from wiremap.content.cards import DONE, Card, CardLink, CardQuestion, Choice, Tick, mark_for
from wiremap.content.done import ON_PAPER, made_on_paper
from wiremap.content.joint_cards import joints_left
from wiremap.content.question_cards import bench_card
from wiremap.content.ringout_cards import mended_card, ringout_card
from wiremap.content.start_cards import OF as START
from wiremap.content.start_cards import start_card
from wiremap.diagnose.turn import Turn
from wiremap.entries.deeds import belongs
from wiremap.model import Entry, EntryKind
from wiremap.page.moment import Moment
from wiremap.page.stages.joints import Joints
from wiremap.page.stages.stage import (
    ONE_ANSWER,
    Entries,
    FormAnswer,
    Hand,
    PageStage,
    answer_entry,
    done_entry,
    tick_entry,
)
from wiremap.ringout.bench import BENCH
from wiremap.survey.question import Question


class Ringout(PageStage):
    """The ring-out, and what was mended."""

    path = "/ringout"
    words = "Ring-out: the next readings"

    def card(self, now: Moment, at: str) -> Card:
        """The readings to take next."""
        if now.worked.too_large:
            return Card(heading="No ring-out is planned", stop=(now.worked.too_large,))
        if at == "mended":
            return mended_card(now.walk)
        waiting = not_begun(now)
        if waiting is not None:
            return waiting
        question = now.walk.question()
        if question is not None:
            return bench_card(now.opened.harness, question)
        waiting = start_card(now.worked.start, now.entries)
        if waiting is not None:
            return waiting
        return ringout_card(now.walk)

    def read(self, now: Moment, ask: CardQuestion, reply: FormAnswer, hand: Hand) -> Entries | str:
        """A reading or a repair, as the walk reads what is typed."""
        if isinstance(ask.of, Tick):
            return tick_entry(ask.of, reply, hand)
        if ask.of == ON_PAPER:
            return (done_entry(ON_PAPER, hand),)
        if isinstance(ask.of, Question):
            return answer_entry(now.opened.job, ask.of, reply, hand)
        assert isinstance(ask.of, Turn)
        texts = [reply.text(name) for name in ("ohms", "points", "named") if reply.text(name)]
        typed = " ".join(texts)
        if len(texts) + bool(reply.touched) > 1:
            return ONE_ANSWER
        text = reply.touched or typed
        if reply.text("points"):
            text = f"m {typed}"
        entries = now.walk.answer(ask.of, text, hand.by, hand.date)
        if not entries and reply.text("points"):
            return f"`{typed}` names no points of this job: write them as loom.3 donor.12"
        return entries or now.walk.refused(ask.of, text)

    def owns(self, entry: Entry) -> bool:
        """Readings and repairs, and what was said of the bench."""
        if entry.kind == EntryKind.DONE:
            return entry.what == ON_PAPER or belongs(entry, START)
        if entry.kind == EntryKind.ANSWER:
            return entry.about in BENCH
        return entry.kind in (EntryKind.PROBE, EntryKind.MENDED)

    def left(self, now: Moment) -> str:
        """How many readings are left."""
        if now.worked.too_large:
            return now.worked.too_large
        if now.is_rung_out:
            return ""
        return f"{len(now.walk.judged().left)} readings of the ring-out are left"


def not_begun(now: Moment) -> Card | None:
    """What is owed before the first reading; None once the joints are made."""
    if made_on_paper(now.entries) or not now.worked.tasks:
        return None
    left = joints_left(now.worked.given, now.worked.tasks, now.entries)
    if not left:
        return None
    ask = CardQuestion(
        mark=mark_for(ON_PAPER),
        heading="Or were they ticked on the paper sheet?",
        choices=(Choice(value=DONE.value, words="every joint is made, and ticked on paper"),),
        of=ON_PAPER,
    )
    words = f"first: {left} pieces of work at the joints are not ticked here"
    return Card(
        heading="Before the ring-out", owed=(CardLink(path=Joints.path, words=words),), asks=(ask,)
    )


def not_rung_out(now: Moment) -> tuple[CardLink, ...]:
    """The ring-out as what is owed first."""
    if now.is_rung_out:
        return ()
    left = Ringout().left(now)
    return (CardLink(path=Ringout.path, words=f"first: {left or 'the ring-out is not right'}"),)
