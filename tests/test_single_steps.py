"""Single steps that larger tests pass over: each small promise of the engine, asked by itself."""

from __future__ import annotations

import math
import runpy
import socket
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from called import called
from demo_jobs import copied_demo
from sheet_cases import demo_given
from test_propose_identity import between, can, side

from wiremap.base import Severity, fault
from wiremap.check import check
from wiremap.cli.guided_answers import file_of
from wiremap.content.bus import bus_halves
from wiremap.content.bus_cards import bus_card
from wiremap.content.power_cards import CAUTION, power_card
from wiremap.evidence import alone
from wiremap.evidence.probe_points import HarnessKind
from wiremap.files import load_job
from wiremap.files.contacts import figures_told
from wiremap.firstpower.faces import Faces
from wiremap.firstpower.step import PowerStage, PowerStep
from wiremap.graph import Harness
from wiremap.graph.ohms import ResistorNetwork
from wiremap.mistakes.drawn import drawn_of
from wiremap.mistakes.parts import PART_MISSING, PART_WRONG, parts_wrong
from wiremap.model import Entry, EntryKind, Notebook, OnOff, Span
from wiremap.model.notebook import without_struck
from wiremap.naming import read_signal
from wiremap.page.gate import Gate
from wiremap.page.opening import FIND, own_address
from wiremap.propose import as_job, propose
from wiremap.propose.likeness import likeness
from wiremap.reports.power import power_brief
from wiremap.reports.survey import band_words
from wiremap.share.table import text_table
from wiremap.sizing.circuit import plain_circuit
from wiremap.sizing.drop import size_drop
from wiremap.sizing.fuse import size_fuse
from wiremap.survey.later import AFTER_CUT, LaterReading
from wiremap.survey.questions import questions


def test_blocks_on_the_way_are_in_series() -> None:
    """Ohm's law: 100 and 20 ohm one after the other are 120; from a point to itself are none."""
    network = ResistorNetwork([("a", "b", Span(100, 110)), ("b", "c", Span(20, 22))])
    assert network.span("a", "c") == Span(120, 132)
    assert network.span("x", "x") == Span(0, 0)


def test_any_ohms_where_nobody_can_say() -> None:
    """A reading without a band takes whatever the meter shows, a dead short too."""
    assert LaterReading(red="a", black="b").band == Span(0, math.inf)


def test_one_rate_is_enough_to_keep_two_buses_apart() -> None:
    """It stands beside the first leg of each pair: what needs a gateway is not spliced."""
    slow, fast = can(), can()
    slow[0] = (*slow[0][:2], {"kbit_s": 125.0})
    fast[0] = (*fast[0][:2], {"kbit_s": 500.0})
    found = between(slow, fast)
    assert not found.circuits
    assert [set(one.points) for one in found.needs_logic] == [{"o.1", "o.2", "n.1", "n.2"}]


@pytest.mark.parametrize("name", ["CAN1_H", "CAN 1 H", "CAN2 L"])
def test_a_letter_beside_a_word_leaves_no_doubt(name: str) -> None:
    """Alone a letter may be many things; behind the bus's name it is its half."""
    assert read_signal(name).settled


def test_the_version_is_no_fault() -> None:
    """`python -m wiremap --version` ends well."""
    assert called("--version").returncode == 0


def test_the_package_runs_as_a_module(monkeypatch: pytest.MonkeyPatch) -> None:
    """`python -m wiremap` is the command, its exit code with it."""
    monkeypatch.setattr(sys, "argv", ["wiremap", "no-such-command"])
    with pytest.raises(SystemExit) as ended:
        runpy.run_module("wiremap", run_name="__main__")
    assert ended.value.code == 2


class Probe:
    """A socket that tells its own address once it knows whom it would reach."""

    def __init__(self, *_: object) -> None:
        self.reached = False

    def __enter__(self) -> Probe:
        return self

    def __exit__(self, *_: object) -> None:
        return None

    def connect(self, _: object) -> None:
        self.reached = True

    def getsockname(self) -> tuple[str, int]:
        return ("192.0.2.7" if self.reached else "0.0.0.0", 1)


def test_this_machine_finds_its_own_address(monkeypatch: pytest.MonkeyPatch) -> None:
    """The one from which it reaches others (an address of RFC 5737 here)."""
    monkeypatch.setattr(socket, "socket", Probe)
    assert own_address(FIND) == "192.0.2.7"


@pytest.mark.parametrize("delivered", [OnOff.OFF, None])
def test_a_switch_is_told_as_delivered(delivered: OnOff | None) -> None:
    """Where its paper says so, before anybody is asked how it stands."""
    given = demo_given()
    machine, _ = bus_halves(given)
    assert machine.switch is not None
    red, black = machine.legs
    read = Entry(
        kind=EntryKind.SURVEY, red=(red,), black=(black,), state=AFTER_CUT, ohms=machine.ohms_alone
    )
    half = replace(machine, switch=replace(machine.switch, delivered=delivered))
    (ask,) = bus_card(given, half, [read], ()).asks
    assert ("It is delivered off." in ask.lead) is (delivered is not None)


def test_a_half_without_its_pair_is_asked_where_two_buses_are() -> None:
    """Of one bus alone nobody need ask which."""
    for count, asked in ((1, False), (2, True)):
        rows = [row for _ in range(count) for row in can()]
        about = {question.about for question in questions(alone(side("o", *rows)[1]))}
        assert ("end.1.pair" in about) is asked


def test_a_hidden_character_is_told_by_its_row() -> None:
    """Empty rows before it count too."""
    table = text_table(Path("a.csv"), "\n1;lam\u200bp\n".encode())
    assert "row 2" in table.findings[0].message


def test_the_first_device_is_number_one() -> None:
    """As it is called on the screen of the machine."""
    gate = Gate()
    assert gate.admit(gate.open_link(), "AB").number == 1


def test_what_first_power_may_do_is_said_before_the_battery() -> None:
    """On its cards of the lock-out, and no more behind them."""
    for stage, said in ((PowerStage.LOCK_OUT, True), (PowerStage.LAMP, False)):
        step = PowerStep(n=1, stage=stage, do="pull the main fuse")
        card = power_card(demo_given().harness, [step], [], {}, licensed=False)
        lead = [line for ask in card.asks for line in ask.lead] + list(card.lead)
        assert (CAUTION in lead) is said


@pytest.mark.parametrize(("amps", "told"), [(2, 0), (9, 1)])
def test_a_drop_is_judged_by_its_share(amps: float, told: int) -> None:
    """1 mm2, 3 m out and back at 12 V: 2 A lose 2 %, 9 A nearly 9 %; above 5 % a caution (common practice)."""
    assert len(size_drop("1", 3000, amps, 12).cautions) == told


def test_a_notebook_in_the_folder_is_told_once(tmp_path: Path) -> None:
    """What a job names is not looked at again by itself."""
    job = copied_demo(tmp_path / "demo")
    looked_at = {Path(path).name for path in check([job.parent]).others}
    assert "notebook.yaml" not in looked_at


def test_a_typed_file_is_looked_for_where_it_is_written_to(tmp_path: Path) -> None:
    """First there, then from where one stands."""
    (tmp_path / "pins.csv").write_text("1;lamp\n", encoding="utf-8")
    assert file_of(tmp_path, "pins.csv") == tmp_path / "pins.csv"
    assert file_of(tmp_path, "other.csv") == Path("other.csv")


def test_a_diode_may_be_left_out_or_turned() -> None:
    """Of a resistor another value is a mistake that hands make, of a diode its direction."""
    path = Path(__file__).parent / "cases" / "diode-overloaded" / "good.yaml"
    drawn = drawn_of(Harness(load_job(path).value), HarnessKind.SPLICE_IN)
    diodes = {x.name for x in drawn.harness.job.extras.values() if x.kind == "diode"}
    assert diodes
    wrong = {(str(part.kind), *part.subject) for part in parts_wrong(drawn)}
    assert {(str(kind), one) for kind in (PART_MISSING, PART_WRONG) for one in diodes} <= wrong


def test_volts_that_nobody_states_lie_between_the_least_and_the_most() -> None:
    """A machine that is told to run from 20 to 30 V is taken as one of 25 V (arithmetic)."""
    given = demo_given()
    supply = replace(given.harness.job.supply, volts=None, min_volts=20.0, max_volts=30.0)
    harness = Harness(replace(given.harness.job, supply=supply))
    assert Faces(harness, given.sizes).volts == 25


def test_a_band_in_words_says_where_it_ends() -> None:
    """As a meter shows it: a band from nothing has a top alone, one without a top a foot alone."""
    assert band_words(0.5, math.inf, "ohm") == "over 0.5 ohm, or open"
    assert band_words(0.5, 2.0, "ohm") == "0.5 to 2 ohm"
    assert band_words(0.0, 0.5, "ohm") == "under 0.5 ohm"
    assert band_words(0.0, 0.5, "V") == "0 to 0.5 V"
    assert band_words(0.0, math.inf, "ohm") == "any figure: write it down"


def test_what_is_struck_out_leaves_every_other_notebook() -> None:
    """An entry of the second of three is taken back; the first and the third keep theirs."""
    entries = [Entry(kind=EntryKind.ANSWER, about=f"old.{n}", answer="x") for n in range(3)]
    taken_back = replace(entries[1], own_mark="0123abcd")
    strike = Entry(kind=EntryKind.STRUCK_OUT, mark="0123abcd")
    books = [
        Notebook("one", (entries[0],)),
        Notebook("two", (taken_back,)),
        Notebook("three", (entries[2], strike)),
    ]
    left = without_struck(books)
    assert [book.path for book in left] == ["one", "two", "three"]
    assert [len(book.entries) for book in left] == [1, 0, 2]
    assert left[1].struck == (taken_back,)


def test_a_band_that_the_ignition_does_not_change_is_told_once() -> None:
    """Off and on alike are one band; where they differ both are told."""
    same = [power_step(key, 11.0) for key in OnOff]
    other = [power_step(OnOff.OFF, 0.0), power_step(OnOff.ON, 11.0)]
    told_once, told_twice = (
        " ".join(power_brief(steps)).count("ignition") for steps in (same, other)
    )
    assert (told_once, told_twice) == (1, 2)


def power_step(key: OnOff, low: float) -> PowerStep:
    """A reading at one contact of a face."""
    return PowerStep(
        stage=PowerStage.VOLTS,
        do="read",
        red="new.1",
        black="new.2",
        key=key,
        low=low,
        high=low + 2,
    )


@pytest.mark.parametrize("bundle", [1, 2])
def test_a_wire_laid_singly_is_offered_where_it_lies_with_others(bundle: int) -> None:
    """0.5 mm2 bears the fuse of 5 A of load at 60 C alone, not beside another wire; the fuse of 6 A it never bears."""
    case = replace(plain_circuit("0.5", 1000, 12, 5.0, source_ohms=0.02), ambient_C=60.0)
    assert ("laid singly" in " ".join(size_fuse(replace(case, bundle=bundle)).cure)) is (bundle > 1)


def test_wordings_are_alike_by_their_pairs_of_letters() -> None:
    """Dice of letters and pairs: of `abc` a, b, c, ab, bc; of `abd` a, b, d, ab, bd: 2 x 3 / 10."""
    assert likeness("abc", "abd") == pytest.approx(0.6)
    assert likeness("abc", "abc") == 1.0
    assert likeness("lamp left", "lamp right") >= 0.5


def test_a_signal_told_with_its_volts_swings_from_nothing() -> None:
    """`wheel speed 12 V` stands anywhere from 0 to 12 V; a supply stands at what it is told."""
    assert dict(figures_told("wheel speed 12 V", "pulse-input"))["volts"] == Span(0.0, 12.0)
    assert dict(figures_told("supply 12 V", "permanent-supply"))["volts"] == Span(12.0, 12.0)


@pytest.mark.parametrize(("low", "asked"), [("A", False), ("B", True)])
def test_a_rate_on_the_low_half_of_another_pair_settles_nothing(low: str, asked: bool) -> None:
    """Each pair's own halves say its rate, by the letter that they share."""
    rows = [*can(pair="A"), *can(pair="B")]
    rated = {"A": 1, "B": 3}[low]
    rows[rated] = (*rows[rated][:2], {"pair": low, "kbit_s": 250.0})
    old = side("o", *rows)
    new = side("n", *can(pair="A"), *can(pair="B"))
    job = as_job(propose([old], [new]), [old], [new], title="two buses")
    about = {question.about for question in questions(job)}
    assert ("o.1.kbit_s" in about) is asked


@pytest.mark.parametrize(
    ("named", "asked"), [("", ["old.1.chain", "old.3.chain"]), ("{chain: A}", [])]
)
def test_of_several_guard_loops_each_contact_is_asked_for_its_own(
    named: str, asked: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Crossed loops let a guard protect nothing; one that is named already is not asked for again."""
    monkeypatch.chdir(tmp_path)
    of_loop = f"signal: guard, function: interlock-out, {named[1:-1]}".rstrip(", ")
    cavities = "".join(f"  {name}: {{{of_loop}}}\n" for name in "13") + "  2: earth\n"
    for name in ("old", "new"):
        Path(f"{name}.yaml").write_text(f"wiremap: pinout/1\ntitle: {name}\ncavities:\n{cavities}")
    called("propose", "old.yaml", "new.yaml", "--adapter", "-o", "job.yaml", cwd=tmp_path)
    job = load_job("job.yaml").value
    assert job is not None
    chains = [each.about for each in questions(job) if each.about.endswith(".chain")]
    assert asked == [about for about in chains if about.startswith("old.")]


def test_what_is_wrong_with_a_file_is_never_signed() -> None:
    """Whatever the fault, it holds and no signature lifts it."""
    found = fault("not-yaml", "line 1: a tab", None)
    assert (found.fault, found.acceptable, found.severity) == (True, False, Severity.STOP)
