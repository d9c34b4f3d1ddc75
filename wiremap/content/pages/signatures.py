"""What stood at the old face and must be seen again at the new one, when and how."""

from __future__ import annotations

from collections.abc import Mapping

from wiremap.content.given import Given
from wiremap.content.pieces import Card, Cards, Section
from wiremap.content.stages import Page, Stage
from wiremap.content.words import ohms_band, volts_band
from wiremap.model import CHASSIS
from wiremap.survey.rows import AsBefore, Survey

HOW = {
    "volts": "Volts: black probe on battery minus; with first power, lamps in the fuses' places, "
    "face unmated",
    "ohms": "Ohms: battery off, every sleeve shrunk, face unmated",
}


def signatures_section(given: Given) -> Section | None:
    """The readings that come back, or None where there are none."""
    survey = given.survey
    if survey is None or not survey.as_before:
        return None
    rows = _rows(survey)
    blocks = []
    for quantity, how in HOW.items():
        cards = []
        for n, signature in enumerate(survey.as_before, 1):
            if signature.quantity == quantity:
                cards.append(_card(n, signature, rows))
        if cards:
            blocks.append(Cards(how, tuple(cards)))
    return Section(
        key="signatures",
        title="As before the cut, read again after the splice",
        drawn_from="new face, unit unplugged",
        blocks=tuple(blocks),
        lead="Where it was read at the old face (first, with its row), where it must be seen "
        "again at the new one (second).",
    )


Reading = tuple[str, str, str, str | None]  # red, black, quantity, ignition key


def _rows(survey: Survey) -> dict[Reading, int]:
    """The number of the survey's row for each reading."""
    return {(r.red, r.black, r.block, r.key): r.n for r in survey.rows if r.state is None}


def _card(n: int, signature: AsBefore, rows: Mapping[Reading, int]) -> Card:
    quantity, key = signature.quantity, signature.key
    found = rows.get((*signature.before, quantity, key))
    notes = []
    if key:
        notes.append(f"ignition {key}")
    if found:
        notes.append(f"row {found}")
    band = volts_band if quantity == "volts" else ohms_band
    return Card(
        n=f"S{n}",
        red=_at(signature.before, quantity),
        black=_at(signature.after, quantity),
        expect=band(signature.low, signature.high),
        write=True,
        note="; ".join(notes),
    )


def _at(probes: tuple[str, str], quantity: str) -> str:
    """Both probes of a reading; of volts against battery minus the red one."""
    red, black = probes
    if quantity == "volts" and black == CHASSIS:
        return red
    return f"{red} to {black}"


PAGE = Page(key="signatures", stage=Stage.ANNEX, make=signatures_section, order=1, annex="survey")
