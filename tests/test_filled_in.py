"""A sheet filled in: what the notebook holds stands at its steps, and nothing that no longer counts."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from sheet_cases import demo_given, outside, overlaps, plain, read
from test_papers_kept import adapter, with_entries

from wiremap.cli.main import main
from wiremap.content.filled import filled
from wiremap.content.given import Given
from wiremap.content.pieces import Section, Sheet
from wiremap.content.steps import Slot, Step, Steps, TwoNames
from wiremap.entries.deeds import kept_deed
from wiremap.firstpower.deeds import step_words
from wiremap.model import Address, Entry, EntryKind, Seen, Stop
from wiremap.sheet import compose, pdf

RK = {"by": "RK", "date": "2026-03-04"}


def sheet_of(given: Given) -> Sheet:
    """A sheet with a step for every reading of survey, ring-out and first power, and the stops."""
    assert given.survey is not None
    names = [f"S{row.n}" for row in given.survey.rows]
    names += [f"RO{probe.n}" for probe in given.probes]
    names += [f"P{step.n}" for step in given.power]
    steps = [Step(n=n, text="read", slot=Slot.BLANK) for n in names]
    steps += [
        Step(n="4.3", at="supply", text="crimped"),
        Step(n="4.4", text="told", slot=Slot.NONE),
    ]
    stops = [
        TwoNames(n=n, stop=stop, name=stop, steps=(), alone="") for n, stop in enumerate(Stop, 1)
    ]
    blocks = (Steps(title="all", steps=tuple(steps)), *stops)
    return Sheet(compose(given).head, (Section(key="all", title="All", blocks=blocks),))


def filled_steps(given: Given) -> dict[str, Step]:
    """The steps of that sheet by their names, filled in."""
    (section,) = filled(sheet_of(given), given).sections
    block = section.blocks[0]
    assert isinstance(block, Steps)
    return {step.n: step for step in block.steps}


def stops(given: Given) -> dict[int, tuple[str, ...]]:
    """Who signed which stop."""
    (section,) = filled(sheet_of(given), given).sections
    return {block.n: block.signed for block in section.blocks if isinstance(block, TwoNames)}


def probe(given: Given, seen: Seen) -> tuple[str, Entry]:
    """The first reading of the plan that asks for a beep, and an entry at its points."""
    found = next(p for p in given.probes if p.expect == "beep" and not p.state)
    return f"RO{found.n}", Entry(
        kind=EntryKind.PROBE, red=found.red, black=found.black, seen=seen, **RK
    )


def test_survey_readings_stand_at_their_rows() -> None:
    """Every row of the adapter's survey that its notebook answers shows the figure and the hand."""
    given = adapter()
    filled_in = filled_steps(given)
    assert given.survey is not None
    row = next(r for r in given.survey.rows if (r.red, r.key) == ("camera.1", "on"))
    assert (filled_in[f"S{row.n}"].seen, filled_in[f"S{row.n}"].by) == ("12.3 V", "RK")
    rows = {n: step for n, step in filled_in.items() if n.startswith("S")}
    left = {row.red for row in given.survey.rows if not rows[f"S{row.n}"].seen}
    assert (len(rows), left) == (26, {"lamp.1", "lamp.2", "lamp.4"})  # ohms that nobody has read


def test_a_probe_stands_at_its_step_whichever_way_it_was_set() -> None:
    """Red and black exchanged are the same reading."""
    n, entry = probe(demo_given(), Seen.BEEP)
    other = replace(entry, red=entry.black, black=entry.red)
    for each in (entry, other):
        assert filled_steps(with_entries(demo_given(), each))[n].seen == "beep"
    assert not filled_steps(demo_given())[n].seen


def test_a_silence_between_combs_holds_their_points_apart() -> None:
    """The adapter was read one against the rest: every silence of the plan is written in."""
    given = adapter()
    filled_in = filled_steps(given)
    silent = [f"RO{p.n}" for p in given.probes if p.expect == "silent" and not p.state]
    assert silent and {filled_in[n].seen for n in silent} == {"silent"}


def test_what_was_read_before_a_repair_is_not_shown() -> None:
    """Mended: the step is empty until it is read again."""
    n, entry = probe(demo_given(), Seen.SILENT)
    mended = Entry(
        kind=EntryKind.MENDED, points=(*entry.red, *entry.black), what="crimped anew", **RK
    )
    was = filled_steps(with_entries(demo_given(), entry))[n]
    assert (was.seen, was.wrong) == ("silent: wrong", True)
    assert not filled_steps(with_entries(demo_given(), entry, mended))[n].seen
    again = replace(entry, seen=Seen.BEEP)
    assert filled_steps(with_entries(demo_given(), entry, mended, again))[n].seen == "beep"


def test_first_power_stands_at_its_step() -> None:
    """Volts at an unmated contact, right and wrong."""
    step = next(
        s for s in demo_given().power if s.quantity == "V" and s.red and s.black and not s.state
    )
    assert step.low is not None and step.high is not None
    entry = Entry(
        kind=EntryKind.POWER,
        red=(Address.read(step.red or ""),),
        black=(Address.read(step.black or ""),),
        volts=step.low,
        key=step.key,
        **RK,
    )
    assert filled_steps(with_entries(demo_given(), entry))[f"P{step.n}"].seen == f"{step.low:g} V"
    high = replace(entry, volts=step.high + 3)
    assert (
        filled_steps(with_entries(demo_given(), high))[f"P{step.n}"].seen
        == f"{step.high + 3:g} V: wrong"
    )


def test_deeds_by_number_or_by_words_and_the_two_names() -> None:
    """`--done 4.3`, or what the step says; a step that is only told stays as it is."""
    for what in ("4.3", "Supply crimped."):
        done = Entry(kind=EntryKind.DONE, what=what, **RK)
        assert (filled_steps(with_entries(demo_given(), done))["4.3"].seen) == "done"
    told = Entry(kind=EntryKind.DONE, what="4.4", **RK)
    assert not filled_steps(with_entries(demo_given(), told))["4.4"].seen
    passed = Entry(kind=EntryKind.STOP_PASSED, stop=Stop.SLEEVES, second="HM", time="14:05", **RK)
    alone = Entry(kind=EntryKind.STOP_PASSED, stop=Stop.CUT, alone=True, **RK)
    assert stops(with_entries(demo_given(), passed, alone)) == {
        1: ("RK, 2026-03-04", "alone, read aloud"),
        2: ("RK, 2026-03-04 14:05", "HM"),
        3: (),
        4: (),
    }


def test_what_the_page_has_ticked_stands_on_paper() -> None:
    """Boxes of a joint by its name, steps of first power by theirs; not so is wrong."""
    step = next(s for s in demo_given().power if not (s.quantity and s.red))
    done = kept_deed("first power", step_words(step))
    tug = Entry(kind=EntryKind.DONE, what="joint spinner: tug", **RK)
    ticked = Entry(kind=EntryKind.DONE, what=done, **RK)
    undone = Entry(
        kind=EntryKind.DONE, what=kept_deed("first power, not so", step_words(step)), **RK
    )
    assert filled_steps(with_entries(demo_given(), ticked))[f"P{step.n}"].seen == "done"
    told = filled_steps(with_entries(demo_given(), ticked, undone))[f"P{step.n}"]
    assert (told.seen, told.by, told.wrong) == ("not so: wrong", "RK", True)
    given = with_entries(demo_given(), tug)
    found = [
        (step.n, step.want)
        for section in compose(given).sections
        for block in section.blocks
        if isinstance(block, Steps)
        for step in block.steps
        if step.seen == "done"
    ]
    assert found == [("", "tug")]


def test_it_is_drawn_clear_of_everything() -> None:
    """Figures, ticks and names on paper: nothing over anything, long names too."""
    _, entry = probe(demo_given(), Seen.BEEP)
    by = "Aleksandr Säkkijärvi-Ылыынкин of the night shift"
    done = Entry(kind=EntryKind.DONE, what="4.3", by=by, date="2026-03-04")
    passed = Entry(kind=EntryKind.STOP_PASSED, stop=Stop.CUT, by=by, second=by, date="2026-03-04")
    given = with_entries(demo_given(), replace(entry, by=by), done, passed)
    pages = read(pdf(filled(sheet_of(given), given)))
    assert all(not outside(page) and not overlaps(page) for page in pages)
    assert plain("beep") in plain("".join(page.text for page in pages))


def test_the_command_prints_it(tmp_path: Path) -> None:
    """`--filled-in` adds the record; without it the sheet is as blank as before."""
    job = Path(adapter().job.path)
    for more, there in (([], False), (["--filled-in"], True)):
        out = tmp_path / f"{there}.pdf"
        assert main(["sheet", str(job), "-o", str(out), *more]) == 0
        text = plain("".join(page.text for page in read(out.read_bytes())))
        assert (plain("Last entry: RK") in text) == there
