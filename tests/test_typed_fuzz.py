"""Whatever is typed is read or told: no line is a fault of ours, and none takes long."""

from __future__ import annotations

import random
import time
from collections.abc import Callable

import pytest

from wiremap.entries.power_lines import points_of, taken_apart
from wiremap.entries.probe_lines import batch
from wiremap.entries.survey_lines import probes_in, shown

ALPHABET = [
    *"0123456789.,-+:;()/#>kKMVvAamuΩ \t",
    "loom.1",
    "donor.3",
    " to ",
    " - ",
    "open",
    "OL",
    "ignition on",
    "key off",
    "ohm",
    "V",
    "parted",
    "with F1",
    "battery minus",
    "no diode",
    "\u2212",
    "\u0660",
]
Reader = Callable[[str], object]
READERS: tuple[Reader, ...] = (
    batch,
    lambda text: taken_apart(text, {"F1 in", "lamp on"}),
    points_of,
    lambda text: shown(" ".join(probes_in(text).rest), has_black=True, states=["guard lifted"]),
)
LONG = [
    "1 " * 5000,
    "1/" * 5000 + "V",
    "a-" * 5000,
    "a.1-" * 3000,
    "key " * 3000,
    "-" * 9000,
    "+" * 9000,
    "9" * 9000,
    ">" * 9000,
    "battery " * 1500,
]


@pytest.mark.parametrize("reader", READERS)
def test_no_typed_line_is_a_fault_of_ours(reader: Reader) -> None:
    """Three thousand drawn lines, each read or told."""
    rng = random.Random(16)
    for _ in range(3000):
        reader("".join(rng.choices(ALPHABET, k=rng.randint(0, 14))))


@pytest.mark.parametrize("text", LONG)
@pytest.mark.parametrize("reader", READERS)
def test_no_typed_line_takes_long(reader: Reader, text: str) -> None:
    """Lines made to send a pattern back and forth end within a second."""
    start = time.process_time()
    reader(text)
    assert time.process_time() - start < 1.0
