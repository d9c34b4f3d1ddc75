"""The sheet read back from the PDF: what must be there is there, where it must be, and nothing lies over anything."""

from __future__ import annotations

import hashlib
import io
import math
import os
import subprocess
import sys
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import cast

import pypdf
import pytest
from demo_jobs import DEMO, DEMO_JOB, ROOT
from sheet_cases import (
    MM,
    demo_given,
    demo_pdf,
    given_from,
    outside,
    overlaps,
    plain,
    read,
    straight,
)

from wiremap.content.gather import gather
from wiremap.content.pieces import Strip, StripJoint, TextPiece, Warning, WireRow, WireTable
from wiremap.content.steps import Slot, Step, Steps, TwoNames
from wiremap.sheet import ANNEX_PARTS, Given, Sheet, compose, lacking, pdf
from wiremap.sheet.elements import LINE, MOST_LINES, warning
from wiremap.sheet.frame import BOTTOM, TOP
from wiremap.sheet.handstrip import _feed, _ground
from wiremap.sheet.ink import SMALL_STRONG, Ink, shorten, width
from wiremap.sheet.strip import _label, _lanes, _Part, _raised_mm
from wiremap.sheet.wiretable import AIR, _Columns, _WireRow


def only(sheet: Sheet, *keys: str) -> Sheet:
    """The sheet with these sections alone: a page takes far longer to read back than to print."""
    return replace(sheet, sections=tuple(s for s in sheet.sections if s.key in keys))


@pytest.fixture(scope="module")
def pages() -> list:
    """The demo's sheet with its whole annex, on A4."""
    return read(demo_pdf())


def test_every_page_stands_alone(pages: list) -> None:
    """Each page bears title, id, revision, hash, page n of m, the boxes, the stamp and what wiring does not prove."""
    job = demo_given().harness.job
    for page in pages:
        for words in (
            job.title,
            "spreader-12v",
            "revision 3",
            f"hash {job.digest}",
            f"page {page.number} of {len(pages)}",
            "surveyed 12 of 15",
            "paper in order, 6 not judged",
            "rung out 0 of 19",
            "PAPER IN ORDER, NOT YET RUNG OUT",
            "Wiring only: does not prove that the two units understand each other.",
        ):
            assert plain(words) in plain(page.text), (page.number, words)


def test_never_ready_to_power(pages: list) -> None:
    """Paper is no permission: the words are not used."""
    assert not any("ready to power" in page.text.lower() for page in pages)


def test_all_circuits_cavities_findings_and_probes_are_there(pages: list) -> None:
    """No circuit, joined or left cavity, finding or probe of the job is lost on the way to paper."""
    given = demo_given()
    text = plain(" ".join(page.text for page in pages))
    for circuit in given.harness.job.circuits:
        assert plain(circuit.id) in text
        assert all(point in text for point in circuit.join)
    assert all(plain(point) in text for point in given.harness.job.not_joined)
    for finding in given.findings:
        assert plain(finding.rule.replace("-", "- "))[:6] in text and all(
            plain(s) in text for s in finding.subject
        )
    assert given.plan is not None
    for probe in given.plan.probes:
        red, black = " + ".join(probe.red), probe.together or " + ".join(probe.black)
        same = "+" not in red + black and red.partition(".")[0] == black.partition(".")[0]
        near = f"{red} – {black.partition('.')[2] if same else black}"
        assert plain(near) in text or plain(f"{red} – {black}") in text


def test_live_area_on_both_papers(pages: list) -> None:
    """Nothing lies outside 180 by 259 mm, which fits A4 and Letter."""
    letter = read(pdf(only(compose(demo_given()), "faces", "strip"), "letter"))
    for page in [*pages, *letter]:
        assert not outside(page), page.number
    sizes = {
        tuple(round(float(v) / MM, 1) for v in p.mediabox[2:])
        for p in pypdf.PdfReader(io.BytesIO(demo_pdf("letter", False))).pages
    }
    assert {(215.9, 279.4)} == sizes


def test_no_text_over_text(pages: list) -> None:
    """No two characters lie over each other on any page."""
    for page in pages:
        assert not overlaps(page), page.number


def test_the_bar_is_a_hundred_millimetres(pages: list) -> None:
    """The bar measures 100.0 mm within 0.05."""
    bars = [
        s
        for p in pages
        for s in p.strokes
        if abs((s[2] - s[0]) - 100) < 0.05 and abs(s[3] - s[1]) < 0.2
    ]
    assert len(bars) == 1
    assert any("Measure this bar: 100 mm" in p.text for p in pages)


def test_the_strip_shows_the_whole_run(pages: list) -> None:
    """Both ends of the run are on the paper: the stretches add up to its 390 mm, none wider than the paper."""
    page = next(p for p in pages if "Measure this bar" in p.text)
    assert "further" not in page.text
    bar_y = next(w[2] for w in page.words if w[0] == "Measure")
    level = [s for s in page.strokes if s[1] > bar_y + 3 and s[3] - s[1] < 0.01]
    scales = [
        s for s in level if s[2] - s[0] > 45 and abs(s[0] - 6.0) < 0.05
    ]  # hatching is 40 long
    assert [390.0] == [round(sum(s[2] - s[0] for s in scales), 1)]


def test_joint_marks_lie_where_the_stagger_says(pages: list) -> None:
    """Measured from the figures on the scale, every joint's mark lies within 0.2 mm of its place."""
    strips = [
        b
        for s in compose(demo_given()).sections
        if s.key == "strip"
        for b in s.blocks
        if isinstance(b, Strip)
    ]
    assert strips and strips[0].spots
    page = next(p for p in pages if "Measure this bar" in p.text)
    bar_y = next(w[2] for w in page.words if w[0] == "Measure")
    anchors = [
        (int(w[0]), (w[1] + w[3]) / 2, w[2])
        for w in page.words
        if w[0].isdigit() and int(w[0]) % 50 == 0 and w[2] > bar_y
    ]
    marks = [s for s in page.strokes if abs(s[2] - s[0]) < 0.2 and abs((s[3] - s[1]) - 2.6) < 0.1]
    assert len(marks) == len(strips[0].spots)
    for spot in strips[0].spots:
        places = [x + spot.at_mm - value for value, x, _ in anchors]
        assert min(abs(m[0] - x) for m in marks for x in places) <= 0.2, spot.name


def test_fonts_are_embedded() -> None:
    """Every font of every page travels in the file."""
    for page in pypdf.PdfReader(io.BytesIO(demo_pdf())).pages:
        for font in page["/Resources"]["/Font"].values():
            kept = font.get_object()
            if kept["/Subtype"] == "/Type0":
                kept = kept["/DescendantFonts"][0].get_object()
            if (
                kept["/BaseFont"] == "/Helvetica"
            ):  # the library names it on every page; no text uses it
                continue
            assert "/FontFile2" in kept["/FontDescriptor"].get_object()
    assert not any("Helvetica" in str(c.get("fontname")) for c in _chars(demo_pdf()))


def _chars(data: bytes) -> list[dict]:
    import pdfplumber

    with pdfplumber.open(io.BytesIO(data)) as document:
        return [c for page in document.pages[:4] for c in page.chars]


def test_type_is_large_enough() -> None:
    """Text of the work is 10 pt or more, but for the foot, notes and column words, which are 8.5."""
    work = only(compose(demo_given()), "job", "parts", "survey", "joints", "ringout", "power")
    body = [round(c["size"], 1) for c in _chars(pdf(work)) if c["upright"]]
    assert min(body) >= 8.5
    assert sum(1 for s in body if s >= 10) > 0.85 * len(body)


def test_boxes_stand_in_one_column(pages: list) -> None:
    """Every box of 5 mm ends at the right edge of the live area, every blank too, and lies on a pitch of 7 mm."""
    wanted = sum(step.slot is Slot.BOX for step in _steps(compose(demo_given())))
    boxes = [s for page in read(demo_pdf("a4", False)) for s in page.strokes if _is_box(s)]
    assert wanted == len(boxes)
    assert all(abs(s[2] - 180.0) < 0.05 for s in boxes)


def test_rows_of_one_block_keep_their_pitch() -> None:
    """From box to box 7 mm and whole multiples of its half, so that a missed one is seen and no row stands empty."""
    (page, *_) = read(pdf(only(compose(demo_given()), "power")))
    tops = sorted(s[1] for s in page.strokes if _is_box(s))
    steps = [b - a for a, b in pairwise(tops)]
    kept = [d for d in steps if d > 6.99 and abs(d / 3.5 - round(d / 3.5)) < 0.01]
    assert len(kept) >= len(steps) - 2  # headings
    assert sum(abs(d - 7.0) < 0.01 for d in kept) > len(kept) / 2


def _is_box(stroke: tuple[float, float, float, float]) -> bool:
    return abs(stroke[2] - stroke[0] - 5) < 0.02 and abs(stroke[3] - stroke[1] - 5) < 0.02


def _steps(sheet: Sheet) -> list[Step]:
    blocks = [b for s in sheet.sections for b in s.blocks if isinstance(b, (Steps, TwoNames))]
    return [step for block in blocks for step in block.steps]


def test_deeds_are_read_at_arm_s_length() -> None:
    """What is done is set in 11 pt, addresses in 12."""
    sizes = {round(c["size"], 1) for c in _chars(pdf(only(compose(demo_given()), "joints")))}
    assert {11.0, 12.0} <= sizes


def test_two_pages_lie_side_by_side_on_a3() -> None:
    """Half as many sheets of paper, each twice as wide, nothing outside."""
    one = pypdf.PdfReader(io.BytesIO(demo_pdf("a4", False))).pages
    two = pypdf.PdfReader(io.BytesIO(pdf(compose(demo_given()), "a3"))).pages
    assert len(two) == -(-len(one) // 2)
    assert {420.0} == {round(float(page.mediabox[2]) / MM, 1) for page in two}
    text = two[0].extract_text()
    assert f"page 1 of {len(one)}" in text and f"page 2 of {len(one)}" in text


def test_names_are_shortened_in_the_middle() -> None:
    """Both ends stay, and a text that fits stays whole."""
    made = shorten("Spreading disc valve of the left side", 30.0)
    assert made.startswith("Spread") and made.endswith("side") and "…" in made
    assert shorten("loom.1", 30.0) == "loom.1" and width(made) <= 30.0


def test_what_the_typeface_lacks_is_told() -> None:
    """Each letter once; Cyrillic, Greek and Finnish letters are there."""
    assert lacking(["熱 熱", "Уровень Ωµ Säätö"]) == ("熱",)


def test_no_heading_stands_alone_at_the_foot() -> None:
    """Strong words head what follows: below them on the same page there is always something more than the foot."""
    heads = {
        plain(b.text)
        for s in compose(demo_given(), ANNEX_PARTS).sections
        for b in s.blocks
        if isinstance(b, TextPiece) and b.strong
    }
    for page in read(demo_pdf()):
        body = page.text.splitlines()[:-2]  # the foot has two lines
        assert plain(body[-1]) not in heads, (page.number, body[-1])


def test_a_held_job_says_hold_on_every_page(tmp_path: Path) -> None:
    """A stop that nobody may accept: HOLD everywhere, exit code 1, printed all the same."""
    given = _short_circuit(tmp_path)
    assert given.held
    data = pdf(compose(given, ["findings"], print_held=True))
    for page in read(data):
        assert "HOLD" in page.text and "PAPER IN ORDER" not in page.text
        assert "paper on hold" in page.text
    for drawn in pypdf.PdfReader(io.BytesIO(data)).pages:
        hollow = b"1 Tr"  # PDF 1.7, 9.3.6: letters are drawn round, what lies below stays readable
        contents = drawn.get_contents()
        assert contents is not None and hollow in contents.get_data()


def _short_circuit(folder: Path) -> Given:
    old = (
        "title: old\ncavities:\n"
        "  1: {function: permanent-supply, volts: 12, wire: 0.5 RD, flow: to-unit}\n  2: {function: power-ground, wire: 0.5 BK}\n"
    )
    job = (
        "title: wrong\nends:\n  old: {pinout: old.yaml, is: cut-tail, side: machine}\n"
        "  new: {pinout: new.yaml, is: pigtail, side: unit}\ncircuits: [old.1 - new.2, old.2 - new.1]\n"
    )
    return given_from(folder, job, old=old, new=old)


def test_refused_circuits_get_no_work(tmp_path: Path) -> None:
    """A restraint circuit has a sentence on the map, no joint, no card, no flag."""
    table = (
        "title: t\ncavities:\n  1: {signal: Squib, function: restraint, wire: 0.5 YE}\n"
        "  2: {signal: Lamp, function: lamp-feed, wire: 0.5 RD}\n"
    )
    job = (
        "title: refused\nends:\n  old: {pinout: old.yaml, is: cut-tail, side: machine}\n"
        "  new: {pinout: new.yaml, is: pigtail, side: unit}\n"
        "circuits: [{id: squib, join: [old.1, new.1]}, {id: lamp, join: [old.2, new.2]}]\n"
    )
    given = given_from(tmp_path, job, old=table, new=table)
    sheet = compose(given, print_held=True)
    text = {
        s.key: "".join(p.text for p in read(pdf(replace(sheet, sections=(s,)))))
        for s in sheet.sections
    }
    assert "no work is printed" in text["map"].replace("\n", " ")
    for key in ("joints", "ringout", "flags", "parts"):
        assert "old.1" not in text[key] and "new.1" not in text[key], key
    assert "old.2" in text["joints"]


HARD = {
    "60 in one row": (
        60,
        "{view: mating, key: top, rows: [[" + ", ".join(map(str, range(1, 61))) + "]]}",
    ),
    "60 in four rows": (
        60,
        "{view: wire-entry, key: left, rows: ["
        + ", ".join(
            "[" + ", ".join(map(str, range(r * 15 + 1, r * 15 + 16))) + "]" for r in range(4)
        )
        + "]}",
    ),
    "30 in six rows": (
        30,
        "{view: mating, key: bottom, rows: ["
        + ", ".join("[" + ", ".join(map(str, range(r * 5 + 1, r * 5 + 6))) + "]" for r in range(6))
        + "]}",
    ),
    "irregular": (
        9,
        "{view: mating, key: right, rows: [[1, ~, 2, 3], [4, 5, ~, ~, 6], [~, 7, 8], [9]]}",
    ),
    "no face": (24, ""),
    "one circuit": (1, "{view: mating, rows: [[1]]}"),
}


@pytest.mark.parametrize("name", HARD)
def test_hard_faces(name: str, tmp_path: Path) -> None:
    """Large, irregular and missing faces: every cavity drawn in both views, nothing clipped, nothing overlapping."""
    count, face = HARD[name]
    given = straight(tmp_path, count, face)
    sheet = compose(given, print_held=True)
    for page in read(pdf(only(sheet, "map", "faces", "strip"))):
        assert not outside(page), page.number
        assert not overlaps(page), page.number
    fronts = read(pdf(only(sheet, "faces")))
    words = [w[0] for p in fronts for w in p.words]
    if face:
        assert all(words.count(str(n)) >= 4 for n in range(1, count + 1))  # two ends, two views
        assert any("wire-entry side" in p.text for p in fronts)
    else:
        assert any("Nobody has told how this face looks" in p.text for p in fronts)


@pytest.mark.parametrize(
    "words",
    [
        "Füllstand Förderband größer",
        "Στάθμη δεξαμενής Ωμ",
        "Уровень соли, датчик",
        "Ω ± ≥ ° µ ½ ×",
        "W" * 150,
        "a very long signal name " * 8,
    ],
)
def test_names_of_many_scripts_and_lengths(words: str, tmp_path: Path) -> None:
    """Accents, Greek, Cyrillic, signs and very long names come through whole."""
    given = straight(
        tmp_path,
        3,
        "{view: mating, rows: [[1, 2, 3]]}",
        signal=words.strip()[:195],
        title=words.strip()[:190],
    )
    seen = read(pdf(compose(given, print_held=True)))
    assert all(not outside(p) and not overlaps(p) for p in seen)
    assert plain(words.strip()[:195]) in plain("".join(p.text for p in seen[:1])) or plain(words)[
        :20
    ] in plain(seen[0].text)


def test_what_no_font_has_is_shown_as_its_code_point(tmp_path: Path) -> None:
    """No blank boxes: a sign without a glyph is written out."""
    seen = read(
        pdf(only(compose(straight(tmp_path, 1, signal="熱 sensor"), print_held=True), "map"))
    )
    assert "<U+71B1>" in plain(seen[0].text)


def test_very_long_notes_run_on(tmp_path: Path) -> None:
    """A reason of several thousand characters is printed to its last word, over pages if need be."""
    long = " ".join(f"word{n}" for n in range(1500))
    extra = "not_joined: {}\n"
    given = straight(tmp_path, 2, extra=extra)
    job = given.harness.job
    from wiremap.graph import Harness
    from wiremap.model import NotJoined, Treat

    circuits = job.circuits[:1]
    left = {
        "old.2": NotJoined(point="old.2", why=long, treat=Treat.CAP),
        "new.2": NotJoined(point="new.2", why="short", treat=Treat.CAP),
    }
    harness = Harness(replace(job, circuits=circuits, not_joined=left))
    given = replace(given, harness=harness, sizes=None, plan=None)
    seen = read(pdf(only(compose(given, print_held=True), "map")))
    text = plain("".join(p.text for p in seen))
    assert all(f"word{n}" in text for n in (0, 700, 1499))
    assert all(not outside(p) and not overlaps(p) for p in seen)


def test_two_hundred_circuits(tmp_path: Path) -> None:
    """A large job: every circuit is there, the file stays under 1 MB."""
    given = straight(tmp_path, 200, signal="Level {n}")
    given = (
        replace(given, plan=replace(given.plan, probes=given.plan.probes[:400]))
        if given.plan
        else given
    )
    data = pdf(compose(given, print_held=True))
    assert len(data) < 1_000_000
    for key in ("map", "joints"):
        reader = pypdf.PdfReader(io.BytesIO(pdf(only(compose(given, print_held=True), key))))
        text = plain("".join(page.extract_text() for page in reader.pages))
        assert all(f"old.{n}" in text and f"new.{n}" in text for n in range(1, 201)), key


HOSTILE = [
    "<b>bold</b>",
    '<a href="http://x">GND</a>',
    '<img src="/etc/passwd"/>',
    "<para>",
    "</para>",
    "<font size=99>x",
    "&lt;b&gt;",
    "&amp;",
    "<script>alert(1)</script>",
    "=1+1",
    "+12V",
    "-12V",
    "@SUM(A1)",
    "\x1b[2J",
    "\x1b]0;x\x07",
    "a\x00b",
    "\x07",
    "\x9b31m",
    "\u202eabc",
    "\u2066x\u2069",
    "CAN\u200bH",
    "\ufeffx",
    "CΑN_H",
    "ab\ncd",
    "ab\tcd",
    "a" * 3000,
    "%s%n",
    "(paren)) Tj",
    "\\(x\\)",
    "]] Tj ET",
    "{{7*7}}",
    "${jndi:x}",
    "../../etc/passwd",
    "C:\\x",
    "\U0001f600",
    "\ud800",
    "e\u0301",
    "U<5V & >3V",
    "<!--",
    "endstream endobj",
    "/Launch",
    "'; DROP",
    "\u00a0nbsp",
    "<U+0041>",
]


def test_hostile_names_stay_text() -> None:
    """Markup, formulas, controls, bidi signs and PDF operators in any name: no link, no image, no action, nothing lost."""
    given = demo_given()
    from wiremap.graph import Harness

    job = given.harness.job
    loom = job.ends["loom"]
    names = list(loom.pinout.cavities)
    for start in range(0, len(HOSTILE), len(names)):
        batch = HOSTILE[start : start + len(names)]
        cavities = dict(loom.pinout.cavities)
        for name, words in zip(names, batch, strict=False):
            cavities[name] = replace(cavities[name], signal=words)
        end = replace(loom, pinout=replace(loom.pinout, cavities=cavities, title=batch[0]))
        bad = replace(job, title=batch[-1], ends={**job.ends, "loom": end})
        data = pdf(
            only(
                compose(replace(given, harness=Harness(bad)), ["sources"]),
                "map",
                "flags",
                "sources",
                "feed",
            )
        )
        reader = pypdf.PdfReader(io.BytesIO(data))
        for page in reader.pages:
            assert "/Annots" not in page and "/AA" not in page
            assert "/XObject" not in page["/Resources"]
        assert "/OpenAction" not in reader.trailer["/Root"] or "/JS" not in str(
            reader.trailer["/Root"]
        )
        text = plain("".join(page.extract_text() for page in reader.pages))
        for words in batch:
            if words.isascii() and words.isprintable():
                assert plain(words)[:60] in text, words
        assert all(ord(c) >= 32 for c in text)
        if "\x1b[2J" in batch:
            assert "<U+001B>[2J" in text


def test_same_bytes_whatever_the_surroundings(tmp_path: Path) -> None:
    """Hash seed, locale and time zone do not move a byte."""
    sums = set()
    for seed, zone, locale in (("1", "UTC", "C"), ("77", "Asia/Tokyo", "C.UTF-8")):
        out = tmp_path / f"{seed}.pdf"
        env = {
            **os.environ,
            "PYTHONHASHSEED": seed,
            "TZ": zone,
            "LC_ALL": locale,
            "PYTHONPATH": str(ROOT),
        }
        done = subprocess.run(
            [
                sys.executable,
                "-m",
                "wiremap",
                "sheet",
                str(DEMO_JOB),
                "-o",
                str(out),
                "--annex",
                "fuses,sources",
            ],
            env=env,
            capture_output=True,
            text=True,
        )
        assert done.returncode == 0, done.stderr
        sums.add(hashlib.sha256(out.read_bytes()).hexdigest())
    assert len(sums) == 1


@pytest.mark.parametrize("count", [40, 60, 120, 200])
def test_the_strip_begins_where_its_heading_stands(tmp_path: Path, count: int) -> None:
    """Heading, the run in words, the bar and the first joints are on one page, however full the one before is."""
    pages = read(pdf(compose(straight(tmp_path, count, signal="Level {n}"), print_held=True)))
    (first,) = (
        p
        for p in pages
        if "Joint places at true scale" in p.text
        and "(continued)" not in p.text.split("Joint places")[1][:30]
    )
    assert "Measure this bar" in first.text and "old.1" in first.text.split("Measure this bar")[1]


@pytest.mark.parametrize("job", ["job.yaml", "adapter/job.yaml"])
def test_no_word_is_struck_through_by_a_rule(job: str) -> None:
    """A rule from edge to edge runs between lines: no letter reaches over it from above or below."""
    given, _ = gather(DEMO / job)
    assert given is not None
    for page in read(pdf(compose(given))):
        rules = [s for s in page.strokes if s[3] - s[1] < 0.6 and s[2] - s[0] > 170]
        for word, _, top, _, bottom in page.words:
            assert not any(top + 1 < rule[1] < bottom - 0.4 for rule in rules), (page.number, word)


@pytest.mark.parametrize("job", ["job.yaml", "adapter/job.yaml"])
def test_no_page_is_nearly_empty_but_before_a_stop(job: str) -> None:
    """A page is at least a third full, unless a stop begins the next one or it is the last."""
    given, _ = gather(DEMO / job)
    assert given is not None
    pages = read(pdf(compose(given)))
    for page, after in pairwise(pages):
        bottom = max(w[4] for w in page.words if w[4] < BOTTOM)
        stops = " STOP " in after.text.split("two names, spoken aloud")[0]
        assert stops or bottom - TOP > (BOTTOM - TOP) / 3, page.number


def test_the_face_that_is_read_stands_on_each_page(pages: list) -> None:
    """Survey, ring-out and first power show their faces again where they go on."""
    going_on = [
        p
        for p in pages
        if any(
            f"{name} (continued)" in p.text
            for name in ("Ring-out", "First power, the units not mated")
        )
    ]
    assert len(going_on) > 2
    assert all("mating face" in p.text for p in going_on)


@pytest.mark.parametrize(
    ("stop", "words", "raised"), [(340, "700: 360 mm further", False), (360, "X" * 60, True)]
)
def test_words_beside_a_scale_are_raised_where_its_figures_stand(
    stop: float, words: str, raised: bool
) -> None:
    """Also on a stretch that does not begin at 0: the last figure, 300, lies 100 mm from its start."""
    part = _Part(200, stop, math.inf, ("", ""), ("", words))
    assert bool(_raised_mm(part)) is raised


def test_joints_far_apart_share_a_lane() -> None:
    """Their words are narrower than the way between them; those that would meet take the next one."""
    spots = [StripJoint(n, "level", at, 25.0) for n, at in enumerate((20.0, 60.0, 100.0, 110.0), 1)]
    assert [placed.lane for placed in _lanes(spots, 0.0)] == [0, 0, 0, 1]
    assert all(0 <= p.middle - width(_label(p.spot)) / 2 for p in _lanes(spots, 0.0))


def test_a_mark_keeps_clear_of_the_next_column() -> None:
    """The word under a circuit's name is set as narrow as the name."""
    (table, *_) = (
        b for s in compose(demo_given()).sections for b in s.blocks if isinstance(b, WireTable)
    )
    columns = _Columns(table)
    row = next(row for row in table.rows if isinstance(row, WireRow) and row.first)
    mark = _WireRow(replace(row, mark="i " * 80), columns).mark
    assert (
        2 < len(mark) and max(width(line, SMALL_STRONG) for line in mark) <= columns.circuit - AIR
    )


class Strokes:
    """What is drawn, noted instead: lines down and across, and texts."""

    def __init__(self) -> None:
        self.down_: list[tuple[float, float, float]] = []
        self.across_: list[tuple[float, float, float]] = []
        self.texts: list[float] = []

    def down(self, x: float, y: float, long: float, *_: object) -> None:
        self.down_.append((x, y, long))

    def across(self, x: float, y: float, wide: float, *_: object) -> None:
        self.across_.append((x, y, wide))

    def box(self, *_: object) -> None:
        pass

    def text(self, x: float, y: float, *_: object, **__: object) -> None:
        self.texts.append(y)


def test_a_ground_is_drawn_by_three_strokes_below_its_lead() -> None:
    """Common practice: each shorter than the one above, about the lead; its words on a line with the feed's."""
    ink, fed = Strokes(), Strokes()
    _ground(cast(Ink, ink), 0, 0, "G1")
    _feed(cast(Ink, fed), 0, 0, "F1")
    ((x, y, long),) = ink.down_
    assert [wide for _, _, wide in ink.across_] == [6.0, 4.0, 2.0]
    assert all(left + wide / 2 == pytest.approx(x) for left, _, wide in ink.across_)
    assert ink.across_[0][1] == pytest.approx(y + long)
    assert ink.texts == fed.texts


def test_a_warning_has_room_below_its_last_part_alone() -> None:
    """A long one goes over several parts, whose edge is drawn through."""
    first, *_, last = warning(Warning("STOP", ("word " * 400,)))
    (single,) = warning(Warning("STOP", ("word",)))
    assert single.height > LINE + 1 and first.height < MOST_LINES * LINE + 0.5 and first.keep
    assert not last.keep
