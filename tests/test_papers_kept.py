"""What stays with the machine: the way back, the card as fitted, the record and the handing-over line."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from demo_jobs import DEMO
from sheet_cases import demo_given, outside, overlaps, plain, read, steps_of

from wiremap.check import check_job
from wiremap.content.fitted import FittedCard
from wiremap.content.gather import given_of
from wiremap.content.given import Given
from wiremap.content.pages.fitted_card import fitted_section
from wiremap.content.pages.handover import handover_section
from wiremap.content.pages.record import record_section
from wiremap.content.pages.way_back import way_back_section
from wiremap.content.pieces import Ledger, Section, Sheet, TextPiece
from wiremap.content.record import cured, days, fitter, how_far
from wiremap.evidence import Count
from wiremap.files import load_job
from wiremap.firstpower.judge import power_judge
from wiremap.model import Address, Entry, EntryKind, Notebook, Seen, Stop
from wiremap.sheet import compose, pdf

ADAPTER = DEMO / "adapter" / "job.yaml"


def adapter() -> Given:
    """The plug-to-plug demo."""
    loaded = load_job(ADAPTER)
    assert loaded.value is not None
    return given_of(check_job(loaded.value, read=loaded.findings))


def with_entries(given: Given, *entries: Entry) -> Given:
    """A job whose notebook holds these besides."""
    more = Notebook("more.yaml", entries)
    job = replace(given.job, notebooks=(*given.job.notebooks, more))
    return replace(given, harness=type(given.harness)(job), filled_in=True)


def printed(*sections: Section | None) -> str:
    """Sections as read back from paper, nothing over anything, nothing outside."""
    there = tuple(section for section in sections if section is not None)
    pages = read(pdf(Sheet(compose(demo_given()).head, there)))
    assert all(not outside(page) and not overlaps(page) for page in pages)
    return plain("".join(page.text for page in pages))


def test_the_way_back_parts_what_is_fed_first() -> None:
    """Battery, fuses, plugs, T, stud, wire by wire; read with the plug open, mated with all off."""
    words = [f"{step.at} {step.text}".strip() for step in steps_of(way_back_section(demo_given()))]
    order = (
        "Battery off",
        "Out: F7 5 A, socket fuse 15 A, F1 2 A; unmated: donor, gateway.",
        "feed.16 T",
        "G1 our ring",
        "one wire at a time",
        "in place of F7 10 A, socket fuse 15 A; battery on",
        "loom.1 – loom.2 ignition off, a lamp of 21 W between them burns fully",
        "the volts of its row",
        "ignition and battery off; old unit mated",
        "Battery on",
    )
    at = [next(i for i, text in enumerate(words) if part in text) for part in order]
    assert at == sorted(at)


def test_the_way_back_names_every_wire_that_was_cut() -> None:
    """All fourteen wires of the old plug with colour and what became of them, and only those."""
    section = way_back_section(demo_given())
    assert section is not None
    (rows,) = [block.rows for block in section.blocks if isinstance(block, Ledger)]
    assert [row[0] for row in rows] == [f"loom.{n}" for n in range(1, 15)]
    assert rows[2] == (
        "loom.3",
        "0.75 mm2 GN/WH green/white",
        "Spinner valve",
        "J9 at 224, spinner",
        "– | under 0.1",
    )
    assert (rows[0][4], rows[3][4]) == ("12 to 13.2 | 9 to 15", "under 0.1 | 9 to 15")
    assert rows[13][3:] == ("tied back", "S6 | S21")


def test_an_adapter_is_only_unplugged() -> None:
    """Nothing was cut: no old plug, no wire to join again."""
    section = way_back_section(adapter())
    assert section is not None and not any(isinstance(b, Ledger) for b in section.blocks)
    words = " ".join(step.text for step in steps_of(section))
    assert "mm of its own wires" not in words and "one wire at a time" not in words
    order = (
        "Out: F11 7.5 A, F12 7.5 A, F23 3 A; unmated: lamp, camera, head.",
        "in place of F11 7.5 A, F12 7.5 A, F23 3 A; battery on",
        "what was pulled off mated again",
        "Battery on",
    )
    at = [words.index(part) for part in order]
    assert at == sorted(at)


def test_the_card_says_what_is_where() -> None:
    """Fuses with what they must never be, joints by their place, parts with room for theirs, who and when."""
    section = fitted_section(demo_given())
    assert section is not None
    (card,) = section.blocks
    assert isinstance(card, FittedCard)
    lines = {line.text: line.write for part in (*card.left, *card.right) for line in part.lines}
    assert lines["F7: 5 A, never 10 A (found), at"] and lines["F1: 2 A, new, at"]
    assert "16 in the run loom to donor, 40 to 350 mm from the last tie of loom" in lines
    assert not lines["R1, resistor 120 Ω 0.5 W, between J3 at 90 and J4 at 115"]
    assert (
        lines["gateway: TA ON, TB ON, at"]
        and lines["T on feed.16; mm from its connector to the T:"]
    )
    assert lines["G1, stud M6, at"]
    assert lines["by"] and "tied back: loom.14, donor.11, donor.19" in lines
    assert "spreader-12v revision 3" in card.mark and demo_given().job.digest in card.mark


def test_it_all_fits_on_paper() -> None:
    """The way back on one page, the card in one piece, with the longest title too."""
    text = printed(
        way_back_section(demo_given()), fitted_section(demo_given()), handover_section(demo_given())
    )
    assert "continued" not in text and plain("Stopped here, at step") in text
    long = replace(demo_given().job, title="Säiliön täyttöanturi ja levittimen ohjausyksikkö " * 4)
    given = replace(demo_given(), harness=type(demo_given().harness)(long))
    assert plain("Säiliön täyttöanturi") in printed(fitted_section(given))


DONE = {"kind": EntryKind.DONE, "what": "supply", "by": "RK"}


def test_hours_are_told_where_entries_carry_times() -> None:
    """From the first entry of a day to its last; none where no times are kept."""
    given = with_entries(
        demo_given(),
        Entry(**DONE, date="2026-03-04", time="08:10"),
        Entry(**DONE, date="2026-03-04", time="12:40"),
        Entry(**DONE, date="2026-03-05"),
    )
    found = {(day.date, day.by): day for day in days(given)}
    assert found["2026-03-04", "RK"].hours == 4.5
    assert found["2026-03-05", "RK"].hours is None and found["2026-03-05", "RK"].entries == 1


def test_a_time_is_read_and_a_wrong_one_told(tmp_path: Path) -> None:
    """`time: "14:05"` in a notebook; 25 o'clock is refused with its place."""
    from wiremap.files import load_notebook

    path = tmp_path / "n.yaml"
    for written, fault in (("14:05", False), ("25:10", True), ("9:5", True)):
        path.write_text(
            "wiremap: notebook/1\nentries:\n"
            f'  - {{kind: done, what: sleeve, by: RK, date: 2026-03-04, time: "{written}"}}\n'
        )
        loaded = load_notebook(path)
        assert any(found.fault for found in loaded.findings) == fault
        if not fault:
            assert loaded.value is not None and loaded.value.entries[0].time == "14:05"


def test_the_record_tells_every_entry() -> None:
    """As many rows as the notebook has entries, with their marks; a plain sheet has no record."""
    assert record_section(demo_given()) is None
    given = replace(demo_given(), filled_in=True)
    section = record_section(given)
    assert section is not None
    ledgers = [block for block in section.blocks if isinstance(block, Ledger)]
    count = sum(len(notebook.entries) for notebook in given.job.notebooks)
    assert len(ledgers[-1].rows) == count and all(len(row[3]) == 8 for row in ledgers[-1].rows)
    (text, *_) = [block.text for block in section.blocks if isinstance(block, TextPiece)]
    assert "surveyed 12 of 15 cavities" in text and "Next: the readings before the cut" in text
    assert plain("Stopped here") in printed(section)


def test_a_wrong_reading_is_cured_by_the_one_that_replaced_it() -> None:
    """Wrong and mended, then well once, or well twice with no repair; never well only once."""
    points = {"red": (Address("donor", "16"),), "black": (Address("loom", "12"),)}
    noted = {"by": "RK", "date": "2026-03-04"}
    wrong = Entry(kind=EntryKind.PROBE, seen=Seen.SILENT, **points, **noted)
    well = replace(wrong, seen=Seen.BEEP)
    repair = {"kind": EntryKind.MENDED, "points": points["red"], "what": "crimped anew"}
    mended = Entry(**repair, **noted)
    reading = "donor.16 to loom.12: beep; before: silent"
    repaired = "mended at donor.16: crimped anew (RK, 2026-03-04)"
    for entries, told in (
        ((wrong, mended, well), [reading, repaired]),
        ((wrong, well, well), [reading]),
        ((wrong, mended, wrong, mended, well), [reading, repaired, repaired]),
        ((wrong, mended, well, wrong), [reading, repaired]),
        ((wrong, well), []),
        ((wrong, well, wrong, well), []),
        ((wrong, mended), [repaired]),
        ((well, well), []),
    ):
        assert told == list(cured(with_entries(demo_given(), *entries))), entries


def test_a_repair_is_work() -> None:
    """The last entry and the day's hours count one that was mended."""
    given = with_entries(
        demo_given(),
        Entry(**DONE, date="2026-03-04", time="08:10"),
        Entry(
            kind=EntryKind.MENDED,
            points=(Address("donor", "12"),),
            by="AM",
            date="2026-03-04",
            time="09:00",
        ),
    )
    assert how_far(given).last == "Last entry: AM, 2026-03-04 09:00."
    assert ("AM", 1) in [(day.by, day.entries) for day in days(given)]


def test_the_card_takes_the_fitter_from_the_notebook() -> None:
    """Filled in, the names and the last day; otherwise lines to write on."""
    given = with_entries(
        demo_given(),
        Entry(**DONE, date="2026-03-04"),
        Entry(**{**DONE, "by": "HM"}, date="2026-03-05"),
    )
    found = fitter(given)
    assert found is not None and (found.names, found.date) == (("RK", "HM"), "2026-03-05")
    section = fitted_section(given)
    assert section is not None and isinstance(section.blocks[0], FittedCard)
    lines = [line.text for part in section.blocks[0].left for line in part.lines]
    assert "by RK, HM" in lines and "on 2026-03-05" in lines


def test_the_standing_says_what_comes_next() -> None:
    """From the survey to first power, which waits for the stops before it."""
    given = demo_given()
    done = (Count(15, 15), Count(19, 19))
    passed = [
        Entry(kind=EntryKind.STOP_PASSED, stop=stop, by="RK", second="AM", date="2026-03-05")
        for stop in (Stop.CUT, Stop.SLEEVES, Stop.BATTERY)
    ]
    for surveyed, rung_out, following in (
        ((3, 15), (0, 19), "the readings before the cut that are left"),
        ((15, 15), (0, 19), "the ring-out"),
        ((15, 15), (4, 19), "the ring-out"),
        (*done, "the stop before the cut"),
    ):
        assert (
            how_far(replace(given, surveyed=Count(*surveyed), rung_out=Count(*rung_out))).next
            == following
        )
    signed = replace(with_entries(given, *passed), surveyed=done[0], rung_out=done[1])
    assert how_far(signed).next == "first power"
    unread = replace(signed, surveyed=Count(3, 15), rung_out=Count(0, 19))
    assert how_far(unread).next == "the ring-out"  # what is cut is read no more as it was
    made = power_judge(given.harness, ())
    over = replace(made, left=(), due=None, verdict="pass", wrong=())
    assert how_far(replace(signed, first_power=over)).next == "nothing is left"
