"""Every command fits a screen on the finished demo, and ends with what comes next."""

from __future__ import annotations

import io
import re
import shutil
import sys
from pathlib import Path

import pytest
from called import last_step

from wiremap import plan_ringout
from wiremap.check import check
from wiremap.cli.main import main
from wiremap.firstpower.plan import power_plan
from wiremap.firstpower.step import PowerStep
from wiremap.mistakes.expectation import Shows
from wiremap.model import Stop
from wiremap.ringout.probe import Probe

pytestmark = pytest.mark.usefixtures("usual_screen")
SCREEN = 40


def told(capsys: pytest.CaptureFixture[str], *words: str) -> list[str]:
    """The lines that a command prints as its result."""
    main(words)
    return capsys.readouterr().out.splitlines()


SHOWN = (
    ("check", "job.yaml"),
    ("ringout", "job.yaml"),
    ("ringout", "job.yaml", "--method", "rest"),
    ("ringout", "job.yaml", "--method", "ganged"),
    ("ringout", "job.yaml", "--judge"),
    ("ringout", "job.yaml", "--readings", "probed.txt"),
    ("ringout", "job.yaml", "--power"),
    ("ringout", "job.yaml", "--power", "--judge"),
    ("ringout", "job.yaml", "--power", "--readings", "powered.txt"),
    ("survey", "job.yaml"),
    ("survey", "job.yaml", "--judge"),
    ("survey", "job.yaml", "--readings", "read.txt"),
    ("survey", "job.yaml", "--readings", "read.txt", "--save", "--by", "RK"),
    ("survey", "series1-loom.yaml"),
    ("slips", "job.yaml"),
    ("next", "job.yaml"),
    ("next", "job.yaml", "--kept"),
    ("next", "job.yaml", "--done", "wires flagged", "--by", "RK"),
    ("next", "series1-loom.yaml"),
    ("sign", "job.yaml"),
    ("sheet", "job.yaml", "-o", "sheet.pdf"),
    ("compare", "job.yaml", "job.yaml"),
    ("compare", "job.yaml", "adapter/job.yaml"),
    ("compare", "--ways", "adapter/splice.yaml", "adapter/job.yaml"),
)


@pytest.mark.parametrize("words", SHOWN, ids=[" ".join(words) for words in SHOWN])
def test_it_fits_a_screen_and_says_what_comes_next(
    demo_folder: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    """At most forty lines, the last of them the one next step."""
    lines = told(capsys, *words)
    assert len(lines) <= SCREEN
    assert last_step(lines)


@pytest.mark.parametrize(
    "words",
    [
        ("ringout", "job.yaml"),
        ("ringout", "job.yaml", "--power"),
        ("survey", "job.yaml"),
        ("slips", "job.yaml"),
    ],
)
def test_full_tells_more(
    demo_folder: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    """What is brief leaves out, and says where the rest is; JSON bears no such sentence."""
    brief = told(capsys, *words)
    full = told(capsys, *words, "--full")
    plain = told(capsys, *words, "--json")
    assert len(full) > 1.5 * len(brief)
    assert not any(line.startswith("next: ") for line in plain)


def test_what_was_read_before_is_counted_and_not_told_again(
    demo_folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A second save tells its own reading, and how many stand against the paper from before."""
    saving = ("survey", "job.yaml", "--readings", "-", "--save", "--by", "RK")
    for text in (
        "loom.1 12.6 V ignition off\nloom.4 0 V ignition on\n",
        "loom.5 0 V ignition off\n",
    ):
        monkeypatch.setattr(sys, "stdin", io.StringIO(text))
        lines = told(capsys, *saving)
    assert not any("loom.4 to" in line for line in lines)
    assert any("2 read before, 1 of them still against the paper" in line for line in lines)


def test_a_path_with_a_blank_is_quoted(
    demo_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The command can be typed as it is printed."""
    shutil.copy(demo_folder / "job.yaml", demo_folder / "my job.yaml")
    assert last_step(told(capsys, "check", "my job.yaml")).endswith('wiremap survey "my job.yaml"')


SKETCHED = (
    ("check", "job.yaml"),
    ("next", "job.yaml"),
    ("sign", "job.yaml"),
    ("survey", "job.yaml"),
    ("ringout", "job.yaml"),
    ("ringout", "job.yaml", "--power"),
    ("slips", "job.yaml"),
)


@pytest.fixture
def sketch(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Path:
    """A first sketch: two plugs of twenty ways, of which only wordings are known; a proposed job."""
    words = ["Supply 24 V", "Ground", "Ignition", "CAN high", "CAN low", "Lamp left", "Pump"]
    words += [f"Sensor {n}" for n in range(len(words), 20)]
    for name in ("old", "new"):
        rows = "\n".join(f"  {n}: {word}" for n, word in enumerate(words, 1))
        text = f"wiremap: pinout/1\ntitle: {name} plug\ncavities:\n{rows}\n"
        (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    told(capsys, "propose", "old.yaml", "new.yaml", "-o", "job.yaml")
    return tmp_path


@pytest.mark.parametrize("words", SKETCHED, ids=[" ".join(words) for words in SKETCHED])
def test_a_first_sketch_fits_a_screen_too(
    sketch: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    """Sixty lines for its check, forty for all else; on hold, the last line says what lifts it."""
    lines = told(capsys, *words)
    assert len(lines) <= (60 if words[0] == "check" else SCREEN)
    assert last_step(lines)


@pytest.mark.parametrize("job", ["job.yaml", "adapter/job.yaml", "adapter/splice.yaml"])
def test_the_verdict_is_short(
    demo_folder: Path, capsys: pytest.CaptureFixture[str], job: str
) -> None:
    """Under two hundred characters, each contact named once."""
    verdict = _verdict(told(capsys, "check", job))
    assert len(verdict) < 200
    named = re.findall(r"not judged: ([^;]*)", verdict)
    for contacts in named:
        each = contacts.partition(" and ")[0].split(", ")
        assert len(each) == len(set(each))


def _verdict(lines: list[str]) -> str:
    """The first sentence, its wrapped lines joined."""
    end = next(at for at, line in enumerate(lines) if at and not line.startswith(" "))
    return " ".join(line.strip() for line in lines[:end])


def test_the_verdict_of_a_sketch_is_short(sketch: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert len(_verdict(told(capsys, "check", "job.yaml"))) < 200


def test_a_blank_wants_filling_in(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing is proposed from papers that say nothing; one with a gap may be proposed from."""
    blank = str(tmp_path / "blank.yaml")
    told(capsys, "start", "pinout", "--cavities", "4", "-o", blank)
    assert "fill in what is empty" in last_step(told(capsys, "check", blank))
    begun = tmp_path / "begun.yaml"
    rows = "  1: +24 always\n  2: earth\n  3: '?'\n"
    begun.write_text(f"wiremap: pinout/1\ntitle: x\ncavities:\n{rows}", encoding="utf-8")
    alone = last_step(told(capsys, "check", str(begun)))
    assert "describe the other connector" in alone and alone.endswith("wiremap start")
    assert "NEW" not in alone


def test_two_papers_are_proposed_from_in_their_order(
    sketch: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Which of them is the machine's, nobody knows but whoever calls: it is said."""
    step = last_step(told(capsys, "check", "old.yaml", "new.yaml"))
    assert "the machine's first: wiremap propose old.yaml new.yaml -o " in step


SIZED = (
    "fuse --load 3 --csa 0.5 --length 2 --volts 12 --source-milliohm 20 --ambient 40",
    "stagger --run 390 --tail 350 --tail 180 --joints 16",
    "joint --csa 0.5 --csa 0.5",
)


@pytest.mark.parametrize("words", SIZED)
def test_a_figure_fits_a_screen_with_its_sources(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, words: str
) -> None:
    """Eighty columns, forty lines, every source once with its standing; `--full` tells all."""
    monkeypatch.setenv("COLUMNS", "80")
    lines = told(capsys, "size", *words.split())
    full = "\n".join(told(capsys, "size", *words.split(), "--full"))
    assert len(lines) <= SCREEN and max(map(len, lines)) <= 80 + len(" ...")
    numbers = {int(n) for line in lines for n in re.findall(r" \[(\d+)\]", line)}
    sources = {int(n) for line in lines for n in re.findall(r"^source (\d+) \[\w", line)}
    assert numbers == sources and numbers
    assert lines[0].partition(" [")[0] in full


@pytest.fixture
def adapter(demo_folder: Path) -> Path:
    """The demo's adapter, built and rung out at its joints by what its notebook holds, the stop at the sleeves to come."""
    book = demo_folder / "adapter" / "notebook.yaml"
    kept = [line for line in book.read_text("utf-8").splitlines(True) if " shrunk" not in line]
    book.write_text("".join(line for line in kept if "stop-passed" not in line), "utf-8")
    return demo_folder / "adapter"


def test_a_pass_says_that_the_second_ring_out_is_still_to_come(
    adapter: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """First two people look at the joints, then the sleeves are shrunk, then it is read again: a pass is none before."""
    first = told(capsys, "ringout", "adapter/job.yaml", "--judge")
    assert first[0].startswith("pass before the sleeves are shrunk, not yet after: ")
    assert "--stop sleeves" in last_step(first)
    main(["sign", "adapter/job.yaml", "--stop", "sleeves", "--by", "RK", "--second", "AM"])
    capsys.readouterr()
    after = last_step(told(capsys, "ringout", "adapter/job.yaml", "--judge"))
    assert "close it up" in after and "--walk" in after


def signed(capsys: pytest.CaptureFixture[str], stop: str, *more: str) -> tuple[str, str]:
    """What `sign` says of a stop that two people want to pass: its result and what is wrong."""
    main(["sign", "adapter/job.yaml", "--stop", stop, "--by", "RK", *(more or ("--second", "AM"))])
    out, err = capsys.readouterr()
    return out, err


def test_first_power_is_offered_last(adapter: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Until both ring-outs are read and the stop between them is passed no command leads to it."""
    for words in (("check",), ("slips",), ("ringout",), ("sheet", "-o", "s.pdf")):
        step = last_step(told(capsys, words[0], "adapter/job.yaml", *words[1:]))
        assert "--stop sleeves" in step, words
    lines = told(capsys, "ringout", "adapter/job.yaml", "--power")
    assert lines[0].startswith("NOT YET") and "--stop sleeves" in last_step(lines)
    out, _ = signed(capsys, "sleeves")
    assert "read again while you move each wire" in out
    _, refused = signed(capsys, "battery")
    assert "comes later" in refused and "--walk" in refused


def test_a_stop_passed_by_two_is_not_passed_alone(
    adapter: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Who signs alone behind two people is told so, and the verdict keeps both names."""
    signed(capsys, "sleeves")
    book = next(Path("adapter").glob("*notebook.yaml")).read_text("utf-8")
    assert "kept once" in signed(capsys, "sleeves")[1]
    assert next(Path("adapter").glob("*notebook.yaml")).read_text("utf-8") == book
    assert "stop: sleeves" in book
    _, refused = signed(capsys, "sleeves", "--alone")
    assert "two people have passed it already" in refused
    assert "passed: sleeves (RK, AM)" in " ".join(told(capsys, "check", "adapter/job.yaml"))


@pytest.fixture
def built(demo_folder: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    """The demo's adapter, both ring-outs read, the stop between them passed."""
    signed(capsys, "sleeves")
    harness = check(["adapter/job.yaml"]).jobs[0].harness
    assert harness is not None
    lines = "\n".join(map(_line, plan_ringout(harness).second))
    (demo_folder / "second.txt").write_text(lines, "utf-8")
    call = ("ringout", "adapter/job.yaml", "--readings", "second.txt", "--save", "--by", "RK")
    assert NOTED in last_step(told(capsys, *call))
    return demo_folder


NOTED = "then type `1 to "  # of the deeds before the battery, as they are noted


def noted_before_the_battery(folder: Path, capsys: pytest.CaptureFixture[str]) -> list[str]:
    """What is told once the deeds before the battery are noted, typed as they are asked for."""
    line = last_step(told(capsys, "check", "adapter/job.yaml")).split("`")[1]
    (folder / "hands.txt").write_text(line, "utf-8")
    save = ("--readings", "hands.txt", "--save", "--by", "RK")
    return told(capsys, "ringout", "adapter/job.yaml", "--power", *save)


def test_the_battery_stop_waits_for_what_hands_do_before_it(
    built: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Chock, battery off, fuses out: until they are noted nobody passes it, and the line to type is told."""
    refused = " ".join(signed(capsys, "battery")[1].split())
    assert "comes later" in refused and NOTED in refused and "--power --readings -" in refused
    first = built / "one.txt"
    first.write_text("1 done", "utf-8")
    save = ("--readings", "one.txt", "--save", "--by", "RK")
    assert "type `2 to " in last_step(told(capsys, "ringout", "adapter/job.yaml", "--power", *save))
    assert "--stop battery" in last_step(noted_before_the_battery(built, capsys))
    assert "battery is passed" in signed(capsys, "battery")[1]


def _line(probe: Probe) -> str:
    """A reading of the second ring-out as it should be."""
    silent = probe.expectation.shows == Shows.SILENT
    shown = "s" if silent else f"{probe.expectation.low:g}"
    return f"{probe.red[0]} - {probe.black[0]} {shown} shrunk"


def test_readings_beyond_a_stop_are_not_saved(
    built: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """First the battery's stop; then what is read before mating, then the mating's; at the end nothing is offered."""
    save = ("ringout", "adapter/job.yaml", "--power", "--readings", "p.txt", "--save", "--by", "RK")
    harness = check(["adapter/job.yaml"]).jobs[0].harness
    assert harness is not None
    steps = power_plan(harness)
    at = next(step.n for step in steps if step.stop == Stop.MATING)
    early = "\n".join(_answered(step) for step in steps if _asks(step) and step.n < at)
    late = "\n".join(_answered(step) for step in steps if _asks(step) and step.n >= at)
    file = built / "p.txt"
    file.write_text(early, "utf-8")
    assert main(save) == 2 and "stop battery" in capsys.readouterr().err
    assert "--stop battery" in last_step(noted_before_the_battery(built, capsys))
    signed(capsys, "battery")
    refused = signed(capsys, "mating")[1]
    assert "comes later" in refused and "before it: first power" in " ".join(refused.split())
    assert "--stop mating" in last_step(told(capsys, *save))
    file.write_text(late, "utf-8")
    assert main(save) == 2 and "stop mating" in capsys.readouterr().err
    signed(capsys, "mating")
    assert told(capsys, *save)[0].startswith("pass")
    for command in ("check", "slips", "ringout"):
        assert "nothing is left" in last_step(told(capsys, command, "adapter/job.yaml"))


def test_which_fuse_goes_back_is_asked_before_first_power(
    built: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where only the found one is told, first power waits until somebody says which one goes in."""
    job = built / "adapter" / "job.yaml"
    text = job.read_text("utf-8").replace("fuse_amps: 7.5", "found_amps: 7.5")
    job.write_text(text, "utf-8")
    assert "say which fuses go back" in last_step(told(capsys, "check", "adapter/job.yaml"))
    lines = told(capsys, "ringout", "adapter/job.yaml", "--power")
    assert lines[0].startswith("NOT YET") and "say which fuses go back" in last_step(lines)
    assert "comes later" in signed(capsys, "battery")[1]
    asked = " ".join(told(capsys, "next", "adapter/job.yaml"))
    assert "Which fuses go back, in amps: lamp.1 (F11 7.5 A was found); lamp.2 (F12" in asked
    for at, amps in (("lamp.1", "7.5"), ("lamp.2", "5")):
        about = ("--about", f"{at}.fuse_amps", "--answer", amps, "--how", "lid", "--by", "RK")
        told(capsys, "next", "adapter/job.yaml", *about)
    assert NOTED in last_step(told(capsys, "check", "adapter/job.yaml"))
    steps = " ".join(told(capsys, "ringout", "adapter/job.yaml", "--power", "--full"))
    assert "fit F12 5 A in place of the 7.5 A found" in steps


def _asks(step: PowerStep) -> bool:
    return bool(step.quantity) or step.looks


def _answered(step: PowerStep) -> str:
    """A line that answers a step as it should be."""
    if not step.quantity:
        return f"{step.n} done"
    figure = step.high if step.high is not None else 0.03
    return f"{step.n} {figure} {step.quantity}"


def test_the_walk_names_the_stop_before_the_cut(
    demo_folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Before its first question, with the call that passes it; once it is passed, no more."""
    walk = ("ringout", "job.yaml", "--walk", "--by", "RK")
    monkeypatch.setattr(sys, "stdin", io.StringIO("q\n"))
    assert "--stop cut" in " ".join(told(capsys, *walk))
    names = ("--by", "RK", "--second", "AM", "--unread", "the loom lies on the bench")
    main(["sign", "job.yaml", "--stop", "cut", *names])
    capsys.readouterr()
    monkeypatch.setattr(sys, "stdin", io.StringIO("q\n"))
    assert "--stop cut" not in " ".join(told(capsys, *walk))
