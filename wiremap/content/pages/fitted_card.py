"""The card as fitted: cut out, folded, and left in the machine at the splice."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain

from wiremap.content.fitted import CardLine, CardPart, FittedCard
from wiremap.content.given import Given
from wiremap.content.joint_places import leg_places, part_place
from wiremap.content.pieces import Section
from wiremap.content.record import Fitter, fitter
from wiremap.content.stages import Page, Stage
from wiremap.content.words import extra_words, listed, number, spaced
from wiremap.model import End, EndKind, Side
from wiremap.sizing.placing import RunLayout

OFF_FIRST = "Battery off before this wiring is touched."
COLOURS = "Wire colours change at the joints: go by flag and cavity."
NO_COLOURS = "Go by flag and cavity, never by colour."
WIRING_ONLY = "Wiring only: it does not prove that the two units understand each other."
LEAD = (
    "Filled in where each thing lies; cut out, folded, kept dry beside it; a copy with the papers."
)


def fitted_section(given: Given) -> Section | None:
    """The card, whole where it is signed; None where nothing is built."""
    if not given.worked_circuits:
        return None
    job = given.job
    revision = "" if job.revision is None else f"revision {job.revision}"
    card = FittedCard(
        title=job.title,
        mark=spaced(job.id or "", revision, f"hash {job.digest or 'none'}"),
        left=tuple(_parts(chain(_who(given), _untouched(given)))),
        right=tuple(_parts(_where_each_lies(given))),
    )
    return Section(key="fitted", title="Card as fitted", blocks=(card,), lead=LEAD, fresh=False)


TitledLines = tuple[str, Sequence[CardLine]]


def _parts(named: Iterator[TitledLines]) -> Iterator[CardPart]:
    for title, lines in named:
        if lines:
            yield CardPart(title, tuple(lines))


def _line(text: str) -> CardLine:
    return CardLine(text=text)


def _asked(text: str) -> CardLine:
    return CardLine(text=text, write=True)


# -- who and when ---------------------------------------------------------------------------------


def _who(given: Given) -> Iterator[TitledLines]:
    colours = COLOURS if given.harness.joints else NO_COLOURS
    warnings = (OFF_FIRST, colours, WIRING_ONLY)
    yield "Changed wiring in this machine", [_line(text) for text in warnings]
    fitted = fitter(given) if given.filled_in else None
    yield "Fitted", [*_by(fitted), _asked("machine's hours")]
    kept = "sheet, what was taken off" if given.adapter else "sheet, old plug and unit"
    yield "Kept", [_asked(f"{kept}, at")]


def _by(fitted: Fitter | None) -> Iterator[CardLine]:
    """Who fitted it and when, as the notebook has it, else to be written."""
    if fitted is None:
        yield _asked("by")
        yield _asked("on, workshop")
        return
    yield _line(f"by {listed(*fitted.names)}")
    yield _line(f"on {fitted.date}" if fitted.date else "day not noted")
    yield _asked("workshop")


# -- what is where --------------------------------------------------------------------------------


def _where_each_lies(given: Given) -> Iterator[TitledLines]:
    yield "Fuses", list(_fuses(given))
    yield "Joints", list(_joints(given))
    yield "Parts and units", list(_units(given))
    if given.adapter:
        yield "Joined", list(_joined(given))


def _untouched(given: Given) -> Iterator[TitledLines]:
    """What the job leaves unconnected."""
    yield "Not connected", list(_left_out(given))


def _fuses(given: Given) -> Iterator[CardLine]:
    for fuse in given.fuses_out:
        if fuse.own:
            yield _asked(f"{fuse.name}: {fuse.rating}, new, at")
        elif fuse.swapped and fuse.found_amps is not None:
            found = number(fuse.found_amps)
            yield _asked(f"{fuse.name}: {fuse.rating}, never {found} A (found), at")
        else:
            yield _asked(f"{fuse.name}: {fuse.rating}, at")


def _joints(given: Given) -> Iterator[CardLine]:
    for run in given.runs:
        words = _run(run)
        if words:
            yield _line(words)
    for joint in given.harness.joints.values():
        taps = [a for a in joint.points if given.harness.points[a].is_tap]
        if joint.tap and taps:
            yield _asked(f"T on {listed(*taps)}; mm from its connector to the T:")
        elif not taps and leg_places(given, joint):
            yield _line(leg_places(given, joint))
    if not given.harness.joints:
        yield _line("none: contact to contact")


def _joined(given: Given) -> Iterator[CardLine]:
    """The map of an adapter, contact to contact, as no sheet may be at hand in the field."""
    joined = ["–".join(map(str, circuit.join)) for circuit in given.worked_circuits]
    if joined:
        yield _line(listed(*joined))


def _run(run: RunLayout) -> str:
    """How many joints lie where on a run."""
    if run.layout is None or not run.layout.placed:
        return ""
    places = [placed.at_mm for placed in run.layout.placed]
    count = len(places)
    where = f"{min(places):.0f} to {max(places):.0f} mm from the last tie of {run.machine}"
    return f"{count} in the run {run.machine} to {run.unit}, {where}"


def _units(given: Given) -> Iterator[CardLine]:
    for extra in given.job.extras.values():
        if extra.is_fuse:
            continue
        words = f"{extra.name}, {extra_words(given.harness.points[extra.legs[0]])}"
        between = part_place(given, extra.name)
        yield _line(f"{words}, between {between}") if between else _asked(f"{words}, at")
    for end in given.job.ends.values():
        if end.side is Side.BETWEEN or (end.kind == EndKind.MATE and end.switches):
            yield _asked(f"{_switched(end)}, at")


def _switched(end: End) -> str:
    """A unit with how its switches stand."""
    stand = [f"{name} {str(stands).upper()}" for name, stands in end.switches.items()]
    return f"{end.name}: {listed(*stand)}" if stand else end.name


def _left_out(given: Given) -> Iterator[CardLine]:
    for treat, words in (("cap", "tied back"), ("blank", "plugged")):
        points = [point.address for point in given.treated(treat)]
        if points:
            yield _line(f"{words}: {listed(*points)}")


PAGE = Page(key="fitted", stage=Stage.HANDING_OVER, make=fitted_section, order=6)
