"""One, none and several: what is told where there is exactly one, and the edges beside it."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any, cast

import pytest
from demo_jobs import DEMO, DEMO_JOB

from wiremap.base import in_a_row, numbers_told, only, plural, some_of
from wiremap.check import _passed, check
from wiremap.entries.power_lines import TypedPower, taken_apart
from wiremap.evidence.causes import _is_weak
from wiremap.evidence.equipment import Equipment
from wiremap.evidence.expected import as_found, coil_of
from wiremap.evidence.meter import displayed, metered
from wiremap.evidence.opened import open_job
from wiremap.evidence.refusing import short
from wiremap.evidence.supply_answered import surroundings_with
from wiremap.files import load_job
from wiremap.firstpower import faces
from wiremap.firstpower.lamp import Lamp
from wiremap.firstpower.lines import _by_number, _stood_to
from wiremap.firstpower.loads import _rounded_up, added_volts
from wiremap.firstpower.plan import power_plan
from wiremap.firstpower.step import AMPS, VOLTS, PowerStep, lamp_in, lamp_out
from wiremap.graph import Harness, fingerprint
from wiremap.graph.ohms import ResistorNetwork, resistance_ohms
from wiremap.mistakes.beeper import Beeper
from wiremap.mistakes.bundles import _ohms
from wiremap.mistakes.expectation import Expectation, Shows
from wiremap.mistakes.open import OPEN_JOINT, Open
from wiremap.mistakes.ways import _side_by_side
from wiremap.model import OPEN, Entry, EntryKind, Job, OnOff, Seen, Span, Surroundings
from wiremap.ringout import plan
from wiremap.ringout.order import work_of
from wiremap.ringout.probe import Probe, ProbeKind
from wiremap.rules.fed_units import FedUnit, FusedLine
from wiremap.slips.effect import Gravity
from wiremap.slips.outcome import Outcome
from wiremap.slips.plausible import Planned, SlipKind, _opens
from wiremap.slips.report import _graded, _ranked
from wiremap.survey.questions import _of_end, _rated
from wiremap.survey.together import spread


@pytest.mark.parametrize(("things", "found"), [((), None), ((1,), 1), ((1, 2), None)])
def test_only_one_of_one_is_the_one(things: tuple[int, ...], found: int | None) -> None:
    assert found == only(things)


@pytest.mark.parametrize(
    ("numbers", "runs", "told"),
    [
        ([], [], ""),
        ([3], [[3]], "3"),
        ([3, 4], [[3, 4]], "3, 4"),
        ([3, 4, 5], [[3, 4, 5]], "3 to 5"),
        ([3, 5, 6, 7], [[3], [5, 6, 7]], "3, 5 to 7"),
    ],
)
def test_numbers_that_count_up_are_one_run_told_by_its_ends_from_three_on(
    numbers: list[int], runs: list[list[int]], told: str
) -> None:
    assert runs == in_a_row(numbers)
    assert told == numbers_told(numbers)


def test_one_alone_has_no_plural() -> None:
    assert ["0 files", "1 file", "2 files"] == [plural(count, "file") for count in range(3)]


def test_nothing_to_check_is_as_bad_as_what_cannot_be_read() -> None:
    """0 in order, 1 something holds, 2 nothing could be judged: as shell commands tell it."""
    assert 2 == check([]).exit_code


def test_of_a_harness_too_large_to_plan_no_net_has_passed(monkeypatch: pytest.MonkeyPatch) -> None:
    opened, _ = open_job(DEMO_JOB.as_posix())
    assert opened is not None
    entries = list(opened.harness.job.entries)
    monkeypatch.setattr(plan, "MOST_NETS", 1)
    done, nets = _passed(opened.harness, entries)
    assert 0 == done < nets


@pytest.mark.parametrize(
    ("true", "shown"),
    [
        ((0.0, 0.0), (0.0, 0.5)),
        ((0.5, 0.5), (0.0, 1.01)),
        ((1.0, 100.0), (0.48, 102.5)),
        ((100.0, math.inf), (97.5, math.inf)),
    ],
)
def test_a_meter_may_be_off_by_a_share_and_its_leads(
    true: tuple[float, float], shown: tuple[float, float]
) -> None:
    """2 % of the reading and half an ohm of leads and tips (common practice)."""
    band = metered(Span(*true))
    assert shown == pytest.approx((band.low, band.high))


@pytest.mark.parametrize(
    ("true", "shown"),
    [
        ((0.7, 0.7), (0.1, 1.3)),
        ((10.0, 10.0), (9.3, 10.7)),
        ((60.0, 120.0), (58.3, 123.0)),
        ((120.0, 999.0), (117.0, 1100.0)),
        ((1200.0, 4700.0), (1100.0, 4800.0)),
        ((12000.0, 12000.0), (11000.0, 13000.0)),
    ],
)
def test_a_display_has_three_digits_two_from_a_kilohm_on(
    true: tuple[float, float], shown: tuple[float, float]
) -> None:
    """By hand: 2 % and 0.5 ohm off, then outwards to the next figure; never below tenths."""
    band = displayed(Span(*true))
    assert shown == (band.low, band.high)


@pytest.mark.parametrize(("volts", "times"), [(6.0, 1.0), (12.0, 1.0), (24.0, 4.0), (36.0, 9.0)])
def test_the_ohms_of_a_coil_grow_as_the_volts_squared_above_12(volts: float, times: float) -> None:
    """Of one power P the ohms are U squared over P."""
    of_12, of_more = (
        coil_of(cast(Any, SimpleNamespace(supply=SimpleNamespace(volts=each), ends={})))
        for each in (12.0, volts)
    )
    assert of_12.low == of_more.low
    assert times * of_12.high == pytest.approx(of_more.high)


def test_a_lamp_in_the_place_of_a_fuse_is_one_lamp_until_it_is_out() -> None:
    lamp = Lamp(watts=5.0, volts=12.0)
    assert 1 == lamp_in("mate", lamp, "in place of F1").fuse_lamps
    assert -1 == lamp_out("mate", "fit F1").fuse_lamps


@pytest.mark.parametrize(
    ("piece", "told"),
    [("", ("", False)), ("12 3 V sure", ("12 3 V", True)), ("sure 3 V", ("sure 3 V", False))],
)
def test_the_word_that_stands_to_a_figure_is_the_last(piece: str, told: tuple[str, bool]) -> None:
    assert told == _stood_to(piece)


def test_a_network_reads_open_to_elsewhere_and_nothing_to_itself() -> None:
    network = ResistorNetwork([("a", "b", Span(100.0, 120.0)), ("b", "c", Span(10.0, 12.0))])
    assert Span(110.0, 132.0) == network.span("a", "c") == network.span("c", "a")
    assert Span(0.0, 0.0) == network.span("a", "a") == network.span("d", "d")
    assert OPEN == network.span("a", "d")
    assert 0.0 == resistance_ohms([("a", "b", 100.0), ("b", "c", 0.0)], "b", "c")


def test_contacts_are_ranked_by_harm_then_by_name_and_studs_are_none() -> None:
    both, one = ("b.1", "a.1", "G1"), ("c.1", "b.1")
    slips = [SimpleNamespace(grade="harm", points=points) for points in (both, one)]
    slips.append(SimpleNamespace(grade="dead", points=("d.1",)))
    assert (("b.1", 2), ("a.1", 1), ("c.1", 1)) == _ranked(cast(Any, slips))


@pytest.mark.parametrize(
    ("names", "told"),
    [
        ("", ""),
        ("a", "a"),
        ("ab", "a, b"),
        ("abc", "a, b and 1 more"),
        ("abcde", "a, b and 3 more"),
    ],
)
def test_of_many_names_the_first_are_told_and_the_rest_counted(names: str, told: str) -> None:
    assert told == some_of(tuple(names), 2)


def test_a_current_may_be_nothing_at_the_least() -> None:
    """A clamp or an ammeter that shows 0 A shows no fault by itself."""
    opened, _ = open_job(DEMO_JOB.as_posix())
    assert opened is not None
    currents = [step for step in power_plan(opened.harness) if step.quantity == AMPS]
    assert currents
    assert {0.0} == {step.low for step in currents if step.low is not None}


def test_a_load_of_one_stated_value_is_found_a_tenth_off_either_way() -> None:
    """Cold against warm (common practice); what is stated as a band is one already."""
    assert Span(90.0, 110.0) == rounded(as_found(Span.of(100.0)))
    assert Span(90.0, 120.0) == as_found(Span(90.0, 120.0))
    assert OPEN == as_found(OPEN)


def rounded(span: Span) -> Span:
    """A band without what sums of floats leave."""
    return Span(round(span.low, 6), round(span.high, 6))


@pytest.mark.parametrize(
    ("clips", "halves", "holds"),
    [(None, False, True), (0, False, False), (1, False, False), (2, False, True), (0, True, True)],
)
def test_two_clips_hold_a_comb_and_one_does_not(
    clips: int | None, halves: bool, holds: bool
) -> None:
    assert holds == Equipment(halves=halves, clips=clips).holds


@pytest.mark.parametrize("clips", [-1, 1001])
def test_nobody_has_less_than_no_clips_nor_a_thousand_and_one(clips: int) -> None:
    with pytest.raises(ValueError, match="clips"):
        Equipment(clips=clips)


@pytest.mark.parametrize(("told", "bundle"), [("1", 1), ("2", 2), ("7", 7)])
def test_wires_that_lie_together_are_as_many_as_are_told(told: str, bundle: int) -> None:
    assert bundle == surroundings_with(Surroundings(), "bundle", told).bundle


@pytest.mark.parametrize("length", [1, 59, 60, 61, 200])
def test_a_long_answer_is_told_back_in_sixty_letters(length: int) -> None:
    told = short("x" * length)
    assert min(length, 60) == len(told)
    assert (length > 60) == told.endswith("x...")


@pytest.mark.parametrize(
    ("volts", "weak"), [(1.0, False), (1.1, True), (10.7, True), (10.8, False), (12.6, False)]
)
def test_a_weak_feed_shows_more_than_noise_and_less_than_the_battery(
    volts: float, weak: bool
) -> None:
    """Half a volt of noise either side (common practice); a 12 V machine's band as told here."""
    live = Span(10.8, 16.0)
    assert weak == _is_weak(volts, live, live)


def test_a_test_lamp_is_put_away_once() -> None:
    lamp = faces.TestLamp()
    assert "" == lamp.put_away()
    lamp.watts = 21.0
    assert lamp.put_away()
    assert "" == lamp.put_away()


def test_a_load_that_was_not_sized_is_allowed_no_volts_more() -> None:
    assert 0.0 == added_volts(None, "loom.1", Lamp(watts=21.0, volts=12.0))


@pytest.mark.parametrize(("volts", "up"), [(0.36, 0.36), (0.361, 0.37), (1.0, 1.0), (0.0, 0.0)])
def test_volts_that_may_be_lost_are_rounded_up_to_hundredths(volts: float, up: float) -> None:
    assert up == _rounded_up(volts)


@pytest.mark.parametrize("ohms", [0.0, -1.0, math.inf])
def test_a_beeper_sounds_up_to_some_ohms(ohms: float) -> None:
    with pytest.raises(ValueError, match="ohms"):
        Beeper(ohms)


def test_a_beep_leaves_anything_from_nothing_to_where_the_beeper_is_silent() -> None:
    beeper = Beeper(0.5)
    beep = Entry(kind=EntryKind.PROBE, seen=Seen.BEEP)
    assert Span(0.0, beeper.silent_ohms) == beeper.says(beep)


@pytest.mark.parametrize(
    ("one", "other", "both"),
    [
        (100.0, 100.0, 50.0),
        (30.0, 60.0, 20.0),
        (0.0, 5.0, 0.0),
        (math.inf, 5.0, 5.0),
        (math.inf, math.inf, math.inf),
    ],
)
def test_ohms_side_by_side_add_as_siemens(one: float, other: float, both: float) -> None:
    assert both == pytest.approx(_side_by_side(one, other))
    assert both == pytest.approx(_side_by_side(other, one))


def test_one_reading_that_failed_is_a_broken_joint_before_several_are() -> None:
    loose = Open(OPEN_JOINT, ("c",), ("a.1",))
    of_one, of_two, of_three = (loose.cost(cast(Any, None), failed) for failed in (1, 2, 3))
    assert of_one < of_two == of_three


@pytest.mark.parametrize(
    ("abouts", "said", "told"),
    [
        (["a"], "x; y", [("a", "x; y")]),
        (["a", "b"], " x ", [("a", "x"), ("b", "x")]),
        (["a", "b"], "x; y", [("a", "x"), ("b", "y")]),
    ],
)
def test_answers_are_parted_only_among_several_that_are_asked(
    abouts: list[str], said: str, told: list[tuple[str, str]]
) -> None:
    assert told == spread(abouts, said)
    assert isinstance(spread(["a", "b"], "x; y; z"), str)


@pytest.mark.parametrize(("harms", "more"), [(0, ""), (1, ""), (2, "1 more"), (4, "3 more")])
def test_a_face_misread_tells_the_worst_and_counts_the_harms_beside_it(
    harms: int, more: str
) -> None:
    planned = Planned(kind=SlipKind.MIRRORED, subject=("loom",), mistake=cast(Any, None), points=())
    outcome = Outcome(grade=Gravity.HARM, cause="x", sentence="it burns", harms=harms)
    told = _graded(planned, outcome).outcome
    assert more in told if more else told == "it burns"


@pytest.mark.parametrize(("points", "opens"), [("ab", "a"), ("abc", "abc"), ("a", "a")])
def test_one_open_joint_parts_two_wires_and_each_of_three_is_one(points: str, opens: str) -> None:
    """Of two wires on one joint either is off when one is: that is one slip."""
    circuit = SimpleNamespace(id="c", join=tuple(points))
    view = SimpleNamespace(job=SimpleNamespace(circuits=[circuit]), points=set("abc"))
    assert [("c", point) for point in opens] == [each.subject for each in _opens(cast(Any, view))]


@pytest.mark.parametrize(("cavities", "asked"), [(0, False), (1, False), (2, True)])
def test_only_contacts_beside_each_other_make_a_face_to_ask_for(cavities: int, asked: bool) -> None:
    pinout = SimpleNamespace(
        switches={},
        connector=SimpleNamespace(face=None),
        cavities={str(n): None for n in range(1, cavities + 1)},
    )
    end = SimpleNamespace(name="loom", pinout=pinout, has_tail=False)
    found = list(_of_end(cast(Any, None), cast(Any, end)))
    assert asked == any(question.about == "loom.face" for question in found)


def test_a_fingerprint_has_twelve_digits() -> None:
    assert 12 == len(fingerprint(["a.1", "b.1"]))


@pytest.mark.parametrize(("probes", "sets", "bound"), [(0, 0, 0), (1, 2, 2), (2, 3, 3)])
def test_each_reading_needs_a_new_place_and_the_first_two(
    probes: int, sets: int, bound: int
) -> None:
    """By hand: one probe stays where the next reading shares its contact."""
    taken = [
        Probe(
            kind=ProbeKind.THROUGH,
            red=("a.1",),
            black=(f"b.{number}",),
            expectation=Expectation(Shows.BEEP),
            proves=(),
        )
        for number in range(probes)
    ]
    work = work_of(taken)
    assert (sets, 0, bound) == (work.sets, work.clips, work.bound)


@pytest.mark.parametrize(
    ("draws", "given", "back"), [(5.0, 3.0, 2.0), (3.0, 3.0, 0.0), (1.0, 3.0, 0.0)]
)
def test_what_outputs_give_flows_back_elsewhere(draws: float, given: float, back: float) -> None:
    fed = [SimpleNamespace(cavity=SimpleNamespace(amps=draws))]
    line = FusedLine(fuse=None, feeds=cast(Any, tuple(fed)))
    unit = FedUnit(name="u", lines=(line,), grounds=(), given_amps=given, sunk_amps=0.5)
    assert back + 0.5 == unit.returned_amps
    assert draws == unit.faulty_amps


def test_of_two_feeds_the_grounds_carry_the_fault_of_one_and_the_load_of_the_other() -> None:
    """10 A through a faulty 10 A fuse and 2 A by the other feed; a fuse below its load adds none."""

    def line(draws: float, amps: float) -> FusedLine:
        fed = SimpleNamespace(cavity=SimpleNamespace(amps=draws))
        fuse = SimpleNamespace(amps=amps)
        return FusedLine(fuse=cast(Any, fuse), feeds=cast(Any, (fed,)))

    lines = (line(3.0, 10.0), line(2.0, 5.0))
    unit = FedUnit(name="u", lines=lines, grounds=(), given_amps=0.0, sunk_amps=0.0)
    assert 12.0 == unit.faulty_amps
    small = FedUnit(name="u", lines=(line(3.0, 2.0),), grounds=(), given_amps=0.0, sunk_amps=0.0)
    assert 3.0 == small.faulty_amps


@pytest.mark.parametrize(
    ("low", "high", "told"),
    [
        (None, None, "0 ohm or more"),
        (5.0, math.inf, "5 ohm or more"),
        (0.0, 2.0, "under 2 ohm"),
        (5.0, 20.0, "5 to 20 ohm"),
    ],
)
def test_ohms_that_are_wanted_are_told_by_their_ends(
    low: float | None, high: float | None, told: str
) -> None:
    wanted = Expectation(Shows.OHMS, low, high)
    probe = Probe(kind=ProbeKind.BAND, red=("a.1",), black=("b.1",), expectation=wanted, proves=())
    assert told == probe.wanted


@pytest.mark.parametrize(
    ("points", "nets", "told"),
    [(0, 0, "0 beeps|0 readings"), (5, 1, "4 beeps|0 readings"), (9, 4, "5 beeps|3 readings")],
)
def test_a_plan_joins_each_point_and_parts_each_net_at_the_least(
    points: int, nets: int, told: str
) -> None:
    """n points on m nets: n - m beeps; each net but the last against the rest."""
    stub = SimpleNamespace(points=points, nets=nets, work=SimpleNamespace(bound=0))
    bounds = str(plan.Plan.bounds.__get__(stub))
    assert all(part in bounds for part in told.split("|"))


@pytest.mark.parametrize(
    ("siemens", "ohms"), [(2.0, 0.5), (0.5, 2.0), (0.0, math.inf), (-1e-12, math.inf)]
)
def test_what_rounding_leaves_of_no_siemens_is_open(siemens: float, ohms: float) -> None:
    assert ohms == _ohms(siemens)


@pytest.mark.parametrize(
    ("lows", "rated"),
    [("a", True), ("b", True), ("aN", True), ("bN", False), ("NN", False), ("N", False)],
)
def test_a_rate_at_the_only_low_half_is_the_pairs_and_at_another_pair_is_not(
    lows: str, rated: bool
) -> None:
    """Each low half by its pair: `a` is the high half's own, `b` another; `N` states no rate."""

    def half(function: str, pair: str) -> Any:
        rate = None if pair == "N" or function == "can-high" else 250.0
        return SimpleNamespace(function=function, pair="a" if pair == "N" else pair, kbit_s=rate)

    cavities = {str(n): half("can-low", pair) for n, pair in enumerate(lows)}
    end = SimpleNamespace(pinout=SimpleNamespace(cavities=cavities))
    assert rated == _rated(cast(Any, end), half("can-high", "a"))


def test_a_lead_crimped_straight_into_a_tap_has_no_length_of_its_own() -> None:
    job = load_job(DEMO / "job.yaml").value
    assert isinstance(job, Job)
    straight = [c for c in Harness(job).conductors.values() if c.origin == "direct"]
    assert [0.0] == [each.length_mm for each in straight]


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("3 12.1 V", ""),
        ("3 12.1 12.2 V", "2 figures for 1 step"),
        ("3/4 12.1 V", "one figure for several"),
    ],
)
def test_each_step_that_a_line_names_takes_a_figure_of_its_own(typed: str, told: str) -> None:
    steps = [
        PowerStep(stage="x", do="d", n=n, red="a.1", black="b.1", quantity=VOLTS, key=key)
        for n, key in ((3, OnOff.OFF), (4, OnOff.ON))
    ]
    said = taken_apart(typed, ())
    assert isinstance(said, TypedPower)
    found = _by_number(said, steps)
    assert told in found if isinstance(found, str) else not told
