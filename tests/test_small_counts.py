"""Counts, places and rounding that a step more or less would change: by hand, at the step and beside it."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import pytest
from demo_jobs import DEMO

from wiremap.files import load_job
from wiremap.files.faults import Faults
from wiremap.files.strict import Scalar
from wiremap.files.values import TEXT, unknown_key
from wiremap.firstpower.lamp import Lamp
from wiremap.firstpower.loads import LoadedTests
from wiremap.firstpower.unmated import Unmated
from wiremap.mistakes.classes import Classes
from wiremap.model import Job
from wiremap.model.quantities import Span
from wiremap.naming import _doubtful_terms
from wiremap.propose.merging import Merging
from wiremap.share.ways import _joined_by_one
from wiremap.sheet.frame import BOTTOM, TOP
from wiremap.sheet.setting import _Flow
from wiremap.survey.alike import Load, _overlapping

PATHS = ("one.yaml", "two.yaml")


@pytest.mark.parametrize(
    ("watts", "volts", "amps"),
    [(21.0, 12.0, 1.8), (23.9, 12.0, 2.0), (24.0, 12.0, 2.0), (24.1, 12.0, 2.1)],
)
def test_a_feed_for_a_lamp_is_told_in_tenths_upwards(
    watts: float, volts: float, amps: float
) -> None:
    """Amps are watts over volts: 21 W at 12 V are 1.75 A."""
    assert amps == Lamp(watts=watts, volts=volts, or_feed=True).feed_amps


def test_only_loads_whose_bands_meet_are_grouped() -> None:
    at = "loom.1"
    first, apart = Load(at, Span(1.0, 2.0)), Load(at, Span(2.1, 3.0))
    between, beyond = Load(at, Span(2.0, 2.1)), Load(at, Span(3.1, 4.0))
    assert [first] == _overlapping([first, apart])
    assert [first, apart, between] == _overlapping([first, apart, between, beyond])


def test_a_contact_that_one_way_alone_joins_is_told_beside_that_way() -> None:
    read = load_job(DEMO / "adapter" / "job.yaml").value
    assert isinstance(read, Job)
    unit = {name for name, end in read.ends.items() if end.side == "unit"}
    circuit = next(c for c in read.circuits if any(point.end in unit for point in c.join))
    fewer = replace(read, circuits=tuple(c for c in read.circuits if c is not circuit))
    alone = tuple(
        f"{read.ends[point.end].pinout.title}, contact {point.cavity}"
        for point in sorted(circuit.join, key=str)
        if point.end in unit
    )
    assert {PATHS[0]: alone} == _joined_by_one((read, fewer), PATHS)
    assert {PATHS[1]: alone} == _joined_by_one((fewer, read), PATHS)


@pytest.mark.parametrize(
    ("key", "rule"),
    [
        ("title:lamps", "missing-space"),
        ("lamps:title", "unknown-key"),
        ("title:title", "missing-space"),
    ],
)
def test_a_missing_space_is_told_of_a_known_key_before_the_colon(key: str, rule: str) -> None:
    faults = Faults("job.yaml")
    unknown_key(faults, Scalar(key, 1, 1, plain=True), {"title": TEXT})
    assert [rule] == [found.rule for found in faults.findings]


@pytest.mark.parametrize(("volts", "most"), [(24.0, 0.36), (25.0, 0.38), (120.0, 1.8)])
def test_a_way_that_was_not_sized_may_lose_half_of_the_usual_share(
    volts: float, most: float
) -> None:
    """3 % out and back for what a machine needs, half each way (common practice); in hundredths, up."""
    faces = SimpleNamespace(volts=volts)
    stub = SimpleNamespace(faces=faces, _sized_ohms=lambda *_, **__: None)
    supply = SimpleNamespace(cavity=SimpleNamespace(function="supply-switched"))
    found = LoadedTests._most_lost(cast(Any, stub), cast(Any, supply), 1.0, back=False)
    assert most == found.volts


@pytest.mark.parametrize(
    ("volts", "band"),
    [(12.6, Span(10.8, 16.3)), (0.6, Span(0.0, 1.3)), (0.5, Span(-0.1, 0.1))],
)
def test_volts_read_before_the_cut_are_wanted_again_in_tenths_outwards(
    volts: float, band: Span
) -> None:
    """Nine tenths at rest, a quarter more while charging, half a volt of noise (common practice).

    What noise alone may show is wanted as nothing: a tenth of a volt either side.
    """
    old = SimpleNamespace(address="old.1", is_machine=True)
    sections = SimpleNamespace(of=lambda _: "section")
    harness = SimpleNamespace(cavities=lambda _: [old])
    reading = SimpleNamespace(by_key={"on": volts})
    stub = SimpleNamespace(
        faces=SimpleNamespace(sections=sections, harness=harness), read={"old.1": reading}
    )
    assert band == Unmated._as_read(cast(Any, stub), "new.1", cast(Any, "on"))


def free_points(functions: dict[str, str], *, denied: bool) -> Any:
    """Points of these functions, said to belong apart if `denied`."""
    return SimpleNamespace(
        mine=lambda _: {name: SimpleNamespace(function=of) for name, of in functions.items()},
        facing=lambda _: {},
        denial=lambda _: "apart" if denied else None,
    )


@pytest.mark.parametrize(
    ("other", "denied"), [("ground", False), ("supply", True), ("ground", True)]
)
def test_a_point_denied_or_of_another_function_fits_no_circuit(other: str, denied: bool) -> None:
    free = free_points({"new": "supply", "old": other}, denied=denied)
    circuit = SimpleNamespace(join=("old",))
    stub = SimpleNamespace(_free=free, circuits=[circuit])
    stub._fit = lambda point, one: Merging._fit(cast(Any, stub), point, one)
    assert stub._fit("new", circuit) == 0
    assert Merging._best_circuit(cast(Any, stub), cast(Any, "new")) is None


@pytest.mark.parametrize(("words", "told"), [(0, True), (1, False), (2, False)])
def test_a_lone_letter_is_doubtful_unless_words_stand_beside_it(words: int, told: bool) -> None:
    """`L` alone may be left, low or a lamp; beside a word that says what it is nobody asks."""
    term = SimpleNamespace(ideas={"left"}, is_="", doubt="a letter")
    letter = SimpleNamespace(ideas={"left"}, letter=True, terms=[term])
    word = SimpleNamespace(ideas={"lamp"}, letter=False, terms=[])
    line = SimpleNamespace(stretches=[letter, *[word] * words])
    choice = SimpleNamespace(ideas={"left"}, function="lamp-feed")
    assert told == bool(_doubtful_terms(cast(Any, line), cast(Any, choice)))


@pytest.mark.parametrize(
    ("contacts", "crossed"),
    [
        ("high:A:1 low:A:2", 1),
        ("high:A:1 low:A:1", 0),
        ("high:A:1 low:B:2", 0),
        ("high:A:1 high:A:2", 0),
        ("high:A:1 high:A:1 low:A:2", 2),
        ("high:A:1 low:A:2 high:B:3 low:B:4", 2),
    ],
)
def test_crossed_are_the_halves_of_one_pair_on_two_nets(contacts: str, crossed: int) -> None:
    """Each contact by its half, its pair and its net; pairs counted by hand."""
    points, nets = {}, {}
    for number, written in enumerate(contacts.split()):
        half, pair, net = written.split(":")
        cavity = SimpleNamespace(function=f"can-{half}", pair=pair)
        points[f"p{number}"] = SimpleNamespace(cavity=cavity)
        nets[f"p{number}"] = int(net)
    drawn = SimpleNamespace(harness=SimpleNamespace(points=points), net_of=nets)
    stub = SimpleNamespace(drawn=drawn)
    assert crossed == Classes._crossed(cast(Any, stub), list(points))


@pytest.mark.parametrize(
    ("shares", "groups"),
    [((0.6, 0.6), [1, 1]), ((0.4, 0.5), [2]), ((1.2,), [1]), ((0.5,) * 3, [1] * 3)],
)
def test_what_is_more_than_a_page_is_parted_piece_by_piece(
    shares: tuple[float, ...], groups: list[int]
) -> None:
    """Pieces by their share of a page; how many were set at once."""
    put: list[int] = []
    stub = SimpleNamespace(
        y=TOP,
        tally=SimpleNamespace(room=lambda _: 0.0),
        _put=lambda pieces: put.append(len(pieces)),
    )
    stub._together = lambda pieces, section: _Flow._together(cast(Any, stub), pieces, section)
    pieces = [SimpleNamespace(height=share * (BOTTOM - TOP)) for share in shares]
    stub._together(pieces, None)
    assert groups == put
