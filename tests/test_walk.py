"""The walk and the notebook: one probe at a time, saved at once, undone, resumed; batch lines; two writers lose nothing."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from called import called
from demo_jobs import ROOT, copied_demo
from ringout_simulator import Copper
from ringout_trial import Bare, Trial, single_wrongs

from wiremap.diagnose.explain import Ask
from wiremap.diagnose.judge import judge
from wiremap.diagnose.turn import Turn, planned_turn
from wiremap.diagnose.turn_words import turn_words
from wiremap.diagnose.walk import Walk
from wiremap.entries.notebook import append, readings_from
from wiremap.entries.numbers import read_seen
from wiremap.entries.probe_lines import batch
from wiremap.evidence.probe_points import HarnessKind
from wiremap.evidence.stamping import stamped
from wiremap.files import load_job, load_notebook
from wiremap.files.dump import mark_of
from wiremap.graph import Harness
from wiremap.mistakes.expectation import Shows
from wiremap.model import Entry, EntryKind, Job, Seen, Span
from wiremap.ringout.plan import plan


def walk(demo: Job, kind: str = "adapter") -> Walk:
    h = Harness(demo)
    return Walk(h, plan(h, "ganged", kind))


def typed(entry: Entry) -> str:
    return entry.seen or (
        "open" if entry.ohms is None or entry.ohms.low == float("inf") else str(entry.ohms.low)
    )


def test_a_walk_over_a_sound_build_ends_in_a_pass(demo: Job) -> None:
    """Every reading typed as the meter shows it: a beep, silence, a diode or a number."""
    w, copper = walk(demo), Copper(demo)
    turns = 0
    while (turn := w.turn()) is not None:
        turns += 1
        assert turn.probe is not None and not turn.telling
        assert w.answer(turn, typed(copper.answer(turn.probe)), "RK", "2026-03-02")
        assert turns < 200
    assert w.judged().verdict == "pass"


def test_enter_is_no_answer(demo: Job) -> None:
    """Forty bare Enters: nothing stands under anybody's name, and what is wanted is said."""
    w = walk(demo)
    for _ in range(40):
        turn = w.turn()
        assert turn is not None
        assert w.answer(turn, "", "RK", "2026-03-02") == ()
        assert "Enter is no answer" in w.refused(turn, "")
    assert w.entries == []


def test_a_walk_turns_to_diagnosis(demo: Job) -> None:
    """Two contacts exchanged: telling probes come at once, and the walk ends with the mistake named."""
    w, copper = walk(demo), Copper(demo)
    copper.exchange("donor.16", "donor.17")
    telling = 0
    for _ in range(200):
        turn = w.turn()
        if turn is None or turn.mend:
            break
        telling += turn.telling
        probe = turn.probe or type("P", (), {"red": turn.red, "black": turn.black})()
        w.answer(turn, typed(copper.answer(probe)), "RK", "2026-03-02")
    assert telling
    assert [f.subject for f in w.judged().explanations[0].mistakes] in (
        [("donor.16", "donor.17")],
        [("loom.12", "loom.13")],
    )


def test_undo_resume_and_nonsense(demo: Job) -> None:
    """An undone probe is asked again; a walk with the kept entries goes on behind them; nonsense is no entry."""
    w = walk(demo)
    first = w.turn()
    assert first is not None
    assert w.answer(first, "perhaps", "RK", "") == () and w.entries == []
    w.answer(first, "b", "RK", "2026-03-02")
    second = w.turn()
    assert second is not None and (second.red, second.black) != (first.red, first.black)
    resumed = Walk(w.harness, w.plan, w.entries).turn()
    assert resumed is not None and resumed.probe == second.probe
    w.undo()
    third = w.turn()
    assert third is not None and third.probe == first.probe


def test_every_answer_is_taken_back_one_after_another(demo: Job) -> None:
    """Three times not sure, then three times undo: the first probe is asked again; then those of an earlier walk, last first."""
    w = walk(demo)
    asked = []
    for _ in range(3):
        turn = w.turn()
        assert turn is not None and turn.probe is not None
        asked.append(turn.probe.n)
        w.answer(turn, "n", "RK", "2026-03-02")
    for n in reversed(asked):
        assert [e.kind for e in w.undo()] == [EntryKind.STRUCK_OUT]
        turn = w.turn()
        assert turn is not None and turn.probe is not None and turn.probe.n == n
    assert w.undo() == ()
    for _ in range(2):
        turn = w.turn()
        assert turn is not None
        w.answer(
            turn, "1" if turn.probe and turn.probe.expect == "ohms" else "b", "RK", "2026-03-02"
        )
    later = Walk(w.harness, w.plan, w.entries)
    last = [mark_of(e) for e in reversed(w.entries)]
    assert [e.mark for e in (*later.undo(), *later.undo())] == last
    assert later.undo() == ()


def test_enter_says_what_is_wanted_of_a_figure(demo: Job) -> None:
    """Where ohms are expected, Enter is no answer: what to type and what is expected is said."""
    w = walk(demo)
    turn = w.turn()
    copper = Copper(demo)
    while turn is not None and turn.probe is not None and turn.probe.expect != "ohms":
        w.answer(turn, typed(copper.answer(turn.probe)), "RK", "2026-03-02")
        turn = w.turn()
    assert turn is not None and w.answer(turn, "", "RK", "2026-03-02") == ()
    assert "type the ohms on the display (under 1 ohm expected)" in w.refused(turn, "")
    assert "`maybe` is no answer here" in w.refused(turn, "maybe")


def test_readings_are_kept_with_a_name_only(tmp_path: Path) -> None:
    """`--walk` and `--save` without `--by` are refused before anything is asked."""
    here = copied_demo(tmp_path / "demo").parent
    before = (here / "notebook.yaml").read_bytes()
    for options in (["--walk"], ["--readings", "-", "--save"]):
        got = ringout_in(here, "job.yaml", *options, text="loom.1 - donor.3 b\n")
        assert got.returncode == 2 and "add --by NAME" in got.stderr
    assert (here / "notebook.yaml").read_bytes() == before


def test_a_pass_says_what_it_does_not_prove(demo: Job) -> None:
    """Below the verdict of a whole ring-out stand its gaps, one line a reason, and which may touch."""
    w = walk(demo, "splice-in")
    copper = Copper(demo, machine=True)
    judged = judge(w.harness, [copper.answer(p) for p in w.plan.probes], planned=w.plan)
    lines = [x for x in judged.told() if x.startswith("not proven: ")]
    assert judged.verdict == "pass" and len(lines) == len({g.why for g in w.plan.not_proven}) + 1
    assert lines[-1].startswith("not proven: these may touch, ")
    told = "\n".join(lines)
    assert "not proven: donor.11, donor.19: a contact by itself cannot beep" in told
    assert "not proven: donor.20: no contact in it" in told
    assert "not proven: gateway.6: a wire is told there" in told


def test_a_point_is_shown_with_its_place(demo: Job) -> None:
    """End, cavity, signal, colour word, place on the face, a drawing from the stated side."""
    w = walk(demo)
    turn = w.turn()
    assert turn is not None
    text = "\n".join(w.show(turn))
    assert (
        "loom cavity 8, Sensor return, wire brown, row 2, place 1 from the left, mating side"
        in text
    )
    assert "[ 8]" in text and "expected: beep" in text


def test_batch_lines() -> None:
    """The line of the manual, combs, units, a fuse that is in, remarks; what cannot be read is told with its place."""
    entries, faults = batch(
        "loom.1 - donor.3 b, loom.2 - donor.1 b, gateway.1 - gateway.2 61.2  # first\na.1+a.2 - b.1 s\n"
        "a.1 - b.2 4.7k\nF1.a - F1.b b with F1\nx - y OL\n",
        by="RK",
        date="2026-03-02",
    )
    assert faults == ()
    assert [e.seen or e.ohms for e in entries] == [
        "beep",
        "beep",
        Span.of(61.2),
        "silent",
        Span.of(4700.0),
        "beep",
        Span(float("inf"), float("inf")),
    ]
    assert entries[3].red == ("a.1", "a.2") and entries[5].state == "F1 in"
    _, bad = batch("loom.1 donor.3 b\na - b maybe, c - d b\n", "bench.txt")
    assert [(f.place.line, f.fault) for f in bad if f.place] == [(1, True), (2, True)]


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\n\n",
        "# only\n",
        ", , ,",
        "-",
        "a - b",
        "\u202ea - b b\x00",
        "a - b " + "9" * 400,
        "é - ü b",
    ],
)
def test_odd_batch_text_never_breaks(text: str) -> None:
    """Whatever is typed comes back as entries or as faults."""
    entries, faults = batch(text)
    assert all(e.kind == "probe" for e in entries) and all(f.fault for f in faults)


def test_append_begins_keeps_and_adds(tmp_path: Path, demo: Job) -> None:
    """A missing file is begun; remarks and what stood before stay; what is written reads back."""
    path = tmp_path / "n.yaml"
    h = Harness(demo)
    first = stamped(
        h,
        Entry(
            kind=EntryKind.PROBE,
            by="RK",
            date="2026-03-02",
            red=("loom.1",),
            black=("donor.3",),
            seen=Seen.BEEP,
        ),
    )
    assert append(path, [first]) is None
    path.write_text(path.read_text() + "# a remark\ntitle: mine\n")
    assert (
        append(
            path,
            [
                Entry(
                    kind=EntryKind.ANSWER,
                    by="RK",
                    date="2026-03-02",
                    about="gateway.TA",
                    answer="on",
                )
            ],
        )
        is None
    )
    loaded = load_notebook(path)
    assert loaded.value is not None, loaded.findings
    assert [e.kind for e in loaded.value.entries] == ["probe", "answer"] and loaded.value.entries[
        0
    ].of == first.of
    assert "# a remark" in path.read_text() and "title: mine" in path.read_text()
    for text in (
        "wiremap: notebook/1\nentries: []\n",
        "wiremap: notebook/1\nentries:\n- {kind: answer, about: a, answer: b}\n",
    ):
        path.write_text(text)
        assert append(path, [first]) is None
        assert load_notebook(path).value is not None, path.read_text()
    assert readings_from(tmp_path / "none.txt")[1][0].fault


def test_two_writers_lose_nothing(tmp_path: Path) -> None:
    """Three processes add twenty entries each to one file."""
    code = (
        "import sys; from wiremap.entries.notebook import append; from wiremap.model import Entry\n"
        "for n in range(20):\n"
        "    assert append('n.yaml', [Entry(kind='answer', by=sys.argv[1], date='2026-03-02', about=f'a.{n}', answer='on')]) is None\n"
    )
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    writers = [
        subprocess.Popen([sys.executable, "-c", code, who], cwd=tmp_path, env=env)
        for who in ("A", "B", "C")
    ]
    assert [w.wait(120) for w in writers] == [0, 0, 0]
    book = load_notebook(tmp_path / "n.yaml").value
    assert book is not None
    assert {(w, f"a.{n}") for w in "ABC" for n in range(20)} == {
        (e.by, e.about) for e in book.entries
    }


def ringout_in(cwd: Path, *args: str, text: str | None = None) -> subprocess.CompletedProcess[str]:
    return called("ringout", *args, cwd=cwd, text=text)


def test_the_command(tmp_path: Path) -> None:
    """Plan 0, failing readings 1, unread 2; the walk saves each answer and goes on from there; as built is written beside."""
    here = copied_demo(tmp_path / "demo").parent
    planned = ringout_in(here, "job.yaml", "--json", "--kind", "adapter")
    assert planned.returncode == 0
    body = json.loads(planned.stdout)
    assert next(iter(body.items())) == ("wiremap", "ringout/1")
    assert {"n", "kind", "red", "black", "expect", "low", "high", "proves"} <= body["probes"][
        0
    ].keys()
    before = len(load_notebook(here / "notebook.yaml").value.entries)  # type: ignore[union-attr]
    near = ("--walk", "--method", "near", "--by", "RK")
    walked = ringout_in(here, "job.yaml", *near, text="b\nb\n0.2\n?\nq\n")
    assert walked.returncode == 1 and "kept" in walked.stdout
    assert before + 2 == len(load_notebook(here / "notebook.yaml").value.entries)  # type: ignore[union-attr]
    (here / "bench.txt").write_text(
        "donor.8 - gateway.3 s, donor.9 - gateway.4 s, donor.8 - gateway.4 b\n"
        "loom.6 - gateway.1 b, loom.7 - gateway.2 b, donor.9 - gateway.3 b\n"
    )
    failed = ringout_in(here, "job.yaml", "--readings", "bench.txt", "--kind", "adapter", "--json")
    assert failed.returncode == 1
    told = json.loads(failed.stdout)
    assert (
        told["verdict"] == "fail" and told["explanations"][0]["faults"][0]["kind"] == "pair-crossed"
    )
    assert (
        ringout_in(
            here,
            "job.yaml",
            "--readings",
            "bench.txt",
            "--kind",
            "adapter",
            "--as-built",
            "built.yaml",
        ).returncode
        == 1
    )
    assert load_job(here / "built.yaml").value is not None
    assert ringout_in(here, "job.yaml", "--readings", "none.txt").returncode == 2
    assert ringout_in(here, "nowhere.yaml").returncode == 2
    assert ringout_in(here, "job.yaml", "--power").returncode == 0


def test_an_adapter_without_a_job(tmp_path: Path) -> None:
    """Two pinouts and beeps on standard input: the job as built and its verdict; supply on ground holds."""
    here = copied_demo(tmp_path / "demo").parent
    got = ringout_in(
        here,
        "series1-loom.yaml",
        "series2-donor.yaml",
        "--readings",
        "-",
        "--json",
        text="old.1 - new.1 b, old.2 - new.2 b",
    )
    assert got.returncode == 1, got.stderr
    body = json.loads(got.stdout)
    assert (
        body["circuits"] == [["old.1", "new.1"], ["old.2", "new.2"]]
        and body["verdict"] == "incomplete"
    )
    assert any(f["severity"] == "stop" for f in body["findings"])
    first = ringout_in(
        here, "series1-loom.yaml", "series2-donor.yaml"
    )  # what to read first, as batch lines to fill in
    assert first.returncode == 0 and "old.11 - new.5 ?" in first.stdout
    again = ringout_in(
        here, "series1-loom.yaml", "series2-donor.yaml", "--readings", "-", text=first.stdout
    )
    assert again.returncode == 1 and "not probed yet" in again.stdout
    for options in (["--readings", "-", "--save", "--by", "RK"], ["--as-built", "x.yaml"]):
        refused = ringout_in(
            here, "series1-loom.yaml", "series2-donor.yaml", *options, text="old.1 - new.1 b"
        )
        assert refused.returncode == 2 and any(
            word in refused.stderr for word in ("no notebook to save in", "add --readings FILE")
        )
    assert not (here / "x.yaml").exists()
    assert (
        ringout_in(
            here,
            "series1-loom.yaml",
            "series2-donor.yaml",
            "--readings",
            "-",
            text="old.99 - new.1 b",
        ).returncode
        == 2
    )


def test_a_walk_in_json_keeps_standard_output_for_the_verdict(tmp_path: Path) -> None:
    """Stopped half way or ended by the end of input: one JSON document on stdout, every prompt on stderr."""
    here = copied_demo(tmp_path / "demo").parent
    for text in ("b\no\nq\n", "b\nb\n"):
        got = ringout_in(here, "job.yaml", "--walk", "--json", "--by", "RK", text=text)
        body = json.loads(got.stdout)
        assert (
            got.returncode == 1
            and body["wiremap"] == "ringout/1"
            and body["verdict"] == "incomplete"
        )
        assert "probe 1 of" in got.stderr or "telling probe:" in got.stderr
        assert "fuses out: F7 10 A" in got.stderr


def test_a_walk_names_the_mistake_and_goes_on_after_it_is_mended(demo: Job) -> None:
    """Half way through the plan it is told; mended, its circuits are read again and the rest follows."""
    trial = Trial(demo, "near", "splice-in")
    made = next(m for m in single_wrongs(demo, 0) if m[0][0] == "exchange donor.16 donor.17")
    walk, asked = Walk(trial.harness, trial.plan), 0
    copper = trial.copper(made)
    while (turn := walk.turn()) is not None and not turn.mend:
        walk.answer(turn, meter(trial, copper, turn), "RK", "2026-03-02")
        asked += 1
    judged = walk.judged()
    assert judged.verdict == "fail" and [f.subject for f in judged.explanations[0].mistakes] == [
        ("donor.16", "donor.17")
    ]
    assert asked < 70 < len(trial.plan.probes) and turn is not None and turn.certain
    shown = walk.show(turn)
    assert shown[0] == "certain: donor.16 and donor.17 are exchanged"
    assert (
        shown[1].startswith("to mend: their joints, if crossed there; ")
        and " take both wires out first" in shown[1]
    )
    assert shown[2] == "type m when it is mended (q keeps and stops)"
    (mended,) = walk.answer(turn, "mended", "RK", "2026-03-02")
    assert {"donor.16", "donor.17"} <= set(mended.points)
    assert any(line.startswith("mended donor.16") for line in walk.judged().told())
    sound = trial.copper(())
    walk = Walk(trial.harness, trial.plan, walk.entries)
    while (turn := walk.turn()) is not None:
        assert walk.answer(turn, meter(trial, sound, turn), "RK", "2026-03-02")
    assert walk.judged().verdict == "pass"


@pytest.mark.parametrize("what", ["mirrored donor", "shifted+1 donor", "rotated gateway"])
def test_a_face_read_wrongly_is_named_after_a_handful_of_probes(demo: Job, what: str) -> None:
    """The sentinels come first for this: nobody rings the whole plan through a face that must be made anew."""
    trial = Trial(demo, "near", "splice-in")
    copper = trial.copper(next(m for m in single_wrongs(demo, 0) if m[0][0] == what))
    walk, asked = Walk(trial.harness, trial.plan), 0
    while (turn := walk.turn()) is not None and not turn.mend:
        assert walk.answer(turn, meter(trial, copper, turn), "RK", "2026-03-02")
        asked += 1
    (fault,) = walk.judged().explanations[0].mistakes
    assert (f"{fault.kind} {fault.subject[0]}", asked <= 12) == (what.replace("+1", ""), True)


def meter(trial: Trial, copper: Copper, turn: Turn) -> str:
    """What an honest hand types: in a sweep the name of what beeps."""
    if turn.is_sweep:
        named = [b for b in turn.black if copper.answer(Bare(turn.red, (b,))).seen == "beep"]
        return " ".join(named) or "s"
    e = trial.answer(
        copper,
        Ask(red=turn.red, black=turn.black, why=turn.why, expect=turn.unit, state=turn.state),
    )
    return {"beep": "b", "silent": "s", "diode": "d"}.get(e.seen or "") or str(e.ohms)


def test_a_telling_probe_that_needs_a_figure_takes_no_beep(demo: Job) -> None:
    """Coil or chassis: both would beep, so the walk asks for the ohms and says so."""
    trial = Trial(demo, "near", "splice-in")
    copper = trial.copper(
        [m[0] for m in single_wrongs(demo, 0) if m[0][0] == "touch loom.10 gateway.7"]
    )
    walk = Walk(trial.harness, trial.plan, trial.answers(copper))
    turn = walk.turn()
    assert (
        turn is not None
        and turn.telling
        and turn.unit == "ohms"
        and "read the ohms: a beep alone does not tell" in walk.show(turn)
    )
    assert walk.answer(
        turn, "b", "RK", "2026-03-02"
    ) == () and "type the ohms on the display" in walk.refused(turn, "b")
    assert walk.answer(turn, "0.2", "RK", "2026-03-02")


def test_letters_of_the_walk_may_be_spelled_out(tmp_path: Path) -> None:
    """`why`, `help`, `undo` and `quit` do as their letters do; an answer that is none is told what is taken."""
    here = copied_demo(tmp_path / "demo").parent
    got = ringout_in(
        here, "job.yaml", "--walk", "--by", "RK", text="why\nHelp\nb\nUndo\nperhaps\nquit\n"
    )
    said = got.stdout
    assert (
        got.returncode == 1
        and "taken back" in said
        and "kept; the same command goes on from here" in said
    )
    assert (
        " ".join(said.split()).count("u undo, ? why, h this list") == 3
        and "`perhaps` is no answer here" in said
        and "reaches" in said
    )


@pytest.mark.parametrize(
    "options",
    [
        ("--walk", "--judge"),
        ("--walk", "--power"),
        ("--walk", "--readings", "x.txt"),
        ("--save",),
        ("--power", "--as-built", "x.yaml"),
    ],
)
def test_options_that_say_nothing_together_are_refused(
    tmp_path: Path, options: tuple[str, ...]
) -> None:
    """A usage error that names them, in words and as JSON, exit 2, nothing written."""
    here = copied_demo(tmp_path / "demo").parent
    before = (here / "notebook.yaml").read_bytes()
    for extra in ((), ("--json",)):
        got = ringout_in(here, "job.yaml", *options, *extra, text="")
        assert got.returncode == 2 and options[0] in got.stderr
        if extra:
            assert [f["rule"] for f in json.loads(got.stdout)["findings"]] == ["usage"]
    assert (here / "notebook.yaml").read_bytes() == before and not (here / "x.yaml").exists()


@pytest.mark.parametrize(
    "args",
    [
        ("ringout", "job.yaml"),
        ("ringout", "job.yaml", "--power"),
        ("ringout", "job.yaml", "--judge"),
        ("ringout", "job.yaml", "--power", "--judge"),
        ("ringout", "job.yaml", "--readings", "-"),
        ("ringout", "nowhere.yaml"),
        ("ringout", "gateway.yaml"),
        ("ringout", "gateway.yaml", "socket16.yaml"),
        ("ringout", "gateway.yaml", "socket16.yaml", "--readings", "-"),
        ("ringout", "job.yaml", "--readings", "nowhere.txt"),
        ("next", "job.yaml"),
        ("next", "job.yaml", "--all"),
        ("next", "gateway.yaml"),
        ("next", "nowhere.yaml"),
        ("next", "job.yaml", "--answer", "x"),
        ("next", "job.yaml", "--batch", "-"),
        ("next", "job.yaml", "--batch", "-", "--answer", "x"),
        ("survey", "job.yaml"),
        ("survey", "job.yaml", "--judge"),
        ("survey", "gateway.yaml"),
        ("survey", "notebook.yaml"),
    ],
)
def test_every_form_with_json_prints_one_document(tmp_path: Path, args: tuple[str, ...]) -> None:
    """Whatever the outcome, standard output is one JSON document whose first key names the command."""
    here = copied_demo(tmp_path / "demo").parent
    got = called(*args, "--json", cwd=here, text="junk\n")
    assert got.returncode in (0, 1, 2), got.stderr
    assert next(iter(json.loads(got.stdout).items())) == ("wiremap", f"{args[0]}/1")


def test_the_head_counts_every_net_once(demo: Job) -> None:
    """One exchanged pair over a part of the plan: some pass, some fail, the rest is unfinished; changed metal is stale."""
    h = Harness(demo)
    made = plan(h, "ganged", "adapter")
    copper = Copper(demo)
    read = [
        stamped(
            h,
            Entry(
                kind=EntryKind.PROBE,
                by="RK",
                date="2026-03-02",
                red=p.red,
                black=p.black,
                **meter_showed(copper.answer(p)),
            ),
        )
        for p in made.probes[:14]
    ]
    judged = judge(h, read, planned=made)
    n = judged.counts
    assert n["pass"] + n["fail"] + n["unfinished"] + n["stale"] == n["nets"] == len(judged.nets)
    assert n["unfinished"] > 0 and n["fail"] == n["stale"] == 0
    head = judged.told()[0]
    assert (
        f"of {n['nets']} circuits {n['pass']} pass, 0 fail, {n['unfinished']} unfinished" in head
        and "0 stale" in head
    )
    assert judged.as_dict()["counts"] == n
    old = judge(h, [replace(e, of="0" * 12) for e in read], planned=made).counts
    assert (
        old["stale"] > 0
        and old["pass"] == 0
        and sum(old[k] for k in ("pass", "fail", "unfinished", "stale")) == old["nets"]
    )


def meter_showed(seen: Entry) -> dict[str, object]:
    return {"seen": seen.seen, "ohms": seen.ohms}


@pytest.mark.parametrize("word", ["o", "O", "open", "OL", "0L", "0.L", "O.L"])
def test_open_in_all_its_spellings(word: str) -> None:
    """What a meter shows or a hand types for open is open, alone and in a batch line."""
    entries, faults = batch(f"a.1 - b.1 {word}")
    assert faults == () and entries[0].ohms == Span(float("inf"), float("inf"))


@pytest.mark.parametrize(
    ("text", "ohms"),
    [("0.3 ohm", 0.3), ("1.2 k", 1200.0), ("120 \u03a9", 120.0), ("0,47 kOhm", 470.0)],
)
def test_a_unit_may_stand_apart_from_its_figure(text: str, ohms: float) -> None:
    """In the walk as in batch lines; two figures are none."""
    assert read_seen(text) == Span.of(ohms)
    assert read_seen(f"{text} 7") is None


def test_a_refused_reading_lists_what_is_accepted() -> None:
    """b, s, o, n, d and a number, whether the line or only the word cannot be read."""
    for line in ("a.1 - b.1 maybe", "a.1 b.1 b"):
        (found,) = batch(line)[1]
        for word in ("b beep", "s silent", "o or open", "OL", "n not sure", "d diode", "ohms"):
            assert word in found.fix


@pytest.mark.parametrize(("unit", "told"), [(Shows.OHMS, True), (Shows.BEEP, False)])
def test_a_figure_is_asked_for_where_a_beep_does_not_tell(
    demo: Job, unit: Shows, told: bool
) -> None:
    """Common practice: a buzzer goes through a coil as through a wire."""
    turn = Turn(red=("loom.10",), black=("gateway.7",), why="tells them", telling=True, unit=unit)
    lines = turn_words(Harness(demo), HarnessKind.SPLICE_IN, turn)
    assert ("read the ohms: a beep alone does not tell" in lines) is told


def test_a_sweep_takes_a_place_beyond_its_own(demo: Job) -> None:
    """Who finds where the wire goes says so: it beeps there, and nothing is said of the places swept."""
    trial = Trial(demo, "near", "splice-in")
    walk = Walk(trial.harness, trial.plan)
    turn = Turn(red=("donor.16",), black=("donor.3", "donor.4"), why="where does it go?")
    (said,) = walk.answer(turn, "donor.17", "RK", "2026-03-02")
    assert (said.red, said.black, said.seen) == (("donor.16",), ("donor.17",), Seen.BEEP)
    two = walk.answer(turn, "donor.4", "RK", "2026-03-02")
    assert [(e.black, e.seen) for e in two] == [
        (("donor.4",), Seen.BEEP),
        (("donor.3",), Seen.SILENT),
    ]
    assert not walk.answer(turn, "donor.99", "RK", "2026-03-02")


def test_a_sweep_takes_both_probes_and_a_figure_at_one_place(demo: Job) -> None:
    """As the tool itself writes a reading; ohms without their place would be kept as of all together."""
    trial = Trial(demo, "near", "splice-in")
    walk = Walk(trial.harness, trial.plan)
    turn = Turn(red=("donor.16",), black=("donor.3", "donor.4"), why="where does it go?")
    for typed in ("donor.4 - donor.16 b", "donor.16 - donor.4 beep", "donor.4 b"):
        one, rest = walk.answer(turn, typed, "RK", "2026-03-02")
        assert (one.black, one.seen, rest.black) == (("donor.4",), Seen.BEEP, ("donor.3",))
    assert not walk.answer(turn, "120", "RK", "2026-03-02")
    assert walk.refused(turn, "120") == "one of them reads that: type which, as `donor.3 120`"
    (said,) = walk.answer(turn, "donor.3 120", "RK", "2026-03-02")
    assert (said.black, said.ohms) == (("donor.3",), Span.of(120))
    assert not walk.answer(turn, "donor.4 maybe", "RK", "2026-03-02")
    (silent,) = walk.answer(turn, "s", "RK", "2026-03-02")
    assert silent.black == turn.black
    assert "type the contact that beeps, as donor.3; s if none does" in walk.show(turn)


def test_a_figure_of_what_is_clipped_together_is_of_all(demo: Job) -> None:
    trial = Trial(demo, "rest", "splice-in")
    walk = Walk(trial.harness, trial.plan)
    comb = next(p for p in trial.plan.probes if len(p.red) == 1 and planned_turn(p).is_sweep)
    (said,) = walk.answer(planned_turn(comb), "4.7k", "RK", "2026-03-02")
    assert said.black == comb.black


def test_where_ohms_are_read_no_beep_is_promised(demo: Job) -> None:
    """A beep alone does not tell there, so what it should show is told in ohms too."""
    trial = Trial(demo, "near", "splice-in")
    copper = trial.copper(
        next(m for m in single_wrongs(demo, 0) if m[0][0] == "touch loom.2 feed.16")
    )
    entries, asked = trial.answers(copper), []
    while (ask := judge(trial.harness, entries, planned=trial.plan).diagnosis.ask) is not None:
        asked.append(ask)
        entries.append(trial.answer(copper, ask))
    told = [ask.why for ask in asked if ask.expect == Shows.OHMS]
    assert any("it should read under 1 ohm" in why for why in told)
    assert not any("should beep" in why for why in told)
