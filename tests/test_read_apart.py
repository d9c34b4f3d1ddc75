"""What is read between two contacts that nothing joins: a short, an exchange, a ground under the black probe."""

from __future__ import annotations

import pytest
from test_survey_readings import judged, read

from wiremap.evidence import settle
from wiremap.evidence.judged_reading import ReadingVerdict
from wiremap.model import Job


@pytest.mark.parametrize(
    ("line", "at", "cause"),
    [
        ("loom.6 to loom.1 0.1 ohm", "loom.6", "a short between them"),
        ("loom.7 to loom.2 12 ohm", "loom.7", "a short between them"),
        ("loom.7 to chassis beep", "loom.7", "a short between them"),
        ("loom.1 to loom.2 0.3 ohm", "loom.1", "a short between them"),
        ("loom.1 to loom.2 -12.4 V off", "loom.1", "plus and minus are exchanged"),
        ("loom.2 to loom.1 12.4 V off", "loom.1", "plus and minus are exchanged"),
    ],
)
def test_what_no_sound_harness_joins_stops(demo: Job, line: str, at: str, cause: str) -> None:
    """Common practice: nothing is joined to a wire that is shorted, or whose plus and minus are exchanged."""
    (reading,) = judged(demo, line)
    assert (reading.verdict, reading.address) == (ReadingVerdict.CONTRADICTS, at)
    assert reading.why.startswith(cause)


@pytest.mark.parametrize(
    "line", ["loom.6 to chassis 5000 ohm", "loom.6 to loom.1 open", "loom.1 to loom.2 85 ohm"]
)
def test_what_a_sound_harness_shows_there_is_written_down(demo: Job, line: str) -> None:
    """Nodes of a bus read some kilohms to ground (10 to 50 kohm each, workshop texts), other loads less to a supply."""
    (reading,) = judged(demo, line)
    assert reading.verdict == ReadingVerdict.RECORDED


@pytest.mark.parametrize(
    ("line", "verdict"),
    [
        ("loom.1 to loom.2 12.4 V off", ReadingVerdict.FITS),
        ("loom.2 to loom.1 -12.4 V off", ReadingVerdict.FITS),
        ("loom.1 to loom.2 3 V off", ReadingVerdict.CONTRADICTS),
    ],
)
def test_a_ground_contact_of_the_machine_serves_as_its_chassis(
    demo: Job, line: str, verdict: ReadingVerdict
) -> None:
    (reading,) = judged(demo, line)
    assert reading.verdict == verdict


def test_a_short_is_never_what_the_ring_out_expects(demo: Job) -> None:
    """A load that was read lies behind the loom of the ring-out; a short is no load."""
    shorted = settle(read(demo, "loom.6 to loom.1 0.1 ohm\nloom.7 to chassis 0.1 ohm"))
    assert shorted.ends["loom"].pinout.found == settle(demo).ends["loom"].pinout.found
