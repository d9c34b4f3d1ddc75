"""Map and faces as one SVG drawing, and wire flags as a table, on plain paper and on label paper."""

from __future__ import annotations

import hashlib
import io
import os
import subprocess
import sys
import xml.etree.ElementTree as ET
from itertools import combinations
from pathlib import Path

import pypdf
import pytest
from demo_jobs import DEMO_JOB, ROOT
from sheet_cases import MM, demo_given, plain, read, straight
from test_faces_drawn import apart, words_box
from test_sheet import _short_circuit

from wiremap.cli.main import main
from wiremap.content.drawing import Words
from wiremap.content.flags import flag_rows
from wiremap.content.labels import LabelSheet, label_pages
from wiremap.content.picture import job_picture
from wiremap.sheet import flags_pdf, labels_pdf, paper_mm, picture_svg
from wiremap.sheet.shapes import measured

SVG = "{http://www.w3.org/2000/svg}"


def texts(data: bytes) -> list[str]:
    """Every text of an SVG drawing."""
    return [each.text or "" for each in ET.fromstring(data).iter(f"{SVG}text")]


def test_the_picture_shows_every_wire_and_cavity() -> None:
    """All circuits, all points, all faces from both sides, the standing and the hash."""
    given = demo_given()
    shown = texts(picture_svg(given))
    for circuit in given.job.circuits:
        assert circuit.id in shown
        assert all(point in shown for point in circuit.join)
    for end in given.job.ends.values():
        for name in end.pinout.cavities:
            assert shown.count(name) >= 2, (end.name, name)
    assert "PAPER IN ORDER, NOT YET RUNG OUT" in shown
    assert any(given.job.digest in text for text in shown)


def test_nothing_lies_over_anything() -> None:
    """No two texts of the picture lie over each other; all are inside it."""
    drawing = job_picture(demo_given(), measured)
    boxes = [words_box(s) for s in drawing.shapes if isinstance(s, Words) and s.align != "end"]
    assert all(apart(one, two) for one, two in combinations(boxes, 2))
    for left, top, right, foot in boxes:
        assert 0 <= left and 0 <= top and right <= drawing.wide and foot <= drawing.high


def test_black_on_white_alone() -> None:
    """Readable at one bit: no grey, no colour, no picture, no script, no link."""
    root = ET.fromstring(picture_svg(demo_given()))
    tones = {each.get(key) for each in root.iter() for key in ("fill", "stroke")}
    assert tones <= {"#000", "#fff", "none", None}
    kinds = {each.tag.removeprefix(SVG) for each in root.iter()}
    assert kinds == {"svg", "title", "rect", "g", "text", "polyline", "polygon", "circle"}


@pytest.mark.parametrize(
    "words", ["<script>alert(1)</script>", 'a" onload="x', "Уровень соли", "Säiliön täyttö & vesi"]
)
def test_names_are_text(words: str, tmp_path: Path) -> None:
    """Markup in a name is drawn as it was written; other scripts come through whole."""
    title = words.replace('"', "'")
    shown = texts(
        picture_svg(straight(tmp_path, 3, "{view: mating, rows: [[1, 2, 3]]}", title=title))
    )
    assert title in shown


def test_the_file_s_ending_asks_for_the_picture(tmp_path: Path) -> None:
    """Equal bytes whatever hash seed, locale and zone."""
    sums = set()
    for seed, zone in (("1", "UTC"), ("77", "Asia/Tokyo")):
        out = tmp_path / f"{seed}.svg"
        env = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "PYTHONPATH": str(ROOT)}
        call = [sys.executable, "-m", "wiremap", "sheet", str(DEMO_JOB), "-o", str(out)]
        assert subprocess.run(call, env=env, capture_output=True).returncode == 0
        sums.add(hashlib.sha256(out.read_bytes()).hexdigest())
    assert len(sums) == 1
    assert out.read_bytes().startswith(b"<?xml")


def test_a_held_job_says_hold_over_everything(tmp_path: Path) -> None:
    """The first words of the drawing, in a heavy box."""
    shown = texts(picture_svg(_short_circuit(tmp_path)))
    assert shown[0].startswith("HOLD:") and "HOLD" in shown
    assert not any(text.startswith("HOLD") for text in texts(picture_svg(demo_given())))


LABELS = LabelSheet(across=3, down=8, wide=210.0, high=297.0, top=13.0, left=7.0)


def test_labels_stay_on_their_labels() -> None:
    """Every text of a label lies inside its label, twice, either side of the fold."""
    rows = list(flag_rows(demo_given()))
    pages = list(label_pages(rows, "spreader-12v r3", LABELS, measured))
    assert len(pages) == -(-len(rows) // 24)
    wide, high = LABELS.label_wide / 2, LABELS.label_high
    seen: dict[tuple[int, int, int], list[str]] = {}
    for number, page in enumerate(pages):
        for words in page.shapes:
            if not isinstance(words, Words):
                continue
            left, top, right, foot = words_box(words)
            column, row = int((left - 7) // wide), int((top - 13) // high)
            assert 7 + column * wide <= left and right <= 7 + (column + 1) * wide
            assert 13 + row * high <= top and foot <= 13 + (row + 1) * high
            seen.setdefault((number, row, column), []).append(words.text)
    for (number, row, column), lines in seen.items():
        if column % 2 == 0:
            assert lines == seen[number, row, column + 1]
    assert [lines[0] for key, lines in sorted(seen.items()) if key[2] % 2 == 0] == [
        r.near for r in rows
    ]


def test_labels_on_a3_are_two_sheets_side_by_side(tmp_path: Path) -> None:
    """Two sheets of labels fill one paper, each laid out as on A4."""
    rows = list(flag_rows(demo_given()))
    one, two = (read(labels_pdf(rows, "j", LABELS, paper)) for paper in ("a4", "a3"))
    assert (len(one), len(two)) == (3, 2)
    assert paper_mm("a3") == paper_mm("a4") == (210.0, 297.0)


def test_small_labels_keep_their_points() -> None:
    """On 26 by 10 mm no cavity is shortened: the type is smaller, signal and job fall off."""
    small = LabelSheet(across=8, down=29, wide=210.0, high=297.0)
    text = [
        s.text
        for page in label_pages(list(flag_rows(demo_given())), "j", small, measured)
        for s in page.shapes
        if isinstance(s, Words)
    ]
    joined = plain("".join(text))
    assert all(plain(f"{r.near}→{r.far}") in joined for r in flag_rows(demo_given()))


def test_flags_on_plain_paper_keep_their_points() -> None:
    """A wire that goes to two contacts names both."""
    shown = plain("".join(page.text for page in read(flags_pdf(demo_given()))))
    assert "…" not in shown
    assert shown.count("donor.18") == 2 * 3  # its own flag, loom.8's and donor.6's, both halves


def test_flags_by_their_ending(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """PDF or CSV; what the call gets wrong is told with the cure, and nothing is written."""
    out = tmp_path / "s.svg"
    call = ["sheet", str(DEMO_JOB), "-o", str(out)]
    labels = tmp_path / "l.pdf"
    assert main([*call, "--flags", str(labels), "--labels", "3x8", "--paper", "letter"]) == 0
    page = pypdf.PdfReader(io.BytesIO(labels.read_bytes())).pages[0]
    assert round(float(page.mediabox.width) / MM, 1) == 215.9
    out.unlink()
    for more, words in (
        (["--flags", str(tmp_path / "f.txt")], "does not say what the flags shall be"),
        (["--flags", str(tmp_path / "f.csv"), "--labels", "3x8"], "not for a table"),
        (["--flags", str(tmp_path / "f.pdf"), "--labels", "3by8"], "is no sheet of labels"),
        (["--flags", str(tmp_path / "f.pdf"), "--labels", "30x80"], "too small"),
        (
            ["--flags", str(tmp_path / "f.pdf"), "--labels", "3x8", "--label-margins", "1"],
            "are no margins",
        ),
    ):
        assert main([*call, *more]) == 2
        assert words in capsys.readouterr().err
        assert not out.exists()


def test_the_words_of_a_flag_lie_within_its_outline() -> None:
    """Whoever cuts along the lines cuts no word; both halves of a flag say the same."""
    for page in read(flags_pdf(demo_given())):
        outlines = [box for box in page.strokes if box[2] - box[0] > 80 and box[3] - box[1] > 13]
        assert outlines
        for left, top, right, foot in outlines:
            met = [
                word
                for word in page.words
                if word[3] > left and word[1] < right and word[4] > top and word[2] < foot
            ]
            for _, x0, y0, x1, y1 in met:
                assert left <= x0 and x1 <= right and top <= y0 and y1 <= foot
            half = (left + right) / 2
            first = [text for text, x0, *_ in met if x0 < half]
            assert first == [text for text, x0, *_ in met if x0 >= half] != []
