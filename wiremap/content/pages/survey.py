"""The readings before the cut: volts with the ignition off and on, under load, then ohms."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from itertools import groupby
from operator import attrgetter

from wiremap.content.all_on import QUIET_VOLTS, all_on
from wiremap.content.asleep import asleep
from wiremap.content.beside_rows import beside, beside_low
from wiremap.content.fuses_pulled import feeds_proved, service_fuses_out
from wiremap.content.given import Given
from wiremap.content.loaded_steps import loaded_blocks
from wiremap.content.noted import good_ground, most_volts, noted_for
from wiremap.content.one_band import band_later, wanted_again
from wiremap.content.open_too import open_too
from wiremap.content.pieces import Block, Section
from wiremap.content.small_faces import machine_faces, unit_faces
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.told_now import told_now
from wiremap.content.unplugging import leads_out, unplugged
from wiremap.content.words import (
    ALL_OFF,
    DEAD,
    KILO,
    NOTE,
    listed,
    number,
    ohms_band,
    sentence_case,
    spaced,
    volts_band,
)
from wiremap.evidence.expected import NEAR_BATTERY
from wiremap.evidence.meter import OPEN_OHMS
from wiremap.model import CHASSIS, Address, Cavity, OnOff
from wiremap.survey.bus_pairs import AT_UNIT
from wiremap.survey.loaded import loaded_tests
from wiremap.survey.rows import Survey, SurveyRow

TITLE = "Before the cut: the machine read at its old plug"
LEAD = (
    "Red probe at a breakout lead, never through a seal. A figure that is only noted, or has "
    "a most alone, is wrong where it does not fit the name of its row."
)
OWED = "not read yet"
TAGGED = "also on the ignition key's tag"
SWITCHES = "The tag says too how every switch and door stands."
OTHERWISE = (
    "the same is wanted at first power. Another figure: stop; whoever keeps the job's files enters "
    "it in its notebook, checks it and prints this sheet again."
)


def survey_section(given: Given) -> Section | None:
    """The survey's readings in the order of work, or None where nothing is surveyed."""
    survey = given.survey
    if survey is None or not survey.rows:
        return None
    tagged = {row.n for row in wanted_again(given)}
    blocks: list[Block] = [
        *machine_faces(given),
        Steps(steps=tuple(unplugged(given))),
        *_volts(given, survey, tagged),
        *all_on(given, survey),
        *feeds_proved(given),
        *loaded_blocks(given),
        *asleep(given),
        *service_fuses_out(given),
        *_ohms(given, survey, tagged),
    ]
    return Section(
        key="survey",
        title="The machine read at its own plugs" if given.adapter else TITLE,
        drawn_from="the machine's plugs, unit unplugged",
        blocks=tuple(blocks),
        lead=spaced(LEAD, _had(given)),
        fresh=False,
        faces_again=True,
    )


def _had(given: Given) -> str:
    """How much of it the notebook has, on a sheet that does not print what was read."""
    surveyed = given.surveyed
    if given.filled_in or not surveyed.done:
        return ""
    left = f"; a row of another bears “{OWED}”" if surveyed.done < surveyed.of else ""
    return f"The notebook has {surveyed} cavities{left}."


def _volts(given: Given, survey: Survey, tagged: Collection[int]) -> Iterator[Steps]:
    """A sweep over every contact with the ignition off, then one with it on."""
    every = [row for row in survey.block("volts") if row.state is None]
    unsure = [row.red for row in every if band_later(given, row) is not None]
    lead = f"{listed(*dict.fromkeys(unsure))}: {OTHERWISE}" if unsure else ""
    lead = spaced(lead, SWITCHES if any(row.n in tagged for row in every) else "")
    ignition: OnOff | None = OnOff.OFF  # as the plugs were opened
    for key, rows in groupby(every, attrgetter("key")):
        turned = (Step(text=f"Ignition {key}."),) if key is not None and key != ignition else ()
        ignition = key
        yield Steps(
            title=f"Volts, ignition {key}, black probe on battery minus; a supply within "
            f"{number(NEAR_BATTERY.high)} V of the battery's own",
            lead=lead,
            steps=(*turned, *(_step(given, survey, row, tagged) for row in rows)),
            title_again=True,
        )
        lead = ""


def _ohms(given: Given, survey: Survey, tagged: Collection[int]) -> Iterator[Block]:
    """Battery off, proven dead, then ohms."""
    rows = survey.block("ohms")
    if not rows:
        return
    supply = _may_be_live(given, survey)
    off = Step(text=f"{sentence_case(ALL_OFF)}; all still asleep.")
    dead = Step(
        at=f"{supply} – chassis",
        text="dead; then the meter proved again on a live source",
        want=DEAD,
        slot=Slot.BLANK,
        unit="V",
    )
    yield Steps(title="Battery off", steps=(off, dead))
    own = [row for row in rows if row.at_unit]
    behind = (*leads_out(given), *told_now(given))
    yield Steps(
        title="Ohms, leads and all; before each the volts between its points: "
        "above 0.1 V ohms do not count",
        steps=(
            *(_step(given, survey, row, tagged) for row in rows if not row.at_unit),
            *_alike(given, survey),
            *(() if own else behind),
        ),
        title_again=True,
    )
    if own:
        ends = {Address.read(row.red).end for row in own}
        yield from unit_faces(given, ends)
        steps = (*(_step(given, survey, row, tagged) for row in own), *behind)
        yield Steps(title="Ohms in the new unit", steps=steps)


def _may_be_live(given: Given, survey: Survey) -> str:
    """A contact at which dead tells something: it was live, or could have been."""
    volts = survey.block("volts")
    live = [row.red for row in volts if row.low is not None and row.low > QUIET_VOLTS]
    perhaps = [row.red for row in volts if row.high is None]
    fed = [str(test.supply) for test in loaded_tests(given.job)]
    return next(iter((*fed, *live, *perhaps, survey.block("ohms")[0].red)))


def _cavity(given: Given, address: str) -> Cavity | None:
    point = given.harness.points.get(address)
    return point.cavity if point is not None else None


def _alike(given: Given, survey: Survey) -> Iterator[Step]:
    """What ohms do not tell apart, each by its name: it is struck off where it shows at its own."""
    for alike in survey.alike:
        named = (spaced(at, _signal(given, at)) for at in alike.points)
        words = f"{sentence_case(alike.tell)}; struck off each that shows at its own"
        yield Step(text=f"{words}: {listed(*named)}")


def _step(given: Given, survey: Survey, row: SurveyRow, tagged: Collection[int]) -> Step:
    """One row; volts name the red probe alone, the black one being on battery minus.

    Those in `tagged` are wanted again later, and written on the key's tag too.
    """
    volts = row.block == "volts"
    band = volts_band if volts else ohms_band
    later = band_later(given, row) or row
    alone = volts and row.black == CHASSIS
    want = _wanted(band(later.low, later.high))
    noted = want == NOTE
    use = noted_for(given.job, survey, row) if noted else good_ground(given.job, row)
    told = TAGGED if row.n in tagged else use
    return Step(
        n=f"S{row.n}",
        at=row.red if alone else f"{row.red} – {row.black}",
        text=listed(_words(given, row), told),
        want=(most_volts(given.job, row) or want) if noted else want,
        slot=Slot.BLANK,
        unit="V" if volts else "Ω",
        reading=True,
        note=beside(given, row) or open_too(given, row),
    )


def _wanted(band: str) -> str:
    """A band in words; of an open wire from how many ohms on it counts as open."""
    return f"open: over {number(OPEN_OHMS / KILO)} kΩ" if band == number(math.inf) else band


def _words(given: Given, row: SurveyRow) -> str:
    """What is read there, in which state, whether nobody has yet, what its band does not tell."""
    signal = " to ".join(_signals(given, row))
    unread: Sequence[str] = given.not_surveyed
    owed = OWED if given.surveyed.done and (row.red in unread or row.black in unread) else ""
    state = f"{row.state}, then as it was" if row.state else ""
    at_unit = AT_UNIT if row.at_unit else ""
    return listed(signal, at_unit, state, owed, beside_low(given, row))


def _signals(given: Given, row: SurveyRow) -> Iterator[str]:
    """What a row is read at; of ohms between two contacts both."""
    for address in (row.red, row.black) if row.block == "ohms" else (row.red,):
        signal = _signal(given, address)
        if signal:
            yield signal


def _signal(given: Given, address: str) -> str:
    """What a contact is called."""
    cavity = _cavity(given, address)
    return cavity.signal if cavity is not None else ""


PAGE = Page(key="survey", stage=Stage.SURVEY, make=survey_section)
