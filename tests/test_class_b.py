"""Voltage class B is told by one property of a contact, by absolute value, at the limits of 49 CFR 571.305 S3."""

from __future__ import annotations

import pytest

from wiremap.base import Place
from wiremap.evidence.expected import refused
from wiremap.model import (
    CLASS_B_AC_VOLTS,
    CLASS_B_DC_VOLTS,
    Basis,
    Cavity,
    Claim,
    Span,
)
from wiremap.naming import Meaning
from wiremap.propose.compare import offered


def contact(function: str = "permanent-supply", **more: object) -> Cavity:
    return Cavity(name="1", reading=Meaning(function), **more)  # type: ignore[arg-type]


def test_the_limits_are_those_of_the_published_rule() -> None:
    """49 CFR 571.305 S3: high voltage is more than 30 V AC or 60 V DC."""
    assert (60.0, 30.0) == (CLASS_B_DC_VOLTS, CLASS_B_AC_VOLTS)


@pytest.mark.parametrize(
    ("volts", "expected"),
    [
        (Span.of(60), False),
        (Span.of(60.1), True),
        (Span.of(-60), False),
        (Span.of(-60.1), True),
        (Span(-61, 12), True),
        (Span(9, 61), True),
        (Span(-60, 60), False),
        (None, False),
    ],
)
def test_direct_volts_count_by_their_farther_end(volts: Span | None, expected: bool) -> None:
    """A range is as dangerous as the end of it that lies farther from zero."""
    assert expected == contact(volts=volts).is_class_b


@pytest.mark.parametrize(
    ("volts_ac", "expected"), [(30, False), (30.1, True), (-30.1, True), (None, False)]
)
def test_alternating_volts_have_the_lower_limit(volts_ac: float | None, expected: bool) -> None:
    """Above 30 V AC it is class B, whatever the direct volts are."""
    assert expected == contact(volts=Span.of(12), volts_ac=volts_ac).is_class_b


def test_any_claim_of_its_function_is_enough() -> None:
    """One source that says class B outweighs another that does not know."""
    claim = Claim(
        reading=Meaning("voltage-class-b"), basis=Basis.TOLD, source="", place=Place("a.yaml")
    )
    assert contact("voltage-class-b").is_class_b
    assert contact("unknown", also=(claim,)).is_class_b


def test_nobody_probes_or_proposes_it() -> None:
    """The survey and the proposal ask the same property, so minus 61 V is left alone by both."""
    dangerous, harmless = contact(volts=Span.of(-61)), contact(volts=Span.of(12))
    assert refused(dangerous) and not refused(harmless)
    assert offered(harmless) and not offered(dangerous)
