"""The way back: the machine's fuses in again, first a lamp in the place of each."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.one_band import loss_wanted
from wiremap.content.steps import Step
from wiremap.content.words import ALL_ON, listed, number, sentence_case
from wiremap.model import OnOff
from wiremap.ringout.fuses import Fuse
from wiremap.survey.loaded import loaded_tests

LAMP_THEN_FUSE = (
    "{lamp} in place of {fuses}; {all_on}. Ignition off, then on, lights off: no lamp burns on, or "
    "there is a short, or another load on its fuse: unplugged till the fuse is in. Ignition off; "
    "each fuse again: {back}."
)


def fed_again(given: Given) -> Iterator[Step]:
    """Every fuse of the machine's that was taken out, as it was found; ours stays out.  Then each
    supply loaded with a lamp, as before the cut.
    """
    back = [_as_found(fuse) for fuse in given.fuses_out if not fuse.own]
    if back:
        places = listed(*(fuse.out for fuse in given.fuses_out if not fuse.own))
        words = LAMP_THEN_FUSE.format(
            lamp=_guard_lamp(given), fuses=places, all_on=ALL_ON, back=listed(*back)
        )
        yield Step(text=words)
    else:
        yield Step(text=f"{sentence_case(ALL_ON)}.")
    for test in loaded_tests(given.job):
        key = f"ignition {test.key or OnOff.OFF}"
        most = loss_wanted(given, test)
        lost = "no more than before" if most is None else f"at most {number(most)} V"
        lamp = (
            f"{key}, a lamp of {number(test.watts)} W between them burns fully: the volts without "
            f"it less those with it {lost}"
        )
        yield Step(at=f"{test.supply} – {test.ground}", text=lamp)


def _guard_lamp(given: Given) -> str:
    """What stands in a fuse's place at first power, as it does on the way back."""
    lamps = (step.lamp for step in given.power if step.lamp is not None and step.fuse_lamps)
    return sentence_case(str(next(lamps, "a small test lamp or a limited feed")))


def _as_found(fuse: Fuse) -> str:
    """`F7 10 A (our label off the box)`."""
    return f"{fuse.out} (our label off the box)" if fuse.swapped else fuse.out
