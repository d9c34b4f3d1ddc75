"""Of a held job: what holds it and what lifts it, each with a line for the answer."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.pieces import Section
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.words import listed, sentence_case
from wiremap.survey.questions import questions

MOST_STOPS, MOST_QUESTIONS = 20, 20


def questions_section(given: Given) -> Section | None:
    """What must be answered before the pages of work may be used; None where nothing holds."""
    if not given.held:
        return None
    blocks = [Steps(title="What holds, and what lifts it", steps=tuple(_stops(given)))]
    asked = tuple(_asked(given))
    if asked:
        blocks.append(Steps(title="Asked at the machine", steps=asked))
    return Section(
        key="questions",
        title="Questions that lift the hold",
        drawn_from="answers are written in, then kept in the notebook",
        blocks=tuple(blocks),
    )


def _stops(given: Given) -> Iterator[Step]:
    """The stops with their cure, and how many more there are."""
    for stop in given.stops[:MOST_STOPS]:
        subject = listed(*stop.subject)
        yield Step(at=subject, text=stop.message, note=stop.on_paper, slot=Slot.LINE)
    more = given.stops[MOST_STOPS:]
    if more:
        yield Step(text=f"and {len(more)} more, in the annex of findings", slot=Slot.NONE)


def _asked(given: Given) -> Iterator[Step]:
    """The open questions that matter most."""
    for question in questions(given.job)[:MOST_QUESTIONS]:
        words = sentence_case(question.text)
        yield Step(at=question.about, text=words, note=question.how, slot=Slot.LINE)


PAGE = Page(key="questions", stage=Stage.SURVEY, make=questions_section, order=1)
