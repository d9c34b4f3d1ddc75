"""What a table's cell says as a figure, a span or a size, at the limits of what a pinout may hold."""

from __future__ import annotations

import pytest

from wiremap.model import Span
from wiremap.share.cell_figures import AMPS, KBIT_S, number, size, span, within


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("24 V", Span.of(24.0)),
        ("9-32 V", Span(9.0, 32.0)),
        ("9,5 bis 32", Span(9.5, 32.0)),
        ("12-12", Span(12.0, 12.0)),
        ("13-12", None),
        ("2000", Span.of(2000.0)),
        ("-2000", Span.of(-2000.0)),
        ("2000.1", None),
        ("-2000.1", None),
        ("5-2000", Span(5.0, 2000.0)),
        ("5-2000.1", None),
        ("some", None),
    ],
)
def test_volts_are_one_figure_or_from_one_to_another(text: str, read: Span | None) -> None:
    assert read == span(text)


@pytest.mark.parametrize(
    ("text", "limits", "read"),
    [
        ("0", AMPS, 0.0),
        ("-0", AMPS, None),
        ("7,5 A", AMPS, 7.5),
        ("1000", AMPS, 1000.0),
        ("1000.1", AMPS, None),
        ("0", KBIT_S, None),
        ("0.000001", KBIT_S, 1e-6),
        ("10000000 kbit/s", KBIT_S, 1e7),
        ("10000001", KBIT_S, None),
        ("250 kbit", KBIT_S, None),
    ],
)
def test_a_figure_that_a_pinout_may_not_hold_is_none(
    text: str, limits: tuple[float, float], read: float | None
) -> None:
    assert read == within(text, *limits)


@pytest.mark.parametrize(
    ("text", "read"), [("+1,5", 1.5), ("-3", -3.0), ("3 A", 3.0), ("3 mm", None), ("", None)]
)
def test_a_number_has_a_point_or_a_comma(text: str, read: float | None) -> None:
    assert read == number(text)


@pytest.mark.parametrize(
    ("text", "read"),
    [("0,5 mm²", "0.5"), ("0.75qmm", "0.75"), ("18 AWG", "18 AWG"), ("1.5 sq. mm", "1.5")],
)
def test_a_size_has_a_point_and_no_unit_but_awg(text: str, read: str) -> None:
    assert read == size(text)
