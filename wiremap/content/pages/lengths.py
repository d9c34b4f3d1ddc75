"""How long each conductor is cut, slack for remakes on it."""

from __future__ import annotations

from wiremap.content.given import Given
from wiremap.content.pieces import Block, Ledger, Section, Text
from wiremap.content.stages import Page, Stage
from wiremap.content.words import conductor_words, listed

COLUMNS = ("circuit", "conductor", "cut to, mm", "of it slack", "measured from")
SHARES = (18, 62, 18, 16, 36)
NOTHING = "No length can be given: state the tails, the runs and the lengths of new wires."
LEAD = (
    "Both cuts of a joint make the run and their slack, which is for remaking it twice. Measure, "
    "mark, cut one wire at a time."
)


def lengths_section(given: Given) -> Section:
    """A row for each conductor that is cut."""
    worked = {circuit.id for circuit in given.worked}
    rows = []
    for cut in given.cuts:
        conductor = given.harness.conductors[cut.conductor]
        if conductor.circuit in worked:
            words = conductor_words(given.harness, conductor)
            lengths = (f"{cut.mm:.0f}", f"{cut.slack_mm:.0f}")
            rows.append((conductor.circuit, words, *lengths, cut.measured_from))
    blocks: list[Block] = [Text(NOTHING)]
    if rows:
        blocks = [Ledger(COLUMNS, SHARES, tuple(rows), tick=True)]
    missing = given.sizes.missing if given.sizes else ()
    blocks += [Text(f"{m}.") for m in missing if "cut" in m.blocks]
    capped = listed(*(point.address for point in given.treated("cap")))
    return Section(
        key="lengths",
        title="Lengths to cut",
        drawn_from="from each end's last tie or branch to the cut",
        blocks=tuple(blocks),
        lead=f"{LEAD} Not shortened: {capped}." if capped else LEAD,
    )


PAGE = Page(key="lengths", stage=Stage.ANNEX, make=lengths_section, order=2, annex="lengths")
