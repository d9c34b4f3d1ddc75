"""A worse statement never takes away what speaks against a fuse, and what is not said is named."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sizing_jobs import DONOR, pinout, spreader

from wiremap.graph import Harness
from wiremap.model import Fed, Job, Supply, Surroundings, Wire, frozen
from wiremap.sizing.fuse_judge import HEATS_WIRE, Against
from wiremap.sizing.job import size_job
from wiremap.sizing.job_sizes import JobSizes
from wiremap.sizing.unjudged import About

Spoken = set[tuple[str, str]]


def against(sizes: JobSizes) -> Spoken:
    """What speaks against fuses and wires: kind and subject; what heats a wire is one kind."""
    found: Spoken = set()
    for owner in (*sizes.feeds, *sizes.fuses.values()):
        for judged in owner.judged:
            for objection in judged.objections:
                kind = "wire" if objection.kind in ("wire", "let-through") else str(objection.kind)
                found.add((kind, judged.subject))
        found.update((str(objection.kind), "load") for objection in owner.too_small)
    for size in sizes.conductors.values():
        if size.amps is None or size.ampacity_amps is None:
            continue
        if size.amps > size.ampacity_amps:
            found.add(("overloaded", size.subject))
    return found


def spreader_in(ambient: float = 60.0, bundle: int = 1, fuse: float = 5.0, **more: object) -> Job:
    """The spreader's job with its main feed and surroundings as given."""
    around = Surroundings(ambient_C=ambient, bundle=bundle, limit_C=more.pop("limit", None))  # type: ignore[arg-type]
    base = spreader(surroundings=around).job
    told = {"fuse": "F7", "fuse_amps": fuse, "milliohm": 20.0, "length_mm": 4000.0, **more}
    loom = replace(base.ends["loom"], fed=frozen({"1": Fed(cavity="1", **told)}))  # type: ignore[arg-type]
    return replace(base, ends=frozen({**base.ends, "loom": loom}))


def spoken(one: Job) -> Spoken:
    return against(size_job(Harness(one)))


def let_through(one: Job) -> Spoken:
    """The wires of which only what a fuse lets through is too much."""
    sizes = size_job(Harness(one))
    found: Spoken = set()
    for sized in (*sizes.feeds, *sizes.fuses.values()):
        for judged in sized.judged:
            kinds = {each.kind for each in judged.objections} & HEATS_WIRE
            if kinds == {Against.LET_THROUGH}:
                found.add(("wire", judged.subject))
    return found


@given(st.floats(20, 140), st.floats(0, 60), st.sampled_from([3.0, 5.0, 10.0, 20.0]))
def test_hotter_keeps_everything(ambient: float, more: float, fuse: float) -> None:
    """Up to and beyond what the insulation stands: nothing is refused, nothing falls silent."""
    hotter = min(150.0, ambient + more)
    assert spoken(spreader_in(ambient, fuse=fuse)) <= spoken(spreader_in(hotter, fuse=fuse))


@given(st.integers(1, 90), st.integers(0, 400), st.sampled_from([3.0, 5.0, 10.0, 20.0]))
def test_more_bundled_keeps_everything(bundle: int, more: int, fuse: float) -> None:
    """Beyond the table the largest bundle's factor holds, and that is said."""
    many = size_job(Harness(spreader_in(bundle=bundle + more, fuse=fuse)))
    assert spoken(spreader_in(bundle=bundle, fuse=fuse)) <= against(many)
    beyond = any("no factor is tabled" in each.why for each in many.not_judged)
    assert beyond == (bundle + more > 61)


RATINGS = [2.0, 3.0, 5.0, 7.5, 10.0, 15.0, 20.0, 30.0, 40.0]


@pytest.mark.parametrize(("small", "large"), tuple(pairwise(RATINGS)))
def test_a_larger_fuse_keeps_what_speaks_against_it(small: float, large: float) -> None:
    """What asks for a larger one falls away, as it should."""
    asks = {("load", "load"), ("inrush", "load")}
    assert spoken(spreader_in(fuse=small)) - asks <= spoken(spreader_in(fuse=large))


@given(st.floats(60, 250), st.floats(0, 100), st.sampled_from([5.0, 10.0, 20.0]))
def test_a_lower_insulation_limit_keeps_everything(limit: float, less: float, fuse: float) -> None:
    """Of the job, down to the lowest that may be stated.

    Clearing left out: copper that may get less hot has less resistance in a short.  Let-through
    too: it is counted from the limit on, and what starts less hot stands more.
    """
    lower = max(40.0, limit - less)
    job = spreader_in(limit=limit, fuse=fuse)
    kept = {(kind, subject) for kind, subject in spoken(job) if kind != "clearing"}
    kept -= let_through(job)
    assert kept <= spoken(spreader_in(limit=lower, fuse=fuse))


def test_a_longer_loom_keeps_what_does_not_open() -> None:
    """A longer way draws less at its far end; only breaking capacity may be better for it."""
    for short, long in ((1000.0, 4000.0), (4000.0, 40000.0), (40000.0, 150000.0)):
        near, far = (
            spoken(spreader_in(fuse=10, length_mm=short)),
            spoken(spreader_in(fuse=10, length_mm=long)),
        )
        assert near <= far


def test_a_thinner_wire_keeps_everything() -> None:
    """The unit's supply leg from 4 mm2 down to 0.22 mm2, at 10 A."""
    before: Spoken = set()
    for csa in (4.0, 2.5, 1.5, 1.0, 0.75, 0.5, 0.35, 0.22):
        rows = [_with_wire(row, csa) if row.name == "3" else row for row in DONOR]
        base = spreader_in(fuse=10)
        donor = replace(base.ends["donor"], pinout=pinout("donor", rows))
        now = spoken(replace(base, ends=frozen({**base.ends, "donor": donor})))
        assert before <= now, csa
        before = now


def _with_wire(row, csa: float | None):  # type: ignore[no-untyped-def]
    wire = Wire("RD") if csa is None else Wire(f"{csa:g} RD", csa)
    return replace(row, wire=wire)


def open_(one: Job) -> dict[str, tuple[str, ...]]:
    """What is not judged of protection: why, and of what."""
    found = size_job(Harness(one)).not_judged
    return {each.why: each.subject for each in found if each.about == About.PROTECTION}


def test_a_job_that_states_all_leaves_nothing_open() -> None:
    """The demo with its bundle."""
    assert open_(spreader_in(bundle=4)) == {}


@pytest.mark.parametrize(
    ("change", "words", "subject"),
    [
        ({"milliohm": None}, "resistance of the source", "loom.1"),
        ({"fuse": None}, "what fuse lies before it", "loom.1"),
    ],
)
def test_a_figure_left_out_of_the_feed_is_named(
    change: dict[str, object], words: str, subject: str
) -> None:
    """And of a feed that states nothing both."""
    found = open_(spreader_in(bundle=4, **change))  # type: ignore[arg-type]
    assert [subjects[0] for why, subjects in found.items() if words in why] == [subject]


def test_an_unknown_bundle_names_all_that_is_fed() -> None:
    """One line for the job."""
    around = Surroundings(ambient_C=60.0)
    found = open_(replace(spreader_in(), surroundings=around))
    assert found == {
        "nobody states how many loaded wires lie together: judged as single wires": ("loom.1", "F1")
    }


def test_an_unknown_size_on_a_fed_circuit_is_named() -> None:
    """The unit's supply leg without a size; a signal's leg without one is no matter of fuses."""
    for name, expected in (("3", ["donor.3"]), ("16", [])):
        rows = [_with_wire(row, None) if row.name == name else row for row in DONOR]
        base = spreader_in(bundle=4)
        donor = replace(base.ends["donor"], pinout=pinout("donor", rows))
        found = open_(replace(base, ends=frozen({**base.ends, "donor": donor})))
        sized = [subjects[1] for why, subjects in found.items() if "size of the wire" in why]
        assert sized == expected


def test_unknown_volts_and_an_unknown_source_are_named() -> None:
    """Short circuits are then judged at 12 V, or not at all."""
    found = open_(replace(spreader_in(bundle=4), supply=Supply()))
    assert any("judged at 12 V" in why for why in found)
    base = spreader_in(bundle=4)
    feed = replace(base.ends["feed"], fed=frozen({}))
    found = open_(replace(base, ends=frozen({**base.ends, "feed": feed})))
    assert any("F1" in subjects for subjects in found.values())


@pytest.mark.parametrize(("ambient", "hot"), [(84.9, 0), (85.0, 1), (85.1, 1)])
def test_surroundings_as_hot_as_the_insulation_stands(ambient: float, hot: int) -> None:
    """Class A stands 85 C: from there on nothing may be carried, and each wire is named."""
    found = size_job(Harness(spreader_in(ambient)))
    assert bool(found.too_hot) == bool(hot)
    amps = [size.ampacity_amps for size in found.conductors.values()]
    assert (max(a for a in amps if a is not None) == 0.0) == bool(hot)


def test_the_limit_of_contact_end_and_job() -> None:
    """A contact's own goes before its end's, that before the job's; each wire by its own."""
    base = spreader_in(100.0, limit=125.0)
    rows = [replace(row, limit_C=90.0) if row.name == "3" else row for row in DONOR]
    donor = replace(base.ends["donor"], pinout=pinout("donor", rows), limit_C=150.0)
    found = size_job(Harness(replace(base, ends=frozen({**base.ends, "donor": donor}))))
    limits = {size.subject: size.limit_C for size in found.conductors.values()}
    assert (limits["donor.3"], limits["donor.4"], limits["loom.1"]) == (90, 150, 125)
    assert [hot.subject for hot in found.too_hot] == ["donor.3"]


def test_absurd_surroundings_leave_every_fed_circuit_open() -> None:
    """Beyond the heat balance no current is worked out: said of every feed."""
    found = size_job(Harness(spreader_in(200.0)))
    assert [each.about for each in found.not_judged] == [About.SURROUNDINGS]
    assert found.not_judged[0].subject == ("loom.1", "feed.16")
