"""What a sheet says, as plain data, without a drop of ink."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import subprocess
import sys
from collections.abc import Iterable
from dataclasses import fields, is_dataclass, replace
from itertools import pairwise
from pathlib import Path

import pytest
from demo_jobs import DEMO_JOB, ROOT
from sheet_cases import demo_given, given_from, overlaps, read, straight
from test_papers_kept import adapter

from wiremap.cli.main import main
from wiremap.content.bus import bus_halves
from wiremap.content.face_pieces import FaceBlock, Hole, Look
from wiremap.content.flags import flag_rows, flags_csv
from wiremap.content.pages.feed import Port, _sketch
from wiremap.content.pieces import (
    CutLeg,
    Flags,
    FusePlot,
    HandStrip,
    Ledger,
    LeftOutRow,
    Section,
    Warning,
    WireRow,
    WireTable,
)
from wiremap.content.steps import Slot, Steps
from wiremap.content.wire_work import new_wires
from wiremap.content.words import extra_words
from wiremap.graph import Harness
from wiremap.model import Address, frozen
from wiremap.sheet import ANNEX_PARTS, compose, pdf
from wiremap.sizing.unjudged import About, NotJudged


def part(key: str, annex: bool = True) -> Section:
    """A section of the demo's sheet."""
    return next(
        s for s in compose(demo_given(), ANNEX_PARTS if annex else ()).sections if s.key == key
    )


def blocks(section: Section, kind: type) -> list:
    """The blocks of a kind."""
    return [b for b in section.blocks if isinstance(b, kind)]


def test_content_needs_no_drawing_library() -> None:
    """Composing the whole sheet does not import reportlab."""
    code = (
        f"import sys; sys.path.insert(0, {str(ROOT / 'tests')!r}); from wiremap.content.compose import compose, ANNEX_PARTS; "
        "from wiremap.content.gather import gather; from pathlib import Path; "
        f"compose(gather(Path({str(DEMO_JOB)!r}))[0], ANNEX_PARTS); print('reportlab' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert done.stdout.strip() == "False", done.stderr


def test_sheet_is_plain_data() -> None:
    """Nothing but frozen dataclasses, tuples, texts and numbers."""

    def walk(value: object) -> None:
        if is_dataclass(value):
            for field in fields(value):
                walk(getattr(value, field.name))
        elif isinstance(value, tuple):
            for item in value:
                walk(item)
        else:
            assert value is None or isinstance(value, (str, int, float, bool)), value

    walk(compose(demo_given(), ANNEX_PARTS))


def test_one_row_for_each_wire() -> None:
    """A circuit of n points has n - 1 rows; every point of every circuit stands on one."""
    rows = [r for t in blocks(part("map"), WireTable) for r in t.rows if isinstance(r, WireRow)]
    for circuit in demo_given().harness.job.circuits:
        mine = [r for r in rows if r.circuit == circuit.id]
        assert len(mine) == len(circuit.join) - 1
        assert {mine[0].left.point, *(r.right.point for r in mine)} == set(circuit.join)


def test_wires_are_letters_and_words() -> None:
    """IEC letters with the word beside, three letter systems read into one; an unknown order keeps its plus."""
    wires = {
        e.point: e.wire
        for t in blocks(part("map"), WireTable)
        for r in t.rows
        if isinstance(r, WireRow)
        for e in (r.left, r.right)
    }
    assert wires["loom.3"] == "0.75 mm2 GN/WH green/white"
    assert wires["donor.16"] == "0.35 mm2 GY grey"  # German gr
    assert "red + blue" in wires["loom.11"]
    assert wires["gateway.3"] == "new 0.35 mm2 BU blue"


def test_cavities_left_out_have_treatment_and_reason() -> None:
    """Each stands with what becomes of it; an unused cavity that nobody lists is not lost."""
    rows = {point: r for r in blocks(part("map"), LeftOutRow) for point in r.points}
    assert set(demo_given().harness.job.not_joined) <= set(rows)
    assert (
        rows["loom.14"].treat == "cap, seal, tie back" and rows["donor.20"].treat == "blanking plug"
    )
    assert all(p.address in rows for p in demo_given().harness.not_joined())


def _places(row: Iterable[Hole | None]) -> list[tuple[str, Look, bool, bool] | None]:
    """What the two sides of a face share, cavity by cavity."""
    return [h and (h.name, h.look, h.large, h.first) for h in row]


def test_faces_mirror_and_name_the_key() -> None:
    """Two views each, one the mirror of the other; a key on the right is on the left from behind."""
    for block in blocks(part("faces"), FaceBlock):
        front, back = block.views
        assert [_places(reversed(r)) for r in front.rows] == [_places(r) for r in back.rows]
        assert [h.name for v in block.views for r in v.rows for h in r if h and h.first] == [
            "1",
            "1",
        ]
    donor = next(b for b in blocks(part("faces"), FaceBlock) if b.name == "donor")
    assert [v.key for v in donor.views] == ["right", "left"]
    large = {h.name for r in donor.views[0].rows for h in r if h and h.large}
    assert large == {"1", "2", "3", "4"}


def test_wires_not_surveyed_are_named_before_the_map() -> None:
    """Those that nobody has measured are not to be cut yet."""
    lines = " ".join(line for b in blocks(part("job"), Warning) for line in b.lines)
    assert "Not surveyed: loom.6, loom.7, loom.14. Do not cut" in lines


def test_every_caution_is_on_the_bench_pages() -> None:
    """Each has its box: those of colours where the flags are put on, the others on the first page."""
    found = {
        key: [s for b in blocks(part(key), Steps) for s in b.steps] for key in ("job", "faces")
    }
    first = [s for s in found["job"] if s.n.startswith("C")]
    assert first and all(s.slot is Slot.BOX for s in first)
    assert first[0].note.startswith("accepted by RK 2026-03-03")
    words = " ".join(s.text for s in first)
    assert "11 mm thick" in words and "or sign" not in words  # it is accepted already
    at_faces = [s for s in found["faces"] if s.n.startswith("C")]
    assert [(s.n, s.slot) for s in at_faces] == [("C3", Slot.BOX), ("C4", Slot.BOX)]
    assert "alike" not in words and "diamond" in at_faces[0].text
    faces = {block.name: block for block in blocks(part("faces"), FaceBlock)}
    for finding in demo_given().cautions:
        if finding.rule == "colours-confused":  # its end, then the cavities of each group
            end = Address.read(finding.subject[0]).end
            cavities = {Address.read(address).cavity for address in finding.subject}
            assert cavities <= set(re.findall(r"\d+", " ".join(faces[end].alike)))
        else:
            assert all(s in words for s in finding.subject[:3]), finding


def test_look_alikes_of_a_face_that_nobody_drew_are_listed() -> None:
    """No diamond can mark them: the step names the groups."""
    loom = demo_given().harness.job.ends["loom"]
    bare = replace(loom, pinout=replace(loom.pinout, connector=replace(loom.connector, face=None)))
    ends = frozen({**demo_given().harness.job.ends, "loom": bare})
    given = replace(demo_given(), harness=Harness(replace(demo_given().harness.job, ends=ends)))
    made = next(s for s in compose(given).sections if s.key == "faces")
    told = {s.n: s for b in blocks(made, Steps) for s in b.steps}
    assert told["C3"].at == "loom" and "2 + 8 brown" in told["C3"].text
    assert "diamond" in told["C4"].text


def test_annex_parts() -> None:
    """Every part is there on wish and only then; an unknown one is refused."""
    assert {s.key for s in compose(demo_given()).sections}.isdisjoint(ANNEX_PARTS)
    assert set(ANNEX_PARTS) <= {s.key for s in compose(demo_given(), ANNEX_PARTS).sections}
    with pytest.raises(ValueError, match="no part of the annex"):
        compose(demo_given(), ["flag"])


def test_fuse_drawings_follow_the_published_limits() -> None:
    """ISO 8820-3 as quoted: a 2 A blade opens within 600 s at 1.35 x and within 5 s at 2 x; the wire stands beyond the fuse."""
    plots = blocks(part("fuses"), FusePlot)
    two = next(p for p in plots if p.title.startswith("F1"))
    most = {round(amps, 3): seconds for amps, seconds in two.curves[1].points}
    assert most[2.7] == 600 and most[4.0] == 5
    wire = two.curves[2].points
    # k2A2 line: 103.8 A s^0.5/mm2 x 0.5 mm2 (k by IEC 60364-5-54 from its class, 85 C, to 160 C)
    assert wire[1] == (pytest.approx(103.77 * 0.5 / 5**0.5, rel=2e-3), 5.0)
    assert all(b[0] <= a[0] * 1.006 for a, b in pairwise(wire))
    assert "maker's figure governs" in two.sentence


def test_module_strip_tells_ground_and_feed() -> None:
    """The gateway: machine half left, unit half right, ground to its stud, feed through its own fuse to the tap."""
    strip = blocks(part("feed"), HandStrip)[0]
    assert [leg.far for leg in strip.left] == ["loom.6", "loom.7"]
    assert {leg.far for leg in strip.right} == {"donor.8", "donor.9"}
    assert strip.ground == "gateway.7 – G1" and strip.shield == "gateway.5 – donor.10"
    assert strip.feed == "gateway.8 – F1.b – F1.a – feed.16"


def test_findings_part_has_place_rule_and_signature() -> None:
    """One row a finding, with who accepted it."""
    rows, left = [ledger.rows for ledger in blocks(part("findings"), Ledger)]
    assert (len(rows), len(left)) == (len(demo_given().findings), len(demo_given().not_judged))
    assert [r[1] for r in rows] == [f.rule for f in demo_given().findings]
    for row, finding in zip(rows, demo_given().findings, strict=True):
        assert (f"accepted by {finding.accepted.by}" in row[3]) if finding.accepted else True


def test_one_word_for_the_in_line_unit() -> None:
    """No page calls it a module."""
    sheet = compose(demo_given(), [a for a in ANNEX_PARTS if a != "findings"])
    assert "module" not in str(sheet)


def test_capped_wires_have_flags_and_no_flag_is_clipped() -> None:
    """loom.14, donor.11 and donor.19 too; no command line among them."""
    from wiremap.sheet.flags import under_lines

    (block,) = blocks(part("flags"), Flags)
    assert {f.text for f in block.flags} >= {
        f"{a} \u2192 capped" for a in ("loom.14", "donor.11", "donor.19")
    }
    assert not any("…" in line for f in block.flags for line in under_lines(f))
    assert "wiremap" not in part("flags").lead


def test_sources_tell_paper_and_standing() -> None:
    """Every paper with its basis; every figure with formula, source and standing."""
    papers, figures = blocks(part("sources"), Ledger)[:2]
    assert [r[0] for r in papers.rows] == list(demo_given().harness.job.ends)
    assert all(r[2] and r[3].endswith(")") for r in figures.rows)


def test_flags_csv_reads_back_and_runs_nothing(tmp_path: Path) -> None:
    """One flag for every joined or capped cavity, and one for every other end of a new wire; cells that a spreadsheet would run are disarmed."""
    rows = list(csv.reader(io.StringIO(flags_csv(demo_given()).decode("utf-8-sig"))))
    joined = sum(
        1
        for c in demo_given().harness.job.circuits
        for a in c.join
        if demo_given().harness.points[a].cavity
    )
    capped = [a for a, n in demo_given().harness.job.not_joined.items() if n.treat == "cap"]
    others = 9  # five at the joints of the pairs, two of F1.a, one of F1.b, one of G1
    assert len(rows) == joined + others + len(capped) + 1
    assert [r[3] for r in rows if r[4] == "capped"] == capped
    bad = flags_csv(straight(tmp_path, 1, signal="=HYPERLINK(1)")).decode("utf-8-sig")
    assert all(not cell.startswith("=") for row in csv.reader(io.StringIO(bad)) for cell in row)
    assert "'=HYPERLINK(1)" in bad


def test_little_is_enough(tmp_path: Path) -> None:
    """Two bare lists without sizes or faces still make a sheet; what is unknown is left to be written in."""
    given = given_from(
        tmp_path,
        "ends: {a: {pinout: a.yaml, is: cut-tail, side: machine}, b: {pinout: b.yaml, is: pigtail, side: unit}}\n"
        "circuits: [a.1 - b.1, a.2 - b.2]\n",
        a="title: a\ncavities: {1: lamp, 2: horn}\n",
        b="title: b\ncavities: {1: lamp, 2: horn}\n",
    )
    sheet = compose(given, ANNEX_PARTS, print_held=True)
    joints = next(s for s in sheet.sections if s.key == "joints")
    assert "____" in str(joints)


def test_grades_below_certain_are_marked_until_settled() -> None:
    """An `ask` shows beside its circuit until a name stands to it."""
    job = demo_given().harness.job
    asked = tuple(replace(c, grade="ask") if c.id == "level" else c for c in job.circuits)
    sheet = compose(replace(demo_given(), harness=Harness(replace(job, circuits=asked))))
    section = next(s for s in sheet.sections if s.key == "map")
    rows = [r for t in blocks(section, WireTable) for r in t.rows if isinstance(r, WireRow)]
    assert [r.circuit for r in rows if r.mark] == ["level"]


# -- the command ------------------------------------------------------------------------------------------


def test_command_writes_and_tells(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The demo is in order: exit 0, one line, a PDF; JSON begins with its kind."""
    out = tmp_path / "sheet.pdf"
    assert main(["sheet", str(DEMO_JOB), "-o", str(out)]) == 0
    assert out.read_bytes().startswith(b"%PDF") and "PAPER IN ORDER" in capsys.readouterr().out
    assert (
        main(
            [
                "sheet",
                str(DEMO_JOB),
                "-o",
                str(out),
                "--force",
                "--json",
                "--flags",
                str(tmp_path / "flags.csv"),
            ]
        )
        == 0
    )
    told = json.loads(capsys.readouterr().out)
    assert (
        next(iter(told)) == "wiremap"
        and told["wiremap"] == "sheet/1"
        and told["verdict"] == "in-order"
    )
    assert (tmp_path / "flags.csv").exists()


def test_command_keeps_what_is_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """No overwriting without --force, never an input, never through a link; exit 2 with one clear line."""
    out = tmp_path / "sheet.pdf"
    out.write_text("mine")
    assert main(["sheet", str(DEMO_JOB), "-o", str(out)]) == 2
    assert out.read_text() == "mine" and capsys.readouterr().err
    before = DEMO_JOB.read_bytes()
    assert main(["sheet", str(DEMO_JOB), "-o", str(DEMO_JOB), "--force"]) == 2
    assert DEMO_JOB.read_bytes() == before
    assert main(["sheet", str(DEMO_JOB), "-o", str(tmp_path / "none" / "x.pdf")]) == 2
    assert main(["sheet", str(DEMO_JOB), "-o", str(tmp_path / "y.pdf"), "--annex", "flag"]) == 2
    assert not (tmp_path / "y.pdf").exists()


def test_command_on_a_held_and_an_unread_job(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Held: printed, exit 1. Unread: nothing written, exit 2, the faults as JSON too."""
    table = (
        "wiremap: pinout/1\ntitle: t\ncavities:\n"
        "  1: {function: permanent-supply, volts: 12, wire: 0.5 RD}\n  2: {function: power-ground, wire: 0.5 BK}\n"
    )
    (tmp_path / "a.yaml").write_text(table)
    (tmp_path / "b.yaml").write_text(table)
    (tmp_path / "job.yaml").write_text(
        "wiremap: job/1\nends: {a: {pinout: a.yaml, is: cut-tail, side: machine}, b: {pinout: b.yaml, is: pigtail, side: unit}}\n"
        "circuits: [a.1 - b.2, a.2 - b.1]\n"
    )
    assert main(["sheet", str(tmp_path / "job.yaml"), "-o", str(tmp_path / "held.pdf")]) == 1
    assert (tmp_path / "held.pdf").read_bytes().startswith(b"%PDF")
    capsys.readouterr()
    assert (
        main(["sheet", str(tmp_path / "gone.yaml"), "-o", str(tmp_path / "no.pdf"), "--json"]) == 2
    )
    told = json.loads(capsys.readouterr().out)
    assert told["verdict"] == "unread" and told["findings"] and not (tmp_path / "no.pdf").exists()


def test_what_was_not_judged_stands_beside_the_verdict() -> None:
    """Counted in the head of every page, as many blanks before the battery comes off, listed in the annex."""
    left = [
        NotJudged(subject=(f"c{n}",), why=f"nobody states {'ab'[n % 2]}", about=About.PROTECTION)
        for n in range(9)
    ]
    sheet = compose(replace(demo_given(), not_judged=tuple(left)), ["findings"])
    assert sheet.head.not_judged == 9
    keys = [section.key for section in sheet.sections]
    assert keys.index("job") < keys.index("not-judged") < keys.index("survey")
    (block,) = blocks(sheet.sections[keys.index("not-judged")], Steps)
    told = [(f"c{n}", f"nobody states {'ab'[n % 2]}") for n in range(9)]
    assert [(step.at, step.text) for step in block.steps] == told
    assert all(step.slot is Slot.BLANK for step in block.steps)
    *_, ledger = blocks(sheet.sections[-1], Ledger)
    assert [row[0] for row in ledger.rows] == [f"c{n}" for n in range(9)]
    page = read(pdf(replace(sheet, sections=sheet.sections[:1])))[0]
    assert not overlaps(page) and "paper in order, 9 not judged" in page.text


def test_each_half_of_a_bus_is_told_with_its_unit() -> None:
    """The in-line unit of the demo parts the machine's half from the new unit's."""
    halves = [(half.unit, half.plugged) for half in bus_halves(demo_given())]
    assert halves == [("gateway", ""), ("gateway", "donor")]


@pytest.mark.parametrize(("amps", "words"), [(2.0, "2 A"), (None, "as sized")])
def test_a_fuse_is_called_by_its_rating(amps: float | None, words: str) -> None:
    """Where nobody states one, by what the wires allow."""
    point = demo_given().harness.points["F1.a"]
    assert point.extra is not None
    told = extra_words(replace(point, extra=replace(point.extra, amps=amps)))
    assert told == f"blade fuse {words}"


@pytest.mark.parametrize(
    ("left", "right", "turned"),
    [(True, False, False), (False, True, True), (True, True, False), (False, False, False)],
)
def test_the_machine_half_of_a_module_is_drawn_left(left: bool, right: bool, turned: bool) -> None:
    """Where both or none lead to the machine, they stay as the paper has them."""
    here = Port((CutLeg("loom.6", "a"), CutLeg("loom.7", "b")), left)
    there = Port((CutLeg("donor.9", "c"), CutLeg("donor.8", "d")), right)
    strip = _sketch(demo_given(), "gateway", here, there)
    assert strip.left == (there if turned else here).legs


def test_flags_of_an_adapter_lie_as_its_wires_are_cut() -> None:
    """Who takes them one after another off the strip has the right one in hand; pairs come last."""
    given = adapter()
    ends = [step.at for step in new_wires(given) if step.at in given.harness.points]
    cut = dict.fromkeys(given.circuits([end])[0].id for end in ends)
    assert list(dict.fromkeys(row.circuit for row in flag_rows(given))) == list(cut)
