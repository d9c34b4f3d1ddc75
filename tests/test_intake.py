"""Tables taken in and given back: every dialect that people save, nothing dropped, nothing guessed, nothing run.

The tables are written with Python's csv module and with openpyxl, and what comes out is read by them again.
"""

from __future__ import annotations

import csv
import io
import json
import os
import re
import subprocess
import time
import zipfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from called import called
from demo_jobs import DEMO
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from wiremap.files import load_job, load_pinout
from wiremap.model import Cavity, Pinout, Span, Wire, frozen
from wiremap.naming import read_signal
from wiremap.share.cells import formula_safe, without_apostrophes
from wiremap.share.compare import compare_pinouts
from wiremap.share.csv_out import job_csv, not_carried, pinout_csv
from wiremap.share.headings import field_of
from wiremap.share.intake import intake
from wiremap.share.taking import Intake
from wiremap.trade.colours import Colour, read_colour
from wiremap.trade.functions import FUNCTIONS


def taken(path: Path, text: str | bytes, **how: Any) -> Intake:
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return intake(path, **how)


def pinout_of(found: Intake, folder: Path) -> Pinout:
    """The pinout as the strict reader finds it in the written text."""
    assert found.findings == ()
    (name,) = found.files
    (folder / name).write_text(found.files[name], encoding="utf-8")
    loaded = load_pinout(folder / name)
    assert loaded.value is not None, loaded.findings
    return loaded.value


def colour(cavity: Cavity) -> str:
    assert cavity.wire is not None and cavity.wire.colour is not None
    return cavity.wire.colour.canonical


# -- dialects and languages ------------------------------------------------------------------------------

TABLES = {
    "english": ("Pin,Signal,Colour,Size\n1,CAN High,yellow,0.5 mm2\n2,Ground,black,20 AWG\n", ","),
    "german": (
        "Kontakt;Bezeichnung;Farbe;Querschnitt\n1;CAN High;gelb;0,5 mm²\n2;Masse;schwarz;20 AWG\n",
        ";",
    ),
    "french": (
        "Broche;Désignation;Couleur;Section\n1;CAN High;jaune;0,5 mm²\n2;masse;noir;20 AWG\n",
        ";",
    ),
    "swedish": ("Stift\tSignal\tFärg\tArea\n1\tCAN High\tgul\t0,5\n2\tJord\tsvart\t20 AWG\n", "\t"),
    "finnish": (
        "Nasta;Signaali;Väri;Poikkipinta\n1;CAN High;keltainen;0,5\n2;Maa;musta;20 AWG\n",
        ";",
    ),
}


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("language", TABLES)
def test_a_table_of_any_language_and_encoding(language: str, encoding: str, tmp_path: Path) -> None:
    """Headings, colour words, decimal commas and sizes in five languages and four encodings come to the same pinout."""
    p = pinout_of(taken(tmp_path / "t.csv", TABLES[language][0].encode(encoding)), tmp_path)
    assert list(p.cavities) == ["1", "2"]
    assert (colour(p.cavities["1"]), colour(p.cavities["2"])) == ("yellow", "black")
    one, two = (c.wire for c in p.cavities.values())
    assert one is not None and two is not None and two.csa_mm2 is not None
    assert (one.csa_mm2, two.gauge) == (0.5, "20 AWG")
    assert abs(two.csa_mm2 - 0.519) < 0.002  # ASTM B258: 20 AWG is 0.519 mm2
    assert p.cavities["1"].function == "can-high"


@pytest.mark.parametrize(
    ("letters", "written"),
    [
        ("iec", ("RD", "GN/WH", "BN")),
        ("german", ("rt", "gn/ws", "br")),
        ("japanese", ("R", "G/W", "Br")),
    ],
)
def test_colours_in_three_letter_systems(
    letters: str, written: tuple[str, ...], tmp_path: Path
) -> None:
    rows = "".join(f"{i},s{i},{c}\n" for i, c in enumerate(written, 1))
    p = pinout_of(
        taken(tmp_path / "t.csv", "pin,signal,colour\n" + rows, letters=letters), tmp_path
    )
    assert [colour(c) for c in p.cavities.values()] == ["red", "green/white", "brown"]


def test_a_doubtful_colour_is_kept_as_written_and_its_size_is_not_lost(tmp_path: Path) -> None:
    found = taken(tmp_path / "t.csv", "pin,signal,colour,size\n1,a,B,0.5\n2,b,P,0.35\n")
    p = pinout_of(found, tmp_path)
    assert [c.wire and c.wire.csa_mm2 for c in p.cavities.values()] == [0.5, 0.35]
    assert "wire as written: 0.5 B" in next(iter(found.files.values()))


@pytest.mark.parametrize(
    ("heading", "field"),
    [
        ("Pin-Nr.", "cavity"),
        ("Kammer", "cavity"),
        ("N° broche", None),
        ("Cross section (mm²)", "size"),
        ("Wire Color", "colour"),
        ("Bemerkung", "notes"),
        ("colour of the sky", None),
    ],
)
def test_headings(heading: str, field: str | None) -> None:
    assert field == field_of(heading)


def test_columns_named_outright(tmp_path: Path) -> None:
    """By heading or by number; one that does not exist is said."""
    text = "Ref;What;Xyz\nA1;horn;red\nA2;lamp;blue\n"
    p = pinout_of(
        taken(tmp_path / "t.csv", text, columns={"cavity": "Ref", "signal": "2", "colour": "Xyz"}),
        tmp_path,
    )
    assert (list(p.cavities), p.cavities["A1"].signal, colour(p.cavities["A1"])) == (
        ["A1", "A2"],
        "horn",
        "red",
    )
    for columns, rule in (
        ({"cavity": "9"}, "no-such-column"),
        ({"colur": "1"}, "unknown-field"),
        ({}, "no-cavity-column"),
    ):
        assert [rule] == [f.rule for f in taken(tmp_path / "t.csv", text, columns=columns).findings]


# -- nothing dropped, nothing guessed ----------------------------------------------------------------------


def test_nothing_is_dropped(tmp_path: Path) -> None:
    """Unknown columns, notes, figures without sense, lines above the headings: all stand in the written file."""
    text = "Plug X7 of the seeder,,,,,\npin,signal,torque,amps,notes,colour\n1,horn,5 Nm,a lot,check it,reddish\n2,lamp,,3 A,,red\n"
    found = taken(tmp_path / "t.csv", text)
    out = next(iter(found.files.values()))
    for word in ("Plug X7 of the seeder", "torque: 5 Nm", "amps: a lot", "check it", "reddish"):
        assert word in out
    assert pinout_of(found, tmp_path).cavities["2"].amps == 3.0


def test_a_sign_within_cells_parts_no_table_that_its_headings_part_otherwise(
    tmp_path: Path,
) -> None:
    """Two rows of three hold a semicolon as text, and a comma that might be a decimal one."""
    found = taken(tmp_path / "t.csv", "pin,signal,torque,notes\n1,,,;\n2,0;,,\n")
    assert list(pinout_of(found, tmp_path).cavities) == ["1", "2"]


CELLS = st.text(
    st.sampled_from("abcdkXYZ 0123456789+-?=@'\"/:#{}[]&*!|>%,;.äöß²"), max_size=12
).map(lambda w: " ".join(w.split()))


@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.lists(st.tuples(CELLS, CELLS, CELLS, CELLS, CELLS, CELLS), min_size=1, max_size=6))
def test_no_cell_is_ever_lost(tmp_path: Path, rows: list[tuple[str, ...]]) -> None:
    """Each cell stands in the written text: in a value as the strict reader has it, or word for word in a comment."""
    out = io.StringIO(newline="")
    csv.writer(out).writerows(
        [
            ("pin", "signal", "torque", "amps", "notes", "colour"),
            *((str(n), *row[1:]) for n, row in enumerate(rows, 1)),
        ]
    )
    found = taken(tmp_path / "t.csv", out.getvalue(), letters="iec")
    p = pinout_of(found, tmp_path)
    text = next(iter(found.files.values()))
    for n, row in enumerate(rows, 1):
        cavity = p.cavities[str(n)]
        for column, cell in enumerate(row[1:], 1):
            number = re.fullmatch(r"\+?(\d+(?:[.,]\d+)?)(?: ?A)?", cell) if column == 3 else None
            figure = number is not None and cavity.amps == float(number.group(1).replace(",", "."))
            bare = cell[1:] if cell[:1] == "'" else cell
            assert (
                bare in text
                or bare in cavity.signal
                or bare.replace('"', '\\"') in text
                or figure
                or (column == 1 and cavity.unused)
            ), (cell, text)


def test_a_column_of_functions_in_words_names_the_signal(tmp_path: Path) -> None:
    """`Function` heads wordings as often as slugs; what a pin is for must not end as a mere remark."""
    found = taken(
        tmp_path / "t.csv",
        "Pin,Function,Colour\n3,+24V always,rd/bk\n4,airbag squib,yellow\n5,lin,green\n",
        letters="iec",
    )
    p = pinout_of(found, tmp_path)
    assert [("+24V always", "permanent-supply"), ("airbag squib", "restraint"), ("", "lin")] == [
        (c.signal, c.function) for c in p.cavities.values()
    ]


def test_a_remark_that_names_a_restraint_is_heeded(tmp_path: Path) -> None:
    """A signal column beside it does not hide it."""
    p = pinout_of(taken(tmp_path / "t.csv", "pin,signal,function\n1,squib 1,airbag\n"), tmp_path)
    assert "restraint" == p.cavities["1"].function


@pytest.mark.parametrize("cell", ["-1", "-0", "99999", "1001"])
def test_a_figure_that_no_pinout_may_hold_stays_a_remark(cell: str, tmp_path: Path) -> None:
    found = taken(tmp_path / "t.csv", f"pin,signal,amps\n1,horn,{cell}\n")
    assert pinout_of(found, tmp_path).cavities["1"].amps is None
    assert cell in next(iter(found.files.values()))


def test_five_hundred_rows_are_one_reading(tmp_path: Path) -> None:
    text = "Pin;Signal;Farbe;Querschnitt\n" + "".join(
        f"{i};sensor input {i};GN/WH;0,5 mm²\n" for i in range(1, 501)
    )
    p = pinout_of(taken(tmp_path / "t.csv", text, letters="iec"), tmp_path)
    assert list(p.cavities) == [str(i) for i in range(1, 501)]
    assert {colour(c) for c in p.cavities.values()} == {"green/white"}


def test_nothing_is_guessed_about_the_view(tmp_path: Path) -> None:
    found = taken(tmp_path / "t.csv", "pin,signal\n1,a\n2,b\n")
    p = pinout_of(found, tmp_path)
    assert (p.connector.face, p.half) == (None, None)
    assert "No face is drawn" in next(iter(found.files.values()))


def test_what_was_assumed_is_listed(tmp_path: Path) -> None:
    found = taken(tmp_path / "t.csv", "1;horn\n2;lamp\n03;tail lamp\n".encode("utf-16"))
    told = "\n".join(found.assumed)
    for words in (
        "UTF-16",
        "semicolons",
        "first column taken as the cavity",
        "may have lost a leading zero",
    ):
        assert words in told


@pytest.mark.parametrize(
    ("heading", "cell", "csa", "gauge"),
    [
        ("AWG", "20", 0.519, "20 AWG"),
        ("mm2", "10", 10.0, None),
        ("size", "0,5?", 0.5, None),
        ("size", "20", None, None),
        ("gauge", "18", None, None),
        ("gauge", "18 AWG", 0.823, "18 AWG"),
        ("size", "0.5 qmm", 0.5, None),
    ],
)
def test_a_bare_figure_is_not_taken_for_the_wrong_unit(
    heading: str, cell: str, csa: float | None, gauge: str | None, tmp_path: Path
) -> None:
    """A 20 under `size` may be a gauge: it is left as a note.  Areas of the gauges: ASTM B258."""
    found = taken(tmp_path / "t.csv", f'pin,signal,{heading}\n1,horn,"{cell}"\n2,lamp,\n')
    wire = pinout_of(found, tmp_path).cavities["1"].wire
    if csa is None:
        assert wire is None and cell in next(iter(found.files.values()))
    else:
        assert wire is not None and wire.csa_mm2 is not None and abs(wire.csa_mm2 - csa) < 0.003
        assert gauge == wire.gauge


@pytest.mark.parametrize(
    ("text", "rule", "row"),
    [
        ("pin,signal\n1,a\n2-Jan,b\n", "spreadsheet-damage", 3),
        ("pin,signal\n1,a\n01.02.2026,b\n", "spreadsheet-damage", 3),
        ("pin,signal\n6E+02,a\n1,b\n", "spreadsheet-damage", 2),
        ("pin,signal\n1,a\n01. Mär,b\n", "spreadsheet-damage", 3),
        ("pin,signal\n1,a\n,b\n", "missing-cavity", 3),
        ("pin,signal\n1,a\n1,b\n", "duplicate-cavity", 3),
        ("pin,signal\n1-3,a\n2,b\n", "duplicate-cavity", 3),
        ("pin,signal\n1,a\x1b[2J\n", "hidden-character", 2),
        ("pin,signal\n1,a\u202eb\n", "hidden-character", 2),
        ("pin,signal\n1,a\ufffd\n", "hidden-character", 2),
        ("from,to\nloom.1,donor.2\nloom.2,\n", "wrong-point", 3),
        ("from,to\nloom.1,donor\n", "wrong-point", 2),
        ("from,to\nA.1,b.2\na.1,b.3\n", "same-file", 1),
    ],
)
def test_damage_is_named_with_its_row(text: str, rule: str, row: int, tmp_path: Path) -> None:
    found = taken(tmp_path / "t.csv", text)
    assert [(rule, row)] == [(f.rule, f.place.line if f.place else 0) for f in found.findings]
    assert dict(found.files) == {}


@pytest.mark.parametrize("name", ["1E5", "06E2", "A-1", "010", "+12", "-", "X1.7"])
def test_odd_but_honest_cavity_names_stay(name: str, tmp_path: Path) -> None:
    p = pinout_of(taken(tmp_path / "t.csv", f"pin,signal\n{name},horn\n2,lamp\n"), tmp_path)
    assert [name, "2"] == list(p.cavities)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\n\n\n",
        b"\x00\x01\x02",
        b'pin,signal\n1,"open\n',
        b"PK\x03\x04rubbish",
        b"just one column\nof words\n",
        b"x" * 6_000_000,
        b"pin,signal\n" + b"1,a\n" * 30_000,
        b"pin" + b",x" * 200 + b"\n1\n",
        b"\xff\xfeX",
    ],
)
def test_what_is_no_table_is_refused(data: bytes, tmp_path: Path) -> None:
    """One clear line, no traceback, nothing made."""
    found = taken(tmp_path / "t.csv", data)
    assert found.findings and all(f.fault and f.message.isprintable() for f in found.findings)
    assert dict(found.files) == {}


# -- workbooks ----------------------------------------------------------------------------------------------


def workbook(path: Path, rows: list[list[Any]], formats: dict[str, str] | None = None) -> Path:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    for cell, form in (formats or {}).items():
        book.active[cell].number_format = form
    book.save(path)
    return path


def test_a_workbook(tmp_path: Path) -> None:
    """Numbers stay whole, a number shown with zeros keeps them, decimals and words come through."""
    path = workbook(
        tmp_path / "t.xlsx",
        [["Pin", "Signal", "mm2", "Farbe"], [1, "Horn", 0.5, "rot"], [7, "Masse", "0,75", "braun"]],
        {"A3": "000"},
    )
    p = pinout_of(intake(path), tmp_path)
    assert list(p.cavities) == ["1", "007"]
    assert [c.wire and c.wire.csa_mm2 for c in p.cavities.values()] == [0.5, 0.75]


def test_a_workbook_s_damage_is_named(tmp_path: Path) -> None:
    """A date where a cavity should be; a formula whose value was never computed; a date among the signals is told."""
    from datetime import datetime

    moment = datetime(2026, 1, 2)
    assert [
        f.rule
        for f in intake(
            workbook(tmp_path / "a.xlsx", [["Pin", "Signal"], [moment, "x"], [2, "y"]])
        ).findings
    ] == ["spreadsheet-damage"]
    assert [
        f.rule
        for f in intake(
            workbook(tmp_path / "b.xlsx", [["Pin", "Signal"], ["=1+1", "x"], [3, "y"]])
        ).findings
    ] == ["spreadsheet-damage"]
    found = intake(workbook(tmp_path / "c.xlsx", [["Pin", "Signal"], [1, moment], [2, "y"]]))
    assert any("row 2" in a and "a date" in a for a in found.assumed)
    assert pinout_of(found, tmp_path).cavities["1"].signal == "2026-01-02"


def test_hostile_workbooks(tmp_path: Path) -> None:
    """A bomb, entities of its own, far too many parts: refused before the reader sees them."""
    good = workbook(tmp_path / "good.xlsx", [["Pin", "Signal"], [1, "x"]]).read_bytes()

    def changed(name: str, data: bytes) -> Intake:
        out = io.BytesIO()
        with (
            zipfile.ZipFile(io.BytesIO(good)) as old,
            zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new,
        ):
            for info in old.infolist():
                new.writestr(info.filename, data if info.filename == name else old.read(info))
            if name not in old.namelist():
                new.writestr(name, data)
        return taken(tmp_path / "t.xlsx", out.getvalue())

    entities = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;">]><x>&b;</x>'
    assert [f.rule for f in changed("xl/workbook.xml", entities).findings] == ["unfit-workbook"]
    assert [f.rule for f in changed("more.bin", bytes(4 * 2**20)).findings] == ["unfit-workbook"]
    assert [f.rule for f in taken(tmp_path / "t.xlsx", good[:-40]).findings] == ["unfit-workbook"]
    assert [f.rule for f in changed("xl/workbook.xml", b"<nonsense/>").findings] == ["wrong-table"]


# -- from/to lists ------------------------------------------------------------------------------------------


def test_a_from_to_list_becomes_a_job(tmp_path: Path) -> None:
    """Rows that share a point are one circuit; other columns stand beside it; the job loads with its pinouts."""
    text = "From;To;Signal;Wire\nloom.1;donor.3;Supply;0.5 RD\nloom.2;donor.1;Ground;\nloom.2;donor.2;Ground;\nloom.4;donor.7;Key;\n"
    found = taken(tmp_path / "list.csv", text)
    assert ("job", {"loom.yaml", "donor.yaml", "list.yaml"}) == (found.kind, set(found.files))
    for name, made in found.files.items():
        (tmp_path / name).write_text(made, encoding="utf-8")
    job = load_job(tmp_path / "list.yaml").value
    assert job is not None
    assert [c.join for c in job.circuits] == [
        ("loom.1", "donor.3"),
        ("loom.2", "donor.1", "donor.2"),
        ("loom.4", "donor.7"),
    ]
    assert "0.5 RD" in found.files["loom.yaml"] and "0.5 RD" in found.files["donor.yaml"]
    back = taken(tmp_path / "back.csv", job_csv(job))
    assert sorted(c.join for c in job.circuits) == sorted(
        c.join for c in _job(back, tmp_path / "b").circuits
    )
    assert [c.id for c in job.circuits] == [c.id for c in _job(back, tmp_path / "c").circuits]


def _job(found: Intake, folder: Path) -> Any:
    folder.mkdir()
    for name, made in found.files.items():
        (folder / name).write_text(made, encoding="utf-8")
    (name,) = [n for n in found.files if "wiremap: job/1" in found.files[n]]
    return load_job(folder / name).value


# -- the way back ---------------------------------------------------------------------------------------------

WORDS = (
    st.text(st.sampled_from("abcXYZ 0123456789+-=@'\"/;,.äöüéß"), max_size=20)
    .map(str.strip)
    .filter(lambda w: w == "" or w.strip("'"))
)
COLOURS = [
    c
    for c in (
        read_colour(w) for w in ("red", "green/white", "brown", "violet/grey", "RDBU", "black")
    )
    if isinstance(c, Colour)
]
NAMES = st.text(st.sampled_from("ABC123+-"), min_size=1, max_size=4).filter(
    lambda n: n.strip("0123456789-") != "" or n.isdigit()
)
FIGURES = st.sampled_from([0.1, 1.0, 2.5, 12.0, 250.0])


@st.composite
def cavities(draw: st.DrawFn, name: str) -> Cavity:
    signal = draw(WORDS)
    stated = draw(st.sampled_from([None, *sorted(FUNCTIONS)]))
    volts = draw(st.sampled_from([None, Span.of(12.0), Span(9.0, 16.0), Span.of(2.5)]))
    csa, shade = (
        draw(st.sampled_from([None, 0.35, 0.5, 2.5])),
        draw(st.sampled_from([None, *COLOURS])),
    )
    wire = (
        Wire("", csa, colour=shade, doubtful=draw(st.booleans()) and csa is not None)
        if csa or shade
        else None
    )
    reading = read_signal(signal, stated=stated, volts=(volts.low, volts.high) if volts else None)
    return Cavity(
        name=name,
        reading=reading,
        signal=signal,
        flow=draw(st.sampled_from([None, "to-unit", "from-unit", "both"])),
        volts=volts,
        amps=draw(st.none() | FIGURES),
        need=draw(st.sampled_from(["must", "may"])),
        wire=wire,
        pair=draw(st.sampled_from([None, "p", "implement"])),
        chain=draw(st.sampled_from([None, "guard"])),
        kbit_s=draw(st.none() | FIGURES),
        basis=draw(st.sampled_from(["told", "document", "measured"])),
    )


@st.composite
def pinouts(draw: st.DrawFn) -> Pinout:
    names = draw(st.lists(NAMES, min_size=1, max_size=6, unique=True))
    return Pinout(title="t", path="t.yaml", cavities=frozen({n: draw(cavities(n)) for n in names}))


@settings(
    max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(pinouts())
def test_a_pinout_comes_back_from_csv_as_it_was(tmp_path: Path, p: Pinout) -> None:
    """Whatever a table can carry: names that begin with signs, quotes, commas, every function, colours, sizes, spans."""
    found = taken(tmp_path / "t.csv", pinout_csv(p))
    back = pinout_of(found, tmp_path)
    same = replace(
        back,
        source=p.source,
        title=p.title,
        letters=p.letters,
        cavities=frozen({n: replace(c, source="") for n, c in back.cavities.items()}),
    )
    assert compare_pinouts(p, same) == []


@settings(max_examples=60, deadline=None)
@given(pinouts())
def test_no_cell_of_the_way_back_is_a_formula(p: Pinout) -> None:
    """Read by Python's csv: no cell begins with a sign that spreadsheets run (OWASP's list)."""
    text = pinout_csv(p)
    rows = list(csv.reader(io.StringIO(text, newline="")))
    assert len(p.cavities) + 1 == len(rows)
    assert [
        cell
        for row in rows
        for cell in row
        if cell[:1] in ("=", "+", "-", "@", "\t", "\r", "\n") and cell
    ] == []


def test_the_way_back_through_a_spreadsheet(tmp_path: Path) -> None:
    """CSV to a workbook cell by cell (openpyxl), and taken in again: the demo's loom is as it was."""
    p = load_pinout(DEMO / "series1-loom.yaml").value
    assert p is not None
    workbook(tmp_path / "t.xlsx", list(csv.reader(io.StringIO(pinout_csv(p), newline=""))))
    found = intake(tmp_path / "t.xlsx")
    back = pinout_of(found, tmp_path)
    kept = (
        "function",
        "flow",
        "volts",
        "amps",
        "pair",
        "chain",
        "kbit_s",
        "need",
        "basis",
        "signal",
    )
    for name, c in p.cavities.items():
        assert [getattr(c, k) for k in kept] == [getattr(back.cavities[name], k) for k in kept]
        assert (c.wire and (c.wire.csa_mm2, c.wire.colour and c.wire.colour.canonical)) == (
            (w := back.cavities[name].wire) and (w.csa_mm2, w.colour and w.colour.canonical)
        )


def test_what_a_table_cannot_carry_is_said() -> None:
    p = load_pinout(DEMO / "series1-loom.yaml").value
    assert p is not None
    assert tuple(
        w
        for w in not_carried(p)
        if w in ("the face", "ohms behind", "ohms inside") or w.startswith("further")
    ) == ("the face", "ohms behind", "ohms inside", "further claims of 12, 13")


def test_the_command(tmp_path: Path) -> None:
    def run(*args: str) -> subprocess.CompletedProcess[str]:
        return called("intake", *args)

    (tmp_path / "t.csv").write_text("pin,signal\n1,horn\n2,lamp\n")
    made = run(str(tmp_path / "t.csv"), "-o", str(tmp_path / "out"), "--json")
    assert (
        made.returncode,
        json.loads(made.stdout)["wiremap"],
        json.loads(made.stdout)["kind"],
    ) == (0, "intake/1", "pinout")
    assert (tmp_path / "out" / "t.yaml").is_file()
    again = run(str(tmp_path / "t.csv"), "-o", str(tmp_path / "out"))
    assert again.returncode == 2 and "already" in again.stderr
    back = run("--back", str(DEMO / "series1-loom.yaml"))
    assert (
        back.returncode == 0
        and '"Spinner speed"' in back.stdout
        and "not in the table" in back.stderr
    )
    assert run(str(tmp_path / "none.csv")).returncode == 2


HOSTILE_TABLES = {
    "a cavity without end": ("t.xlsx", [["pin", "signal"], [1e308 * 10, "x"]]),
    "a signal longer than a name may be": ("t.csv", "pin,signal\n1," + "x" * 300 + "\n"),
    "a range that no connector has": ("t.csv", "pin,signal\n1-99999999999,x\n2,y\n"),
    "a cell beyond what csv reads": ("t.csv", 'pin,signal\n1,"' + "x" * 200_000 + '"\n'),
    "a workbook with a damaged part": ("t.xlsx", "damaged"),
    "a million empty cells": ("t.xlsx", "empty"),
}


@pytest.mark.parametrize("told", HOSTILE_TABLES)
def test_nonsense_in_a_table_is_refused(told: str, tmp_path: Path) -> None:
    """A fault that names the table; no file is made of it, nothing takes long."""
    name, content = HOSTILE_TABLES[told]
    path = tmp_path / name
    if name.endswith(".csv"):
        path.write_text(str(content))
    else:
        path.write_bytes(workbook_of(content))
    taken_in = intake(path)
    assert taken_in.findings and not taken_in.files
    assert all(found.fault for found in taken_in.findings)


def workbook_of(content: object) -> bytes:
    """A workbook with these rows; or one with a damaged part; or one of empty texts alone."""
    out = io.BytesIO()
    if content == "damaged":
        sound = workbook_of([["pin", "signal"], ["1", "x"]])
        at = sound.index(b"xl/worksheets/sheet1.xml") + 40
        return sound[:at] + b"\xff" * 8 + sound[at + 8 :]
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet()
    rows = content if isinstance(content, list) else [[""] * 100] * 5000
    for row in rows:
        sheet.append(row)
    book.save(out)
    return out.getvalue()


def test_a_pipe_is_no_table(tmp_path: Path) -> None:
    """A named pipe, which would never end, is refused at once."""
    os.mkfifo(tmp_path / "t.csv")
    assert ["not-a-file"] == [found.rule for found in intake(tmp_path / "t.csv").findings]


@pytest.mark.parametrize("text", ["=1+1", "a;=1+1", "＝1", "a; ＋b", "'x", "a;'b", "plain", ""])
def test_formulas_are_made_safe_and_come_back(text: str) -> None:
    """No cell, and no part of one behind a semicolon, begins with a sign that spreadsheets run."""
    safe = formula_safe(text)
    assert text == without_apostrophes(safe)
    assert not any(part.strip()[:1] in tuple("=+-@＝＋－＠") for part in safe.split(";"))


@pytest.mark.parametrize("written", ["1e-400", "1_0", "0x10", "nan", "true"])
def test_a_number_that_would_be_read_as_another_is_refused(written: str, tmp_path: Path) -> None:
    """A reader makes nought of 1e-400 and ten of 1_0: no spreadsheet writes either."""
    found = intake(with_number(tmp_path, written)).findings
    assert ["unfit-workbook"] == [each.rule for each in found]
    assert f"`{written}`" in found[0].message


@pytest.mark.parametrize("written", ["1", "-0", "12.5", "1E0", "2e-3"])
def test_numbers_as_spreadsheets_write_them_pass(written: str, tmp_path: Path) -> None:
    assert () == intake(with_number(tmp_path, written)).findings


def with_number(folder: Path, written: str) -> Path:
    """A workbook with a number written in that way."""
    path = workbook(folder / "n.xlsx", [["Pin", "Signal"], [77, "x"]])
    return changed(path, {"xl/worksheets/sheet1.xml": (b"<v>77</v>", f"<v>{written}</v>".encode())})


def changed(path: Path, parts: dict[str, tuple[bytes, bytes]]) -> Path:
    """A workbook with some bytes of its parts replaced."""
    with zipfile.ZipFile(path) as book:
        data = {name: book.read(name) for name in book.namelist()}
    for name, (old, new) in parts.items():
        assert old in data[name]
        data[name] = data[name].replace(old, new, 1)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as book:
        for name, content in data.items():
            book.writestr(name, content)
    return path


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_entities_are_found_wherever_they_stand(encoding: str, tmp_path: Path) -> None:
    """Across the edge of what is read in one go, and in another encoding."""
    path = workbook(tmp_path / "e.xlsx", [["Pin", "Signal"], [1, "x"]])
    with zipfile.ZipFile(path) as book:
        data = {name: book.read(name) for name in book.namelist()}
    name = "xl/worksheets/sheet1.xml"
    noise = "".join(f"{number:x}" for number in range(30_000))
    for shift in range(4):
        head = f"<!--{noise[: 65_530 - shift]}-->" if encoding == "utf-8" else ""
        text = f'{head}<!DOCTYPE a [<!ENTITY b "x">]>{data[name].decode()}'
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as book:
            for each, content in {**data, name: text.encode(encoding)}.items():
                book.writestr(each, content)
        assert "entities" in intake(path).findings[0].message


def test_yes_and_no_of_a_sheet_stay_as_they_are_shown(tmp_path: Path) -> None:
    """A spreadsheet shows TRUE and FALSE, whatever they mean to it."""
    path = workbook(tmp_path / "b.xlsx", [["Pin", "Signal"], [1, True], [2, False]])
    signals = [cavity.signal for cavity in pinout_of(intake(path), tmp_path).cavities.values()]
    assert ["TRUE", "FALSE"] == signals


def test_rows_that_are_only_counted_cost_little(tmp_path: Path) -> None:
    """One filled row at the end of 19,000 empty ones."""
    path = workbook(tmp_path / "r.xlsx", [["Pin", "Signal"], [1, "x"]])
    sheet = "xl/worksheets/sheet1.xml"
    changed(path, {sheet: (b'<row r="2"', b'<row r="19000"')})
    changed(path, {sheet: (b'"A2"', b'"A19000"')})
    changed(path, {sheet: (b'"B2"', b'"CV19000"')})
    began = time.process_time()
    intake(path, columns={"cavity": "1", "signal": "100"})
    assert time.process_time() - began < 3


def test_more_sheets_than_a_person_fills_are_refused(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    for number in range(20):
        book.create_sheet(f"s{number}").append(["Pin", "Signal"])
    book.save(tmp_path / "s.xlsx")
    found = intake(tmp_path / "s.xlsx").findings
    assert ["more than 20 sheets"] == [each.message for each in found]


def test_only_what_could_not_be_read_is_left_as_a_remark(tmp_path: Path) -> None:
    """12 V and 3 A are taken; words that are no volts stay beside the contact as they were written."""
    text = "pin,signal,volts,amps\n1,Battery +,12,3\n2,Ground,about nothing,3\n"
    (made,) = taken(tmp_path / "t.csv", text).files.values()
    assert "1: {signal: Battery +, volts: 12, amps: 3}\n" in made
    assert "2: {signal: Ground, amps: 3}   # volts: about nothing\n" in made
