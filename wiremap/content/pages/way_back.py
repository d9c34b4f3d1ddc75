"""The way back: what is kept, and what is undone in which order, should it be as it was."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from wiremap.content.fed_again import fed_again
from wiremap.content.given import Given
from wiremap.content.joint_places import joints_of
from wiremap.content.laid_out import parts_laid_out, tapped_wires
from wiremap.content.one_band import band_later
from wiremap.content.pieces import Block, Ledger, Section, TextPiece
from wiremap.content.read_here import is_noted
from wiremap.content.small_faces import machine_faces
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.stops import cut_ends
from wiremap.content.stops_passed import guard_loops
from wiremap.content.words import (
    ALL_OFF,
    NOTE,
    PLUG,
    extra_words,
    listed,
    sentence_case,
    signal_words,
    volts_band,
    wire_words,
)
from wiremap.evidence.expected import Quantity
from wiremap.graph import Point
from wiremap.model import EndKind, OnOff
from wiremap.survey.loaded import loaded_tests

LEAD = "Goes into one bag with the old plug and the pages of the readings before the cut."
PLUGS_LEAD = (
    "Goes with the papers of this machine and the pages of its readings: nothing of it was changed "
    "for good."
)
COLUMNS = (
    "old plug",
    "its wire",
    "what it is",
    "joint, mm from the last tie",
    "volts, off | on",
)
SHARES = (11.0, 27.0, 24.0, 21.0, 17.0)
OFF_WHOLE = (
    "our wire cut off beside the wire in service, which stays whole; a wrap-around sleeve over the "
    "bare place, sealed"
)
OFF_CUT = "T cut out; both halves of the wire in service into a new barrel, sleeve on first, tug"
UNREAD = "–"
AS_ROWS = (
    "At a breakout lead in the old plug, black probe on battery minus: the volts of its row, "
    "ignition off, then on"
)
OF_ROWS = "“S…”: as read at that row, in the same bag"
BLOCKED_AGAIN = "Chock and block, prop what is raised; pressure off, everyone away, key tagged."
EACH_BEEPS = "Each cavity of the old plug beeps to its own wire; then shrunk and taped."
GUARD_LIFTED = (
    "Guards lifted, each cavity of the old plug beeps to its own wire; guards shut, all shrunk, "
    "taped."
)
LAST = "Faults cleared, the card as fitted taken out: date, by"


def way_back_section(given: Given) -> Section | None:
    """What is kept and what is undone, for a splice or an adapter; None where nothing is built."""
    if not given.worked_circuits:
        return None
    blocks: list[Block] = []
    undone = list(_undone(given))
    rows = _wires(given)
    if loaded_tests(given.job) and not rows:  # a plug that was cut is in the hand, wire by wire
        blocks += machine_faces(given)
    blocks.append(Steps(title="Undone, in this order", steps=_numbered_later(undone, 1)))
    if rows:
        blocks.append(TextPiece("Joined again, same cavity to same cavity", strong=True))
        blocks.append(Ledger(COLUMNS, SHARES, rows))
    then = _numbered_later(_afterwards(given), len(undone) + 1)
    blocks.append(Steps(steps=then))
    return Section(
        key="way-back",
        title="The way back",
        drawn_from="wires as found; cavity numbers as moulded",
        blocks=tuple(blocks),
        lead=LEAD if cut_ends(given) else PLUGS_LEAD,
        fresh=False,
        stop=bool(cut_ends(given)),  # then it goes into a bag by itself
        whole=True,
        faces_again=True,
    )


def _numbered_later(steps: Iterable[Step], first: int) -> tuple[Step, ...]:
    """Steps for another day: numbered, with no box of this job's."""
    return tuple(
        replace(step, n=str(n), slot=step.slot if step.slot is Slot.LINE else Slot.NONE)
        for n, step in enumerate(steps, first)
    )


# -- what is undone -------------------------------------------------------------------------------


def _undone(given: Given) -> Iterator[Step]:
    """From the battery to the last joint: what is fed is parted first."""
    counted = parts_laid_out(given, _cut_points(given))
    if counted:
        yield Step(text=counted)
    yield Step(text=BLOCKED_AGAIN)
    yield Step(text=f"{sentence_case(ALL_OFF)}; dead at the wire.")
    plugs = [end.name for end in given.job.ends.values() if not end.is_machine]
    if not cut_ends(given):
        plugs = [end.name for end in given.job.ends.values() if not end.is_tap]
    out = listed(*(fuse.label for fuse in given.fuses_out))
    unmated = f"unmated: {listed(*plugs)}"
    yield Step(text=f"Out: {out}; {unmated}." if out else f"{sentence_case(unmated)}.")
    yield from _taps(given)
    for extra in given.job.extras.values():
        if extra.is_stud:
            leg, *_ = extra.legs
            words = extra_words(given.harness.points[leg])
            yield Step(at=extra.name, text=f"our ring off the {words}, what was on it tight again")
    for end in cut_ends(given):
        yield Step(
            at=end.name,
            text="one wire at a time: cut close behind its joint on the machine's side, joined to "
            "the old plug's of the same cavity, sleeve on first, tug; the piece kept between where "
            "they do not meet",
        )


def _taps(given: Given) -> Iterator[Step]:
    """A T comes off a wire that stayed in service."""
    for taps, whole in tapped_wires(given):
        yield Step(at=listed(*taps), text=OFF_WHOLE if whole else OFF_CUT)


def _wires(given: Given) -> tuple[tuple[str, ...], ...]:
    """Every wire of the old plug, those that were tied back too."""
    volts = _volts_of(given)
    return tuple(_wire(given, point, volts.get(point.address, "")) for point in _cut_points(given))


def _cut_points(given: Given) -> list[Point]:
    """The contacts of the old plug whose wires the job cut."""
    cut = [end.name for end in cut_ends(given)]
    return [p for p in given.harness.points.values() if p.owner in cut and _was_cut(given, p)]


def _was_cut(given: Given, point: Point) -> bool:
    """Whether the job cut a cavity's wire."""
    if given.harness.circuits_at(point.address):
        circuits = given.circuits([point.address])
        return not any(given.refused_points(circuit) for circuit in circuits)
    entry = given.job.not_joined.get(point.address)
    return entry is not None and entry.treat == "cap" and point in given.treated("cap")


def _wire(given: Given, point: Point, volts: str) -> tuple[str, ...]:
    """The cells of one row."""
    cavity = point.cavity
    assert cavity is not None
    made = "tied back"
    circuits = given.harness.circuits_at(point.address)
    if circuits:
        circuit, *_ = circuits
        made = listed(next(iter(joints_of(given, [point.address])), ""), circuit)
    return (point.address, wire_words(cavity.wire), signal_words(point), made, volts)


def _volts_of(given: Given) -> dict[str, str]:
    """What the survey wants at each contact, the ignition off and on."""
    rows = given.survey.block(Quantity.VOLTS) if given.survey else ()
    bands: dict[str, dict[OnOff | None, str]] = {}
    for row in rows:
        if row.state is None:
            wanted = band_later(given, row) or row
            band = volts_band(wanted.low, wanted.high).removesuffix(" V")
            bands.setdefault(row.red, {})[row.key] = f"S{row.n}" if band == NOTE else band
    return {red: _off_and_on(by_key) for red, by_key in bands.items()}


def _off_and_on(by_key: Mapping[OnOff | None, str]) -> str:
    """Both bands of a contact, once where they are the same."""
    off, on = by_key.get(OnOff.OFF, UNREAD), by_key.get(OnOff.ON, UNREAD)
    return off if off == on else f"{off} | {on}"


# -- afterwards -----------------------------------------------------------------------------------


def _afterwards(given: Given) -> Iterator[Step]:
    """What is read while the machine's plug is still open; then what belongs on it, and tried."""
    if cut_ends(given):
        yield Step(text=GUARD_LIFTED if guard_loops(given.job) else EACH_BEEPS)
    yield from fed_again(given)
    if cut_ends(given) and _volts_of(given):
        rows = given.survey.block(Quantity.VOLTS) if given.survey else ()
        noted = any(is_noted(given, row) for row in rows if row.state is None)
        yield Step(text=f"{'; '.join((AS_ROWS, OF_ROWS) if noted else (AS_ROWS,))}.")
    yield from _mated_again(given)
    yield Step(text=LAST, slot=Slot.LINE)


def _mated_again(given: Given) -> Iterator[Step]:
    """The old unit on the plug that was cut, or what was pulled off on the machine's own; tried."""
    plugs = [end.name for end in cut_ends(given)]
    mated = "old unit mated"
    if not plugs:
        plugs = [end.name for end in given.surveyed_ends if end.kind == EndKind.MATE]
        mated = f"what was pulled off mated again, or sealed, a {PLUG} in each open cavity"
    if plugs:
        off = "lamp and leads away, ignition and battery off"
        yield Step(at=listed(*plugs), text=f"{off}; {mated}")
    guards = "; what its guard stops stands still" if guard_loops(given.job) else ""
    yield Step(
        text="Battery on, blocks away, pressure back, everyone clear, ignition on: what the old "
        f"unit did, it does again, each by itself{guards}."
    )


PAGE = Page(key="way-back", stage=Stage.HANDING_OVER, make=way_back_section, order=8)
