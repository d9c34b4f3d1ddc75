"""A "no" leads on: to the next likeliest partner or none, and what a unit lacks is asked for; what was
answered comes into the job by proposing anew, without a line of YAML.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from wiremap.base import Finding
from wiremap.check import check
from wiremap.cli.main import main
from wiremap.content.next_papers import anew as sentence_anew
from wiremap.evidence.partners import Partner
from wiremap.evidence.settle import settle
from wiremap.files import load_job
from wiremap.model import Address, Circuit, Entry, EntryKind, Job
from wiremap.propose.chosen import ChosenPartners, with_joining
from wiremap.survey.question import Question
from wiremap.survey.questions import questions

RK = Entry(kind=EntryKind.ANSWER, by="RK")
OLD = """wiremap: pinout/1
title: old plug
cavities:
  1: +12 always, red
  2: ground, brown
  3: ground, black
  4: spinner valve, green
  5: conveyor valve, white
  6: horn, blue
"""
NEW = """wiremap: pinout/1
title: new plug
cavities:
  1: B+, red
  2: GND logic, brown
  3: GND outputs, black
  4: Disc valve, green
  5: Belt valve, white
  6: Chassis, black/white
"""


@pytest.fixture
def folder(two_papers: Callable[[str, str], Path]) -> Path:
    """Two typed papers of an invented spreader, proposed into job.yaml."""
    return two_papers(OLD, NEW)


def answer(about: str, said: str, job: str = "job.yaml") -> None:
    assert main(["next", job, "--about", about, "--answer", said, "--how", "worked it"]) == 0


def anew() -> dict[str, tuple[str, ...]]:
    """The joins of the job that is proposed anew, by their first contact."""
    Path("job-new.yaml").unlink(missing_ok=True)
    main(["propose", "--keep-answers", "job.yaml", "-o", "job-new.yaml"])
    return joins("job-new.yaml")


def read(path: str) -> Job:
    job = load_job(path).value
    assert job is not None
    return job


def joins(path: str) -> dict[str, tuple[str, ...]]:
    return {circuit.join[0]: tuple(map(str, circuit.join)) for circuit in read(path).circuits}


def asked(path: str) -> list[Question]:
    return list(questions(settle(read(path))))


def told(path: str, rule: str) -> list[Finding]:
    return [found for found in check([path]).findings if found.rule == rule]


def test_a_no_is_followed_by_the_next_likeliest_partner(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Common practice: what does not work this valve works the other one, or is left alone."""
    joined = " - ".join(joins("job.yaml")["old.4"])
    answer("supply.volts", "12")
    capsys.readouterr()
    answer(joined, "no")
    asked_next = capsys.readouterr().out
    assert asked_next.startswith("What does old.4 go with?  [old.4.partner]")
    line = next(line for line in asked_next.splitlines() if "answers:" in line)
    assert "new.5" in line and "left alone" in line and "new.4" not in line
    assert joined not in [question.about for question in asked("job.yaml")]


def test_the_job_that_still_joins_it_is_held_by_who_said_no(folder: Path) -> None:
    joined = " - ".join(joins("job.yaml")["old.4"])
    answer(joined, "no")
    (found,) = told("job.yaml", "circuit-denied")
    assert found.message.startswith("RK has said") and joined in found.message
    unsettled = [each.subject for each in told("job.yaml", "ask-unsettled")]
    assert ("old.4",) not in unsettled


def test_what_was_denied_is_not_proposed_again(folder: Path) -> None:
    """The two valves of the unit change places; of the answer nothing is said to be unread."""
    answer("old.4 - new.4", "no")
    found = anew()
    assert found["old.4"] == ("old.4", "new.5")
    assert found["old.5"] == ("old.5", "new.4")
    assert not told("job-new.yaml", "answer-not-counted")
    assert not told("job-new.yaml", "circuit-denied")
    assert "old.4.partner" not in [question.about for question in asked("job-new.yaml")]


def test_a_chosen_partner_is_joined_and_settled_by_who_chose_it(folder: Path) -> None:
    answer("old.4 - new.4", "no")
    answer("old.4.partner", "new.5")
    assert anew()["old.4"] == ("old.4", "new.5")
    assert ("old.4",) not in [each.subject for each in told("job-new.yaml", "ask-unsettled")]
    (entry,) = [each for each in read("job-new.yaml").confirmed if each.circuit == "old.4"]
    assert entry.by == "RK" and "old.4 goes with new.5" in entry.how


def test_left_alone_is_left_out_with_who_said_so(folder: Path) -> None:
    answer("old.4 - new.4", "no")
    answer("old.4.partner", "left alone")
    assert "old.4" not in anew()
    job = read("job-new.yaml")
    (left,) = [left for point, left in job.not_joined.items() if str(point) == "old.4"]
    assert left.why.startswith("left alone: RK, ")
    assert not [each for each in asked("job-new.yaml") if each.about == "old.4.partner"]


def test_a_yes_afterwards_takes_the_no_back(folder: Path) -> None:
    """The last word counts."""
    answer("old.4 - new.4", "no")
    answer("old.4 - new.4", "yes")
    assert not told("job.yaml", "circuit-denied")
    assert anew()["old.4"] == ("old.4", "new.4")


def test_a_ground_left_out_is_asked_for_and_joined_by_an_answer(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A unit with two grounds on a machine with one: both go to it (common practice)."""
    text = Path("job.yaml").read_text("utf-8")
    (before,) = [join for join in joins("job.yaml").values() if "new.3" in join]
    without = text.replace(
        f"  - {{join: [{before[0]}, new.3]", f"  # - {{join: [{before[0]}, new.3]"
    )
    without = without.replace(
        "not_joined:\n", "not_joined:\n  new.3: {why: no partner, treat: cap}\n"
    )
    Path("job.yaml").write_text(without, "utf-8")
    assert "new.3" not in str(joins("job.yaml"))
    home = next(join for join in joins("job.yaml").values() if "new.2" in join)
    (question,) = [each for each in asked("job.yaml") if each.about == "new.3.partner"]
    assert home[0] in question.answers
    (found,) = told("job.yaml", "needed-signal-open")
    assert "wiremap next JOB --about new.3.partner" in found.fix
    answer(" - ".join(home), "yes")
    answer("new.3.partner", home[0])
    (found,) = told("job.yaml", "needed-signal-open")  # still left out: what was said is told
    assert f"has said it ({home[0]}): let it into the job" in found.fix
    assert found.fix.endswith("wiremap propose --keep-answers JOB -o job-2.yaml")
    assert anew()[home[0]] == (*home, "new.3")
    assert (home[0],) not in [each.subject for each in told("job-new.yaml", "ask-unsettled")]


def test_the_next_step_is_the_call_that_lets_them_in(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    capsys.readouterr()
    answer("old.4 - new.4", "no")
    call = "wiremap propose --keep-answers job.yaml -o job-2.yaml"
    assert call in capsys.readouterr().err
    main(["check", "job.yaml"])
    assert call in capsys.readouterr().out


def test_a_widened_circuit_is_not_called_settled(folder: Path) -> None:
    """Whoever settled it looked at fewer contacts: it is a former state, not a present one."""
    answer("old.4 - new.4", "yes")
    anew()
    file = Path("job-new.yaml")
    text = file.read_text("utf-8")
    assert "settled by RK" in text
    file.write_text(text.replace("[old.4, new.4]", "[old.4, new.4, old.6]"), "utf-8")
    (found,) = [each for each in told("job-new.yaml", "ask-unsettled") if "old.4" in each.subject]
    assert "nobody has settled it as it is now (before: RK, " in found.message
    assert "settled by" not in found.message


def test_a_contact_that_nobody_knows_is_left_out_as_such(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Not for want of another unknown one on the other side."""
    Path("old.yaml").write_text(OLD + '  7: "?, violet"\n', "utf-8")
    Path("again.yaml").unlink(missing_ok=True)
    main(["propose", "old.yaml", "new.yaml", "-o", "again.yaml"])
    (left,) = [left for point, left in read("again.yaml").not_joined.items() if point == "old.7"]
    assert left.why == "nobody knows what it is for: find out first"


def test_what_was_taken_in_is_checked_together(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The next call names every paper, and leads to the proposal."""
    for name in ("a", "b"):
        Path(f"{name}.csv").write_text("pin,signal\n1,ground\n2,horn\n", "utf-8")
    capsys.readouterr()
    main(["intake", "a.csv", "b.csv", "-o", "."])
    told = capsys.readouterr()
    assert "wiremap check a.yaml b.yaml" in told.out + told.err


def test_what_nobody_knew_is_left_out_as_it_was_answered(
    two_papers: Callable[[str, str], Path],
) -> None:
    """`not connected` settles it: nothing sends anybody to find out first any more."""
    two_papers(OLD, f"{OLD}  9: '?, violet'\n")
    assert main(["next", "job.yaml", "--about", "new.9", "--answer", "not connected"]) == 0
    job = check(["job.yaml"]).jobs[0].job
    assert job is not None
    assert job.not_joined[Address("new", "9")].why == "unused, by RK"


def test_an_own_no_is_told_where_the_contact_is_left_out(folder: Path) -> None:
    """With who said it and how, beside what the proposal found."""
    for new in ("new.4", "new.5"):
        answer(f"old.4 - {new}", "no")
    answer("old.4.partner", "don't know")
    assert "old.4" not in anew()
    job = read("job-new.yaml")
    (left,) = [left for point, left in job.not_joined.items() if str(point) == "old.4"]
    for new in ("new.4", "new.5"):
        assert f"{new} - old.4 are not one signal (worked it)" in left.why


def test_a_partner_is_told_with_how_it_was_found(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One word settles nothing: typed it is refused, found in a notebook it stays a question."""
    answer("old.4 - new.4", "no")
    capsys.readouterr()
    assert main(["next", "job.yaml", "--about", "old.4.partner", "--answer", "new.5"]) == 2
    assert 'add --how "..."' in capsys.readouterr().err
    said = "{kind: answer, about: old.4.partner, answer: new.5, by: RK, date: 2026-03-02}"
    book = Path("job-notebook.yaml")
    book.write_text(f"{book.read_text('utf-8')}  - {said}\n", "utf-8")
    assert anew()["old.4"] == ("old.4", "new.5")
    assert ("old.4",) in [each.subject for each in told("job-new.yaml", "ask-unsettled")]


def test_what_is_settled_stands_in_the_list_too_and_which_job_counts(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    answer("old.4 - new.4", "no")
    answer("old.4.partner", "new.5")
    capsys.readouterr()
    anew()
    told = capsys.readouterr().out
    assert "settled by name (1):\n  old.4 - new.5 (spinner valve)" in told
    assert "from now on job-new.yaml is the job; job.yaml stays as it was" in told


SENSORS = """  {n}: sensor supply 5 V, red
  {m}: sensor return, black
  {k}: level sensor signal, grey
  {j}: pressure sensor signal, pink
"""


def test_a_second_sensor_return_is_asked_for(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One return of the machine serves both sensors, the unit has one for each (common practice)."""
    more = SENSORS.format(n=7, m=8, k=9, j=10)
    Path("old.yaml").write_text(OLD + more, "utf-8")
    Path("new.yaml").write_text(NEW + more + "  11: pressure sensor return, brown\n", "utf-8")
    Path("job.yaml").unlink()
    main(["propose", "old.yaml", "new.yaml", "-o", "job.yaml"])
    joined = str(joins("job.yaml"))
    (left,) = [point for point in ("new.8", "new.11") if f"'{point}'" not in joined]
    (home,) = [join for join in joins("job.yaml").values() if join[0] == "old.8"]
    (question,) = [each for each in asked("job.yaml") if each.about == f"{left}.partner"]
    assert "reads nothing" in question.why and "old.8" in question.answers
    answer(" - ".join(home), "yes")
    answer(f"{left}.partner", "old.8")
    assert anew()["old.8"] == (*home, left)


def test_a_pair_of_its_own_does_not_end_the_list(folder: Path) -> None:
    """The first partner has no circuit and makes one; the second still comes into the one that is there."""
    job = read("job.yaml")
    there = Circuit(id="earth", join=("old.2", "new.2"))
    said = [("new.1", "old.1"), ("new.3", "old.2")]
    joining = tuple(
        Partner(point=Address.read(one), goes_with=Address.read(other), entry=RK)
        for one, other in said
    )
    circuits, _ = with_joining(
        ChosenPartners(pairs=(), joining=joining, alone={}), [there], job, frozenset()
    )
    joined = [set(circuit.join) for circuit in circuits]
    assert joined == [{"old.2", "new.2", "new.3"}, {"old.1", "new.1"}]


def test_a_load_that_the_proposal_left_out_is_asked_for_until_it_is_agreed(
    two_papers: Callable[[str, str], Path],
) -> None:
    """A machine's load without a partner is not dropped in silence; a relay's coil may be any relay's."""
    two_papers(
        OLD + "  7: motor relay, yellow\n  8: water pump, pink\n",
        NEW + "  7: relay coil\n",
    )
    assert joins("job.yaml")["old.7"] == ("old.7", "new.7")
    said = left_out_on_a_guess()
    assert said == {"old.6", "old.8"}
    open_now = {each.about for each in asked("job.yaml")}
    assert {"old.6.partner", "old.8.partner"} <= open_now and "old.7.partner" not in open_now
    answer("old.8.partner", "left alone")
    assert left_out_on_a_guess() == {"old.6"}
    answer("old.7 - new.7", "no")
    open_now = {each.about for each in asked("job.yaml")}
    assert "old.7.partner" in open_now


def left_out_on_a_guess() -> set[str]:
    return {str(each.subject[0]) for each in told("job.yaml", "left-out-on-a-guess")}


def fused(two_papers: Callable[[str, str], Path]) -> None:
    """A job with a fuse by hand between old.1 and new.1."""
    folder = two_papers(OLD, NEW + "  7: supply logic +12, pink\n")
    text = (folder / "job.yaml").read_text("utf-8")
    hand = "  - {id: a, join: [old.1, F1.a]}\n  - {id: b, join: [F1.b, new.1], wire: 0.5 RD}\n"
    kept = [line for line in text.splitlines(True) if "join: [old.1," not in line]
    text = "".join(kept).replace(
        "circuits:\n", "extras:\n  F1: {fuse: blade, amps: 5}\ncircuits:\n" + hand
    )
    (folder / "job.yaml").write_text(text, "utf-8")


def test_a_proposal_made_anew_joins_nothing_past_a_fuse_put_in_by_hand(
    two_papers: Callable[[str, str], Path],
) -> None:
    """Who says that two contacts belong together means through the fuse; a further load comes behind it."""
    fused(two_papers)
    answer("old.1.partner", "new.1")
    assert not told("job.yaml", "answer-not-counted")
    answer("new.7.partner", "old.1")
    found = anew()
    assert found["old.1"] == ("old.1", "F1.a")
    assert found["F1.b"] == ("F1.b", "new.1", "new.7")


def test_a_terminator_that_is_left_out_is_decided_by_a_name(
    two_papers: Callable[[str, str], Path],
) -> None:
    """A contact that switches the unit's own terminator in: neither taken for a wire of the bus nor dropped."""
    two_papers(
        OLD + "  7: CAN high 250 kbit/s, yellow\n  8: CAN low, green\n",
        NEW + "  7: CAN high 250 kbit/s, yellow\n  8: CAN low, green\n  9: CAN termination H\n",
    )
    assert joins("job.yaml")["old.7"] == ("old.7", "new.7")
    assert [each.subject for each in told("job.yaml", "coding-undecided")] == [("new.9",)]
    assert "new.9.partner" in {each.about for each in asked("job.yaml")}
    answer("new.9.partner", "left alone")
    assert not told("job.yaml", "coding-undecided")


def test_a_return_is_offered_no_ground_that_carries_load_already(
    two_papers: Callable[[str, str], Path],
) -> None:
    """Common practice: a return meets power ground in one place only; whoever took the offer was stopped."""
    two_papers(
        OLD + "  7: level sensor signal\n",
        NEW + "  7: level sensor signal\n  8: signal ground\n",
    )
    (found,) = [each for each in asked("job.yaml") if each.about == "new.8.partner"]
    assert "left alone" in found.answers and "old.2" not in found.answers


def test_two_ends_that_both_listen_are_asked_who_sends(
    two_papers: Callable[[str, str], Path],
) -> None:
    """Of the two papers one has the direction the wrong way round; an answer by name lifts the stop."""
    paper = "wiremap: pinout/1\ntitle: p\ncavities: {7: {signal: reverse, function: digital-input, flow: WAY}}\n"
    two_papers(paper.replace("WAY", "from-unit"), paper.replace("WAY", "to-unit"))
    Path("job.yaml").write_text(
        "wiremap: job/1\ntitle: j\nends:\n  old: {pinout: old.yaml, is: cut-tail, side: machine}\n"
        "  new: {pinout: new.yaml, is: pigtail, side: unit}\ncircuits: [old.7 - new.7]\n",
        "utf-8",
    )
    (stop,) = told("job.yaml", "flow-against-flow")
    assert "--about old.7.flow" in stop.fix
    (question,) = [each for each in asked("job.yaml") if each.about == "old.7.flow"]
    assert "both listen" in question.why
    answer("old.7.flow", "to-unit")
    assert not told("job.yaml", "flow-against-flow")


LAMPS = (
    "wiremap: job/1\ntitle: j\nends:\n  old: {pinout: old.yaml, is: cut-tail, side: machine}\n"
    "  new: {pinout: new.yaml, is: pigtail, side: unit}\ncircuits: [old.7 - new.7]\n"
)


@pytest.mark.parametrize("wording", ["Lampe links Ausgang", "output, left lamp", "Beacon output"])
def test_a_lamp_that_a_unit_calls_its_output_comes_from_the_unit(
    two_papers: Callable[[str, str], Path], wording: str
) -> None:
    """The true answer at the machine makes no stop, the one against the word does."""
    paper = "wiremap: pinout/1\ntitle: p\ncavities: {7: {signal: '%s'}}\n"
    plain = wording.replace("Ausgang", "").replace("output", "").strip(", ")
    two_papers(paper % plain, paper % wording)
    Path("job.yaml").write_text(LAMPS, "utf-8")
    assert not told("job.yaml", "sources-joined")
    answer("old.7.flow", "from-unit")
    assert not told("job.yaml", "flow-against-flow")
    answer("old.7.flow", "to-unit")
    assert told("job.yaml", "sources-joined")


def test_the_end_whose_direction_nobody_told_is_asked_for(
    two_papers: Callable[[str, str], Path],
) -> None:
    """After a true answer at the machine the stop asks the unit's end, not for the answer back."""
    paper = "wiremap: pinout/1\ntitle: p\ncavities: {7: {signal: Lamp left}}\n"
    two_papers(paper, paper)
    Path("job.yaml").write_text(LAMPS, "utf-8")
    answer("old.7.flow", "from-unit")
    (stop,) = told("job.yaml", "flow-against-flow")
    assert "--about new.7.flow" in stop.fix
    (question,) = [each for each in asked("job.yaml") if each.about.endswith(".flow")]
    assert question.about == "new.7.flow"
    answer("new.7.flow", "from-unit")
    assert not told("job.yaml", "flow-against-flow")


@pytest.mark.parametrize(
    ("job", "there", "new"),
    [
        ("job.yaml", (), "job-2.yaml"),
        ("job.yaml", ("job-2.yaml",), "job-3.yaml"),
        ("job-2.yaml", (), "job-3.yaml"),
        ("job-new.yaml", (), "job-new-2.yaml"),
        ("job-20261130.yaml", (), "job-20261130-2.yaml"),
        ("-.yaml", (), "--2.yaml"),
    ],
)
def test_a_job_proposed_anew_counts_up_and_writes_over_nothing(
    empty_folder: Path, job: str, there: tuple[str, ...], new: str
) -> None:
    for name in there:
        Path(name).write_text("", encoding="utf-8")
    assert sentence_anew(job).endswith(f"wiremap propose --keep-answers {job} -o {new}")
