"""`wiremap start` by itself: one question at a time, nothing lost, from papers to a proposed job."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from wiremap.check import check
from wiremap.cli.main import main
from wiremap.files import load_job
from wiremap.share.headings import is_row_of_plug

HAND = (
    "hand",
    "1: +12 always, red",
    "2: earth, brown",
    "3: hopper level, grey",
    '14: "-"',
    ".",
    "14-way sealed",
    "no",
)
PASTED = (
    "paste",
    "Pin\tSignal\tColour",
    "1\tBattery\trt",
    "2\tMasse\tsw",
    "3\tHopper level\tgr",
    ".",
    "d",
    "no",
)
END = ("splice", "12", "F7 10")
ALL = (*HAND, *PASTED, *END)
KEPT = "wiremap-start.json"


pytestmark = pytest.mark.usefixtures("empty_folder")


def type_in(monkeypatch: pytest.MonkeyPatch, *lines: str) -> None:
    """The command with these lines on standard input, then its end."""
    text = "".join(f"{line}\n" for line in lines)
    monkeypatch.setattr("sys.stdin", io.StringIO(text))
    assert 0 == main(["start"])


def files(folder: Path) -> dict[str, str]:
    return {path.name: path.read_text("utf-8") for path in folder.glob("*.yaml")}


def test_the_questions_end_in_pinouts_a_job_and_the_next_sentence(
    empty_folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The job reads without a fault, bears the volts and the fuse, and nothing else is left."""
    type_in(monkeypatch, *ALL)
    told = capsys.readouterr().out
    assert "`+12 always` (wire red): permanent-supply" in told
    assert told.rstrip().endswith("next: see what holds it: wiremap check job.yaml")
    assert {"old.yaml", "new.yaml", "job.yaml"} == set(files(empty_folder))
    assert not Path(KEPT).exists()
    assert [] == [f.message for f in check(["job.yaml"]).findings if f.fault]
    job = load_job("job.yaml").value
    assert job is not None
    assert (12, "F7", 10) == (
        job.supply.volts,
        job.ends["old"].fed["1"].fuse,
        job.ends["old"].fed["1"].found_amps,
    )
    assert job.ends["old"].pinout.connector.sealed
    assert job.ends["old"].pinout.cavities["14"].unused


@pytest.mark.parametrize("stopped", range(len(ALL)))
def test_stopped_anywhere_it_goes_on_where_it_was(
    empty_folder: Path, monkeypatch: pytest.MonkeyPatch, stopped: int
) -> None:
    """The end of input after any answer loses nothing: the same files come of it."""
    type_in(monkeypatch, *ALL)
    whole = files(empty_folder)
    for name in whole:
        Path(name).unlink()
    type_in(monkeypatch, *ALL[:stopped])
    type_in(monkeypatch, *ALL[stopped:])
    assert whole == files(empty_folder)


def test_enter_is_no_answer(empty_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A blank line before every answer changes nothing."""
    type_in(monkeypatch, *ALL)
    whole = files(empty_folder)
    for name in whole:
        Path(name).unlink()
    type_in(monkeypatch, *(line for each in ALL for line in ("", "   ", each)))
    assert whole == files(empty_folder)


def test_back_asks_the_question_before_again(
    empty_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The shell is told anew, and what comes before stays."""
    rest = (*PASTED, *END)
    type_in(monkeypatch, *HAND[:-1], "back", "9-way plain", "no", *rest)
    job = load_job("job.yaml").value
    assert job is not None
    assert "9-way plain" == job.ends["old"].pinout.connector.shell


def test_help_and_leaving_work_at_each_question(
    empty_folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """`?` tells the keys and what is wanted, `q` leaves; the next sitting goes on where it was."""
    for line in ALL:
        type_in(monkeypatch, "?", "q")
        told = capsys.readouterr().out
        assert "d for don't know" in told and "wanted here: " in told
        assert "go on where you stopped: wiremap start" in told
        type_in(monkeypatch, line)
    assert {"old.yaml", "new.yaml", "job.yaml"} == set(files(empty_folder))
    assert not Path(KEPT).exists()


def test_dont_know_is_always_an_answer(
    empty_folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Volts, fuse and shell stay open, and both ways are sketched."""
    rows = ("d", "1: ?", ".", "d", "no")
    type_in(monkeypatch, *HAND[:6], "d", "d", *rows, "d", "d", "d", "d")
    assert {"old.yaml", "new.yaml", "splice.yaml", "adapter.yaml"} == set(files(empty_folder))
    assert "compare --ways splice.yaml adapter.yaml" in capsys.readouterr().out
    job = load_job("splice.yaml").value
    assert job is not None
    assert (None, {}) == (job.supply.volts, dict(job.ends["old"].fed))


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ("nowhere.yaml", "there is no file nowhere.yaml"),
        ("..", "there is no file"),
        ("x" * 600, "too long"),
        ("pa\x07ste", "hidden character"),
    ],
)
def test_what_is_no_answer_is_told_and_asked_again(
    wrong: str, said: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    type_in(monkeypatch, wrong)
    assert said in capsys.readouterr().out
    assert not Path(KEPT).exists()


def test_a_table_that_cannot_be_read_is_asked_again(
    empty_folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Why it cannot is said; nothing of it stays."""
    broken = ("paste", "these are no", "pins at all", ".", "d")
    type_in(monkeypatch, *broken, *ALL)
    told = capsys.readouterr().out
    assert "mend: Put a line above it that names its columns" in told and "intake" not in told
    assert {"old.yaml", "new.yaml", "job.yaml"} == set(files(empty_folder))


def test_a_pinout_of_the_folder_is_used_as_it_lies(
    empty_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is neither copied nor changed, and its shell is not asked for."""
    text = "wiremap: pinout/1\ntitle: mine\ncavities:\n  1: +12 always\n"
    Path("mine.yaml").write_text(text, "utf-8")
    type_in(monkeypatch, "mine.yaml", "no", *PASTED, *END)
    assert text == Path("mine.yaml").read_text("utf-8")
    job = load_job("job.yaml").value
    assert job is not None
    assert "mine.yaml" == Path(job.ends["old"].pinout.path).name


def test_two_old_plugs(empty_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each is asked for by itself, and each supply's fuse."""
    second = ("hand", "1: fan speed, blue", ".", "d", "no")
    type_in(monkeypatch, *HAND[:-1], "yes", *second, *PASTED, *END)
    job = load_job("job.yaml").value
    assert job is not None
    assert ["old", "old2", "new"] == list(job.ends)


def test_nothing_is_written_over(empty_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A person's own files keep their bytes; the new ones take another name."""
    for name in ("old.yaml", "job.yaml"):
        Path(name).write_text("mine", "utf-8")
    type_in(monkeypatch, *ALL)
    assert "mine" == Path("old.yaml").read_text() == Path("job.yaml").read_text()
    assert {"old-2.yaml", "job-2.yaml"} <= set(files(empty_folder))


@pytest.mark.parametrize(
    "kept", ["", "[]", "{", '{"wiremap": "start/1", "answers": 3}', "[" * 9999]
)
def test_a_spoilt_file_of_answers_is_begun_anew(
    kept: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    Path(KEPT).write_text(kept, "utf-8")
    type_in(monkeypatch, "hand")
    assert {"old.papers": "hand"} == json.loads(Path(KEPT).read_text())["answers"]


def test_letters_in_doubt_are_asked_for(
    empty_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """B and L are black and blue in Japanese papers, blue and nothing in others."""
    rows = ("paste", "Pin;Signal;Colour", "1;Battery;B", "2;GND;L", ".", "d", "japanese", "no")
    type_in(monkeypatch, *HAND, *rows, *END)
    job = load_job("job.yaml").value
    assert job is not None
    wires = [cavity.wire for cavity in job.ends["new"].pinout.cavities.values()]
    colours = [wire.colour.word for wire in wires if wire is not None and wire.colour is not None]
    assert ["black", "blue"] == colours


def test_what_a_table_says_beside_stays_as_a_remark(
    empty_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A shell that is told beside it drops nothing."""
    rows = ("paste", "Pin;Signal;Note", "1;Battery;behind the relay", ".", "23-way sealed", "no")
    type_in(monkeypatch, *HAND, *rows, *END)
    text = files(empty_folder)["new.yaml"]
    assert "behind the relay" in text
    assert 'shell: "23-way sealed"' in text


def test_a_shell_begins_with_its_ways(
    empty_folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Words without a number and too few ways are refused, with what would do."""
    type_in(
        monkeypatch, *HAND[:6], "grey one", "3-way", "4-way not sealed", *HAND[7:], *PASTED, *END
    )
    said = capsys.readouterr().out
    assert "4-way sealed, 4-way not sealed, d" in said
    assert "begin with how many ways" in said and "3 ways are too few" in said
    job = load_job("job.yaml").value
    assert job is not None
    assert job.ends["old"].pinout.connector.sealed is False


def test_back_takes_one_row_away(empty_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """While rows are typed, and once they have ended: the others stay."""
    wrong = "9: typed by mistake"
    rows = (*HAND[:3], wrong, "back", *HAND[3:6])
    type_in(monkeypatch, *rows, "back", wrong, "back", ".", *HAND[6:], *PASTED, *END)
    job = load_job("job.yaml").value
    assert job is not None
    assert ["1", "2", "3", "14"] == list(job.ends["old"].pinout.cavities)


def test_words_are_taken_as_they_begin(empty_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """`n`, `SPL` and `24 V` are what they look like."""
    type_in(monkeypatch, *HAND[:-1], "N", *PASTED[:-1], "n", "SPL", "24 V", "none")
    job = load_job("job.yaml").value
    assert job is not None
    assert (24, True) == (job.supply.volts, job.ends["old"].fed["1"].unfused)


def test_tables_that_lie_there_are_named(
    empty_folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("plug.csv").write_text("Pin,Signal\n1,Battery\n", "utf-8")
    type_in(monkeypatch, "stop")
    assert "a file's name (plug.csv)" in capsys.readouterr().out


HEADLESS = ("paste", "1;+12 always;red;1.0", "2;earth;brown;1.0", ".")
HEADED = ("Pin;Signal;Colour;Size", *HEADLESS[1:])


@pytest.mark.parametrize("mark", [";", "\t", "   ", " "])
def test_a_table_without_headings_is_asked_what_its_columns_are(
    mark: str,
    empty_folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Before the shell, with a guess; its colours and sizes are read, whatever parts the columns."""
    rows = [row.replace(";", mark) for row in HEADLESS]
    type_in(monkeypatch, *rows, "no", "yes", "2-way sealed")
    told = capsys.readouterr().out
    assert "column 2 (+12 always, earth): name" in told and "column 4 (1.0, 1.0): size" in told
    assert "there are 4 columns: name each, as: number, name, colour, size" in told
    assert told.index("is that what its columns are?") < told.index("how many ways")
    assert "`+12 always` (wire 1.0 red): permanent-supply" in told


def test_columns_in_another_order_are_named_by_a_word_each(
    empty_folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """`-` is a remark; what no column can be, or two are, is refused; `again` pastes once more."""
    table = ("red;+12 always;7;1", "red;earth;7;2", ".")
    refused = ("colour, name, -, x", "name, name, -, number", "colour, -, -, number", "name")
    type_in(
        monkeypatch, *HEADLESS, "again", *table, *refused, "colour, name, -, number", "2-way sealed"
    )
    told = capsys.readouterr().out
    assert "`x` names no column" in told and "two columns bear one name" in told
    assert "number and name are wanted at least" in told
    assert "1  `+12 always` (wire red): permanent-supply" in told


def test_rows_typed_by_hand_are_taken_where_a_table_is_pasted(
    empty_folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Their commas part no columns: nothing is asked of them."""
    type_in(monkeypatch, "paste", "1: +12 always, red", "2: earth, brown", ".", "2-way sealed")
    told = capsys.readouterr().out
    assert "columns are?" not in told and "`+12 always` (wire red): permanent-supply" in told


def test_headings_after_kept_lines_begin_the_table_anew(
    empty_folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Gone back and pasted again, nothing of the first table is left above the second."""
    type_in(monkeypatch, *HEADLESS, "yes", "2-way sealed", "back", "back", "back", *HEADED)
    told = capsys.readouterr().out
    assert "lines before this one are dropped" in told
    kept = json.loads(Path(KEPT).read_text("utf-8"))["answers"]
    assert kept["old.rows"] == list(HEADED[:-1])


def test_the_talk_tells_no_option_of_a_command(
    empty_folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Who answers questions has no call to write one into: of a pasted table and of one in a file."""
    rows = ["Pin;Signal;Colour", "1;Battery +;rt", "2;Ground;br", "3;CAN high;ge"]
    Path("new.csv").write_text("\n".join(rows), "utf-8")
    type_in(monkeypatch, "paste", *rows, ".", "3-way sealed", "no", "new.csv", "3-way sealed", "no")
    told = capsys.readouterr().out
    assert "assumed: the colours are taken as German letters" in told
    assert " --" not in told


ROWS = (
    "Pin;Signal;Colour;Size",
    "1;Battery;red;0,75",
    "2;earth;brown;0,75",
    "24;CAN high;yellow;0,5",
)


@pytest.mark.parametrize(
    "rows",
    [
        ROWS,
        tuple(row.replace(";", "\t") for row in ROWS),
        ("Pin,Signal,Colour,Size", "1,Battery,red,0.75", "2,earth,brown,0.75"),
        ("1: Battery, red 0.75", "2: earth, brown 0.75"),
    ],
    ids=["semicolons", "tabs", "commas", "typed"],
)
def test_a_table_pasted_where_a_file_is_asked_for_is_taken_there(
    rows: tuple[str, ...], empty_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not a row is lost, and what it is told as need not be said first."""
    way = "hand" if rows[0].startswith("1:") else "paste"
    type_in(monkeypatch, *rows, ".", "d", "no", *PASTED, *END)
    straight = files(empty_folder)
    for name in straight:
        Path(name).unlink()
    type_in(monkeypatch, way, *rows, ".", "d", "no", *PASTED, *END)
    assert files(empty_folder) == straight
    cavity = load_job("job.yaml").value.ends["old"].pinout.cavities["1"]  # type: ignore[union-attr]
    assert cavity.wire is not None and cavity.wire.csa_mm2 == 0.75


@pytest.mark.parametrize("answered", [6, 7, *range(len(HAND) + 6, len(ALL))])
def test_a_table_pasted_at_another_question_answers_nothing(
    answered: int,
    empty_folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Whatever its lines begin with, none is an answer; where it goes is said once."""
    type_in(monkeypatch, *ALL[:answered])
    kept = Path(KEPT).read_text("utf-8")
    capsys.readouterr()
    type_in(monkeypatch, *ROWS, ".")
    assert capsys.readouterr().out.count("paste it; back goes") == 1
    assert Path(KEPT).read_text("utf-8") == kept


def test_a_table_pasted_cavity_by_cavity_keeps_its_columns(
    empty_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    type_in(monkeypatch, "hand", *ROWS, ".", "d", "no", *PASTED, *END)
    cavities = load_job("job.yaml").value.ends["old"].pinout.cavities  # type: ignore[union-attr]
    assert list(cavities) == ["1", "2", "24"]
    assert cavities["24"].wire is not None and cavities["24"].wire.csa_mm2 == 0.5


@pytest.mark.parametrize(
    "answer",
    ["14-way, sealed, grey", "F7 10", "0,75 red, 150 mm", "M6", "24 V", "my, own file.csv"],
)
def test_an_answer_with_commas_is_no_row_of_a_table(answer: str) -> None:
    assert not is_row_of_plug(answer)


def test_a_module_is_asked_for_only_where_a_pair_is_told(
    empty_folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Of two plugs without a CAN wire nobody cuts a pair; of one with it the question stands."""
    type_in(monkeypatch, *ALL)
    assert "in-line module" not in capsys.readouterr().out
    pair = ("4: CAN high, yellow", "5: CAN low, green")
    type_in(monkeypatch, *HAND[:5], *pair, *HAND[5:], *PASTED, *END)
    assert "in-line module" in capsys.readouterr().out
