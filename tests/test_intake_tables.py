"""Tables as they come: colours settled by their column, several sheets, merged headings, lists."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest

from wiremap.cli.main import main
from wiremap.files import load_job, load_pinout
from wiremap.share.intake import ToldOfTable, intake, intake_pasted
from wiremap.share.taking import Intake

GERMAN = "Kammer;Signal;Farbe\n1;Klemme 30;rt\n2;Masse;br\n3;CAN H;ws\n4;CAN L;bl\n5;Licht;gr\n"


def pasted(text: str) -> Intake:
    """A table taken in as it is pasted."""
    taken = intake_pasted(text, ToldOfTable())
    assert not taken.findings, taken.findings
    return taken


def colours(taken: Intake) -> list[str]:
    """The words of the colours, in the order of the cavities."""
    assert taken.pinout is not None
    wires = [cavity.wire for cavity in taken.pinout.cavities.values()]
    return [wire.colour.word if wire and wire.colour else "?" for wire in wires]


def test_the_whole_column_settles_whose_letters_they_are() -> None:
    """`rt` and `ws` are no others', so `br`, `bl` and `gr` are read as German; it is told."""
    taken = pasted(GERMAN)
    assert colours(taken) == ["red", "brown", "white", "blue", "grey"]
    (told,) = [words for words in taken.assumed if "--letters" in words]
    assert "German letters" in told and "rt, ws" in told and "--letters iec or japanese" in told


@pytest.mark.parametrize(
    "column",
    [
        ("R", "W", "B", "L"),  # single letters stand in many lists, and prove nothing
        ("rt", "br", "gr", "bl"),  # one colour alone is no proof
        ("rt", "ws", "BK", "br"),  # of two systems
    ],
)
def test_what_is_not_proven_is_asked_for(column: tuple[str, ...]) -> None:
    """The doubtful colours stay remarks, and what to say is told."""
    rows = "\n".join(f"{n},S{n},{colour}" for n, colour in enumerate(column, 1))
    taken = pasted(f"pin,signal,colour\n{rows}\n")
    assert "?" in colours(taken)
    assert any("say --letters iec, german or japanese" in words for words in taken.assumed)


def test_letters_that_are_said_are_not_settled_anew() -> None:
    """`--letters` wins over the column."""
    taken = intake_pasted(GERMAN, ToldOfTable(letters="japanese"))
    assert not any("taken as" in words for words in taken.assumed)


def test_each_sheet_of_a_workbook_becomes_a_file(tmp_path: Path) -> None:
    """Two plugs on two sheets, and a sheet of remarks that is none."""
    openpyxl = pytest.importorskip("openpyxl")
    book = openpyxl.Workbook()
    sheets = (
        ("Old plug", [("Pin", "Signal"), ("1", "Supply"), ("2", "Ground")]),
        ("New plug", [("Pin", "Signal"), ("A", "Supply"), ("B", "Ground")]),
        ("Remarks", [("taken from the machine in the yard",)]),
    )
    for title, rows in sheets:
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(row)
    book.save(tmp_path / "plugs.xlsx")
    taken = intake(tmp_path / "plugs.xlsx")
    assert (taken.kind, len(taken.files)) == ("pinout", 2)
    assert any("'Remarks' is not taken in" in words for words in taken.assumed)
    titles = set()
    for name, text in taken.files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
        loaded = load_pinout(tmp_path / name).value
        assert loaded is not None
        titles.add(loaded.title)
    assert titles == {"Old plug", "New plug"}


MERGED = (
    ",From,,To,,\nWire no.,Connector,Pin,Connector,Pin,Colour\n101,X1,1,X2,3,RD\n102,X1,2,X2,4,BK\n"
)


def test_a_list_with_merged_headings_and_wire_numbers(tmp_path: Path) -> None:
    """A heading over two columns belongs to both; the wire's number names its circuit."""
    taken = pasted(MERGED)
    assert taken.kind == "job"
    for name, text in taken.files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    job = load_job(tmp_path / "pasted.yaml").value
    assert job is not None
    circuits = [(circuit.id, circuit.join) for circuit in job.circuits]
    assert circuits == [("101", ("X1.1", "X2.3")), ("102", ("X1.2", "X2.4"))]
    wire = job.ends["X2"].pinout.cavities["4"].wire
    assert wire is not None and wire.colour is not None and wire.colour.word == "black"


def test_a_wire_number_that_comes_twice_names_one_circuit() -> None:
    """The other is called after its first point, as circuits must differ in name."""
    rows = "From,To,Wire no.\na.1,b.1,7\na.2,b.2,7\n"
    text = pasted(rows).files["pasted.yaml"]
    assert text.count('id: "7"') == 1 and "a.2 - b.2" in text


def test_a_heading_merged_over_two_rows() -> None:
    """`Pin` and `Signal` stand in the upper row alone; what heads two columns is told from both."""
    taken = pasted("Connector X1,,,\nPin,Signal,Wire,\n,,Size,Colour\n1,Supply,0.75,RD\n")
    assert taken.pinout is not None
    cavity = taken.pinout.cavities["1"]
    assert (cavity.signal, cavity.wire and cavity.wire.written) == ("Supply", "0.75 RD")


def test_a_pin_table_keeps_its_wire_numbers_as_remarks() -> None:
    """Nothing is dropped: they have no field in a pinout."""
    text = pasted("Pin,Signal,Wire no.\n1,Supply,4711\n").files["pasted.yaml"]
    assert "Wire no.: 4711" in text


def test_a_table_is_pasted_into_standard_input(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """`-` reads it; the pinout is written like any other, and what comes next is said."""
    monkeypatch.setattr(sys, "stdin", io.StringIO(GERMAN.replace(";", "\t")))
    assert main(["intake", "-", "-o", str(tmp_path), "--title", "Old plug"]) == 0
    said = capsys.readouterr()
    loaded = load_pinout(tmp_path / "pasted.yaml").value
    assert loaded is not None and loaded.title == "Old plug" and len(loaded.cavities) == 5
    assert "next: see how each row was read: wiremap check" in said.err


@pytest.mark.parametrize("mark", [";", "\t"])
def test_a_decimal_comma_does_not_part_a_row(mark: str) -> None:
    """Rows that leave their last cell out have each one comma, in the size."""
    rows = ["Pin;Signal;Colour;Size;Amps", "1;+24 V;rt;1,0;4", "2;Ground;br;1,0;4"]
    rows += ["3;CAN high;ge;0,5", "4;CAN low;gn;0,5", "5;LIN;vi;0,5"]
    taken = pasted("\n".join(rows).replace(";", mark))
    assert taken.pinout is not None
    sizes = [cavity.wire and cavity.wire.csa_mm2 for cavity in taken.pinout.cavities.values()]
    assert sizes == [1.0, 1.0, 0.5, 0.5, 0.5]


def test_commas_still_part_a_row_of_figures_with_a_semicolon_in_a_text() -> None:
    taken = pasted("Pin,Signal,Amps\n1,supply; always,4\n2,ground; chassis,4\n3,lamp,2\n")
    assert taken.pinout is not None
    assert [cavity.amps for cavity in taken.pinout.cavities.values()] == [4.0, 4.0, 2.0]


def test_a_size_in_doubt_is_told_and_keeps_the_colour() -> None:
    """50 for 0.50: neither 50 mm2 nor 50 AWG is taken, and nothing is dropped in silence."""
    taken = pasted("Pin;Signal;Colour;Size\n1;+24 V;rt;1,0\n5;Ignition;sw;50\n")
    assert colours(taken) == ["red", "black"]
    assert taken.pinout is not None
    wires = [cavity.wire for cavity in taken.pinout.cavities.values()]
    assert [wire and wire.csa_mm2 for wire in wires] == [1.0, None]
    assert [each for each in taken.assumed if each == "5: size not taken: 50 (mm2 or gauge?)"]
