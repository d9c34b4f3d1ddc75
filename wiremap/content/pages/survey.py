"""The readings before the cut: volts, then ohms, never mixed."""

from __future__ import annotations

from collections.abc import Iterator, Set

from wiremap.content.given import Given
from wiremap.content.pieces import Block, Card, Cards, Deed, Deeds, Section, Text
from wiremap.content.stages import Page, Stage
from wiremap.content.words import listed, ohms_band, sentence_case, volts_band
from wiremap.model import CHASSIS
from wiremap.survey.rows import Row, Survey

OWED = "due"
TITLE = "Survey before the cut"
NOTHING = "There is no machine-side cavity to survey."


def survey_section(given: Given) -> Section:
    """The survey's readings; those that are still owed are marked."""
    survey = given.survey
    if survey is None or not survey.rows:
        return Section(key="survey", title=TITLE, blocks=(Text(NOTHING),))
    unread = frozenset(given.not_surveyed)
    blocks: list[Block] = []
    owed = 0
    for name in ("volts", "ohms"):
        cards = [_card(row, unread) for row in survey.block(name)]
        owed += sum(card.mark == OWED for card in cards)
        if cards:
            blocks.append(Cards(f"{name.capitalize()}: {survey.how(name)}", tuple(cards)))
    for alike in survey.alike:
        each = ohms_band(alike.low, alike.high)
        blocks.append(Text(f"{sentence_case(alike.how)} ({each} each)."))
    blocks += _terminators(survey)
    lead = "The same must be read again at the new face."
    if owed and given.surveyed[0]:
        lead = f"{owed} rows are still to read, and no wire of theirs is cut before. {lead}"
    return Section(
        key="survey",
        title=TITLE,
        drawn_from="old face, unit unplugged",
        blocks=tuple(blocks),
        lead=lead,
    )


def _terminators(survey: Survey) -> Iterator[Block]:
    """The terminator question: a reading for each half, then what a reading means."""
    groups: dict[tuple[tuple[str, str], ...], list[Deed]] = {}
    for terminator in survey.terminators:
        when = "" if "after the cut" in terminator.where else ", after the cut"
        text = f"{terminator.where}{when}: {terminator.red} to {terminator.black}"
        groups.setdefault(terminator.steps, []).append(Deed(text=text, blanks=1, unit="Ω"))
    for steps, deeds in groups.items():
        yield Deeds("Terminators, battery off", tuple(deeds))
        yield Text(" ".join(_meaning(reads, so) for reads, so in steps))


def _meaning(reads: str, so: str) -> str:
    unit = " Ω" if reads.removeprefix("under ").isdigit() else ""
    return f"{sentence_case(reads)}{unit}: {so}."


def _card(row: Row, unread: Set[str]) -> Card:
    """One row; volts name the red probe alone where the black one stands on battery minus."""
    key = f"ignition {row.key}" if row.key else ""
    state = listed(key, row.state)
    volts = row.block == "volts"
    band = volts_band if volts else ohms_band
    owed = row.red in unread or row.black in unread
    return Card(
        n=str(row.n),
        red=row.red,
        black="" if volts and row.black == CHASSIS else row.black,
        expect=band(row.low, row.high),
        write=True,
        note=f"{state}; {row.source}" if state else row.source,
        mark=OWED if owed else "",
    )


PAGE = Page(key="survey", stage=Stage.ANNEX, make=survey_section, annex="survey")
