"""Words that name danger hold a job, whatever function is stated, until the right person has answered."""

from __future__ import annotations

from pathlib import Path

import pytest

from wiremap.check import Checked, check

HEAD = "wiremap: pinout/1\ntitle: {}\nsource: {{name: invented, basis: measured}}\ncavities:\n"
JOB = """\
wiremap: job/1
title: one wire
ends:
  loom: {pinout: loom.yaml, is: cut-tail, side: machine}
  donor: {pinout: donor.yaml, is: pigtail, side: unit}
"""
BY = "by: RK, date: 2026-03-02, how: followed to its end"


def checked(
    folder: Path, signal: str, function: str, *entries: str, joined: bool = True
) -> Checked:
    """One contact of that wording joined to a plain input, or left open."""
    for name, said in (("loom", signal), ("donor", "Input 4")):
        line = f'  1: {{signal: "{said}", function: {function}, wire: 0.5 GN}}\n'
        (folder / f"{name}.yaml").write_text(HEAD.format(name) + line, encoding="utf-8")
    joins = "circuits: [loom.1 - donor.1]\n"
    if not joined:
        joins = (
            "circuits: []\nnot_joined:\n  loom.1: {why: sent over CAN, treat: cap}\n"
            "  donor.1: {why: spare, treat: cap}\n"
        )
    (folder / "job.yaml").write_text(JOB + joins, encoding="utf-8")
    lines = "".join(f"  - {{{entry}}}\n" for entry in entries)
    if lines:
        notebook = f"wiremap: notebook/1\nentries:\n{lines}"
        (folder / "job-notebook.yaml").write_text(notebook, encoding="utf-8")
    report = check([folder / "job.yaml"])
    assert [] == [f.message for f in report.findings if f.fault]
    return report.jobs[0]


def holding(job: Checked, rule: str) -> list[str]:
    """What a rule holds the job for."""
    return [f.message for f in job.findings if f.rule == rule and f.holds]


@pytest.mark.parametrize(
    "signal",
    ["Parking brake solenoid", "Zapfwelle ein", "Stuurventiel", "Hoist up", "E-stop NC contact 1"],
)
@pytest.mark.parametrize("function", ["digital-input", "lamp-feed", "high-side-drive"])
def test_the_word_decides_whatever_function_is_stated(
    signal: str, function: str, tmp_path: Path
) -> None:
    """No function that is written beside the words takes the stop away."""
    assert holding(checked(tmp_path, signal, function), "licensed-work")


@pytest.mark.parametrize("signal", ["Stop lamp", "Steering wheel heater", "Kippschalter Radio"])
def test_false_friends_are_not_held(signal: str, tmp_path: Path) -> None:
    """Words that only look dangerous hold nothing."""
    job = checked(tmp_path, signal, "digital-input")
    assert [] == [*holding(job, "licensed-work"), *holding(job, "guard-left-out")]


def test_an_answer_counts_only_with_a_licence(tmp_path: Path) -> None:
    """The same answer without `licensed` leaves the stop; with it the stop is gone."""
    answer = f"kind: answer, about: loom.1, answer: digital-input, {BY}"
    assert holding(checked(tmp_path, "Hoist up", "digital-input", answer), "licensed-work")
    with_licence = f"{answer}, licensed: crane fitter no. 4711"
    assert not holding(
        checked(tmp_path, "Hoist up", "digital-input", with_licence), "licensed-work"
    )


@pytest.mark.parametrize(
    "words",
    [
        *("none", "No.", "-", "keine", "N/A", "нет", "yes", "Ja!"),
        *("second year apprentice", "apprentice no. 12, district 4", "crane fitter"),
    ],
)
def test_words_that_say_there_is_no_licence_are_none(words: str, tmp_path: Path) -> None:
    """Who writes `licensed: none` has told that he holds none: neither answer nor signature."""
    answer = f'kind: answer, about: loom.1, answer: digital-input, {BY}, licensed: "{words}"'
    accept = f'kind: accept, rule: licensed-work, subject: [loom.1], {BY}, licensed: "{words}"'
    for entry in (answer, f"{accept}, why: jib taken off"):
        assert holding(checked(tmp_path, "Hoist up", "digital-input", entry), "licensed-work")


def test_a_signature_counts_only_with_a_licence(tmp_path: Path) -> None:
    """Who signs such work says which licence allows it."""
    accept = "kind: accept, rule: licensed-work, subject: [loom.1], by: RK, date: 2026-03-02, why: jib taken off"
    (held,) = holding(checked(tmp_path, "Hoist up", "digital-input", accept), "licensed-work")
    assert "which licence" in held
    signed = checked(
        tmp_path, "Hoist up", "digital-input", f"{accept}, licensed: crane fitter no. 4711"
    )
    assert not holding(signed, "licensed-work")
    (told,) = [f.accepted for f in signed.findings if f.rule == "licensed-work"]
    assert told is not None and told.by == "RK (licence claimed: crane fitter no. 4711)"


@pytest.mark.parametrize(
    ("signal", "said"),
    [
        ("Seat sw.", "seat switch, operator presence"),
        ("In 3", "emergency stop"),
        ("E-stop 1", "second emergency stop"),
    ],
)
def test_an_answer_that_names_a_danger_takes_none_away(
    tmp_path: Path, signal: str, said: str
) -> None:
    """Whatever the paper called it: what somebody has found it to be decides."""
    means = f"kind: answer, about: loom.1.means, answer: '{said}', {BY}"
    assert holding(checked(tmp_path, signal, "digital-input", means), "licensed-work")


def test_a_named_reason_may_say_that_the_word_means_something_else(tmp_path: Path) -> None:
    """Not for what a function states: only for what the words seem to say."""
    means = f"kind: answer, about: loom.1.means, answer: bellows of the seat, {BY}"
    assert holding(checked(tmp_path, "Air bag 2", "digital-input"), "restraint")
    assert not holding(checked(tmp_path, "Air bag 2", "digital-input", means), "restraint")
    assert holding(checked(tmp_path, "Bellows", "restraint", means), "restraint")


@pytest.mark.parametrize("said", ["looked", "ok", "checked it", "seen and fine", "angesehen"])
def test_that_somebody_looked_is_no_meaning(said: str, tmp_path: Path) -> None:
    """An answer that says what a word means names a thing."""
    means = f"kind: answer, about: loom.1.means, answer: {said}, {BY}"
    assert holding(checked(tmp_path, "E-stop 1", "digital-input", means), "licensed-work")


def test_a_licence_does_not_open_a_restraint_circuit(tmp_path: Path) -> None:
    """What is refused stays refused."""
    answer = f"kind: answer, about: loom.1, answer: digital-input, {BY}, licensed: pyrotechnics"
    assert holding(checked(tmp_path, "Airbag squib", "digital-input", answer), "restraint")


@pytest.mark.parametrize("signal", ["E-stop NC contact 1", "Nothalt Kanal A", "Schutztür links"])
def test_an_emergency_stop_or_guard_left_out_holds(signal: str, tmp_path: Path) -> None:
    """`sent over CAN` is no reason."""
    job = checked(tmp_path, signal, "digital-input", joined=False)
    (held,) = holding(job, "guard-left-out")
    assert "sent over CAN" in held


def test_an_engine_stop_is_asked_about(tmp_path: Path) -> None:
    """A caution until somebody has said which way it works."""
    job = checked(tmp_path, "Engine stop", "high-side-drive")
    assert ["engine-stop-asked"] == [f.rule for f in job.findings if f.rule.startswith("engine")]
    means = f"kind: answer, about: loom.1.means, answer: energised to run, {BY}"
    told = checked(tmp_path, "Engine stop", "high-side-drive", means)
    assert [] == [f.rule for f in told.findings if f.rule.startswith("engine")]


@pytest.mark.parametrize(
    ("wording", "stops"),
    [
        ("+12 V always", True),
        ("Permanent 12V supply", True),
        ("+24 V always", False),
        ("Permanent 12V/24V", False),
        ("Permanent 12/24 V", False),
        ("Permanent 9-36 V", False),
    ],
)
def test_volts_in_a_wording_count(wording: str, stops: bool, tmp_path: Path) -> None:
    """A unit's supply that calls itself 12 V is not fed from a machine of 24 V."""
    for name, signal in (("a", "+24 V always"), ("b", wording)):
        (tmp_path / f"{name}.yaml").write_text(
            f"wiremap: pinout/1\ntitle: t\ncavities: {{1: {{signal: {signal}, "
            "function: permanent-supply, wire: 1 RD}}\n",
            encoding="utf-8",
        )
    job = tmp_path / "job.yaml"
    job.write_text(
        "wiremap: job/1\nsupply: {volts: 24}\nends: {a: {pinout: a.yaml, is: cut-tail, side: machine}, "
        "b: {pinout: b.yaml, is: pigtail, side: unit}}\ncircuits: [a.1 - b.1]\n",
        encoding="utf-8",
    )
    assert stops == ("over-voltage" in {finding.rule for finding in check([job]).findings})


@pytest.mark.parametrize(
    ("machine", "unit", "stops"),
    [
        ("B+ sense", "Permanent supply", True),
        ("Ignition +15", "Alternator sense", True),
        ("Alt S", "Relay output", True),
        ("Permanent supply", "B+ sense", False),
        ("Alternator sense", "B+ sense", False),
        ("Sensor sense", "Permanent supply", False),
    ],
)
def test_a_sense_wire_belongs_on_the_battery(
    tmp_path: Path, machine: str, unit: str, stops: bool
) -> None:
    """Behind a switch or beside a load it lets an alternator give too much (common practice)."""
    assert stops == ("sense-off-battery" in rules_of_two(tmp_path, machine, unit))


@pytest.mark.parametrize(
    ("machine", "unit", "asked"),
    [("Out B", "Valve 2", False), ("Out A", "Valve 2", True), ("Valve 1", "Out A", False)],
)
def test_letters_count_as_numbers_do(tmp_path: Path, machine: str, unit: str, asked: bool) -> None:
    """B is the second, whichever way the other paper counts."""
    assert asked == ("unlike-signals" in rules_of_two(tmp_path, machine, unit))


def rules_of_two(folder: Path, machine: str, unit: str) -> set[str]:
    """What is found where two contacts of these wordings are joined."""
    for name, said in (("loom", machine), ("donor", unit)):
        line = f'  1: {{signal: "{said}", wire: 0.5 GN}}\n'
        (folder / f"{name}.yaml").write_text(HEAD.format(name) + line, encoding="utf-8")
    (folder / "job.yaml").write_text(JOB + "circuits: [loom.1 - donor.1]\n", encoding="utf-8")
    return {finding.rule for finding in check([folder / "job.yaml"]).findings}
