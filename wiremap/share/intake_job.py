"""A job from a from/to list, with a bare pinout for each end that it names."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from wiremap.base import visible
from wiremap.files.dump import dump_job, dump_pinout
from wiremap.model import (
    Address,
    Basis,
    Cavity,
    Circuit,
    End,
    EndKind,
    Job,
    Pinout,
    Side,
    Source,
    frozen,
)
from wiremap.naming import read_signal
from wiremap.share.cells import FIRST_ROW, CellRow
from wiremap.share.names import file_stem
from wiremap.share.row_wire import row_wire
from wiremap.share.taking import Intake, IntakeKind, Taking

POINT = re.compile(r"([^\s.:/-]+)\s*[.:/-]\s*(\S(?:.*\S)?)")
FIELDS_USED = ("from", "to", "from_end", "to_end", "signal", "id", "colour", "size", "wire")


@dataclass
class ListSoFar:
    """What the list names so far: ends with their cavities, and the points that its rows join.

    `ids` holds the wire number of a row that begins at a point, `remarks` what has no field there.
    """

    ends: dict[str, dict[str, Cavity]] = field(default_factory=dict)
    joins: list[tuple[Address, Address]] = field(default_factory=list)
    ids: dict[str, str] = field(default_factory=dict)
    remarks: dict[str, list[str]] = field(default_factory=dict)

    def remark(self, point: Address, words: str) -> None:
        """Note something at a point."""
        self.remarks.setdefault(point, []).append(words)


def take_job(taking: Taking) -> Intake:
    """A job from all rows."""
    listed = ListSoFar()
    for row in taking.rows():
        _take_row(taking, listed, row)
    if taking.findings or not listed.joins:
        return taking.nothing()
    taking.tell_unsure()
    if any(cavity.wire for cavities in listed.ends.values() for cavity in cavities.values()):
        taking.assumed.append("the wire of a row is taken as the wire at both of its ends")
    circuits = [
        Circuit(id=name, join=points)
        for name, points in _named_circuits(listed, _gathered(listed.joins))
    ]
    return _files_of_job(taking, listed, circuits)


def _named_circuits(
    listed: ListSoFar, groups: Sequence[tuple[Address, ...]]
) -> Iterator[tuple[str, tuple[Address, ...]]]:
    """Each circuit with the first of its wire numbers that no other bears, else its first point."""
    taken: set[str] = set()
    for points in groups:
        names = [listed.ids[point] for point in points if point in listed.ids]
        name = next((each for each in names if each not in taken), str(points[0]))
        taken.add(name)
        yield name, points


def _take_row(taking: Taking, listed: ListSoFar, row: CellRow) -> None:
    before = len(taking.findings)
    points = [_point(taking, row, key) for key in ("from", "to")]
    if len(taking.findings) > before:
        return
    one, two = points
    if one is None or two is None:
        words = f"row {row.number}: from or to is empty"
        taking.wrong("wrong-point", words, row.number, "Fill it in, or delete the row.")
        return
    _note_contacts(taking, listed, row, (one, two))
    listed.joins.append((one, two))
    name = taking.columns.text(row, "id")
    if name:
        listed.ids.setdefault(one, name)
    used = {taking.columns.column_of.get(key) for key in FIELDS_USED}
    for words in taking.columns.unused(row, but=used):
        listed.remark(one, words)


def _note_contacts(
    taking: Taking, listed: ListSoFar, row: CellRow, points: tuple[Address, Address]
) -> None:
    """Note both contacts of a row; of one that an earlier row named, that row's signal stands."""
    first = points[0]
    signal = taking.columns.text(row, "signal")
    wire = row_wire(taking, row, None)
    if wire.left:
        listed.remark(first, wire.left)
    for point in points:
        cavities = listed.ends.setdefault(point.end, {})
        if point.cavity not in cavities:
            cavities[point.cavity] = Cavity(
                name=point.cavity,
                reading=read_signal(signal),
                signal=signal,
                wire=wire.wire,
                source=taking.path.name,
            )
        if signal and cavities[point.cavity].signal != signal:
            listed.remark(first, f"{point} is called {signal} as well")


def _point(taking: Taking, row: CellRow, key: str) -> Address | None:
    """The end and cavity of a cell; what is wrong with it is noted."""
    text = taking.name(row.at(taking.columns.column_of[key]), row, f"`{key}`")
    if not text:
        return None
    end = taking.columns.text(row, f"{key}_end")
    if end:
        return Address(re.sub(r"[.\s]+", "-", end), text)
    hit = POINT.fullmatch(text)
    if hit:
        return Address(hit.group(1), hit.group(2))
    taking.wrong(
        "wrong-point",
        f"row {row.number}: `{text}` names no end and cavity such as loom.1",
        row.number,
        "Write connector and pin with a dot between.",
    )
    return None


def _gathered(joins: Sequence[tuple[Address, Address]]) -> list[tuple[Address, ...]]:
    """Rows that share a point become one circuit, in the order of the rows."""
    group: dict[Address, dict[Address, None]] = {}
    for one, two in joins:
        large = group.setdefault(one, {one: None})
        small = group.setdefault(two, {two: None})
        if large is small:
            continue
        if len(large) < len(small):
            large, small = small, large
        large.update(small)
        group.update(dict.fromkeys(small, large))
    points = dict.fromkeys(point for pair in joins for point in pair)
    order = {point: number for number, point in enumerate(points)}
    circuits = {id(joined): joined for joined in group.values()}  # points of one share their dict
    ordered = [sorted(order[point] for point in joined) for joined in circuits.values()]
    by_order = list(points)
    return [tuple(by_order[number] for number in circuit) for circuit in sorted(ordered)]


def _files_of_job(taking: Taking, listed: ListSoFar, circuits: Sequence[Circuit]) -> Intake:
    """The files of a job: one for each end, and the job itself."""
    first, *_ = names = list(listed.ends)
    stems = {name: file_stem(name) for name in names}
    if len({stem.casefold() for stem in stems.values()}) < len(names):
        words = "two connectors of the list would be written into one file"
        taking.wrong("same-file", words, FIRST_ROW, "Rename one of them in the list.")
        return taking.nothing()
    taking.assumed.append(
        f"{first} is taken as the machine's cut tail, the other end as the unit's pigtail: "
        "correct it in the job"
    )
    ends = {}
    files = {}
    header = [f"Taken from {visible(taking.path.name)}: only what the list names."]
    for name in names:
        pinout = _pinout(taking, listed, name, path=f"{stems[name]}.yaml")
        ends[name] = _end(pinout, name, cut=name == first)
        files[pinout.path] = dump_pinout(pinout, header=header)
    job = Job(title=taking.title, path="job.yaml", ends=frozen(ends), circuits=tuple(circuits))
    stem = file_stem(taking.stem)
    if f"{stem}.yaml" in files:
        stem += "-job"
    comments = _comments(listed, circuits)
    files[f"{stem}.yaml"] = dump_job(job, header=taking.header(), comments=comments)
    return Intake(IntakeKind.JOB, files, tuple(taking.assumed))


def _pinout(taking: Taking, listed: ListSoFar, name: str, *, path: str) -> Pinout:
    """The pinout of one end: the contacts that the list names."""
    return Pinout(
        title=name,
        path=path,
        cavities=frozen(listed.ends[name]),
        letters=taking.letters,
        source=Source(taking.path.name, Basis.TOLD),
    )


def _comments(listed: ListSoFar, circuits: Sequence[Circuit]) -> dict[str, str]:
    """What the rows of a circuit say that no key of it holds, by its id."""
    comments = {}
    for circuit in circuits:
        remarks = [each for point in circuit.join for each in listed.remarks.get(point, ())]
        if remarks:
            comments[circuit.id] = "; ".join(remarks)
    return comments


def _end(pinout: Pinout, name: str, *, cut: bool) -> End:
    if cut:
        return End(name=name, pinout=pinout, kind=EndKind.CUT_TAIL, side=Side.MACHINE)
    return End(name=name, pinout=pinout, kind=EndKind.PIGTAIL, side=Side.UNIT)
