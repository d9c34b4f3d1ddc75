"""Volts lost from a job's feeds to the units they supply, along the real way and back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from wiremap.graph import Harness, Net, Point
from wiremap.model import Fed
from wiremap.sizing.around import Around
from wiremap.sizing.feed_parts import NOT_ADDED, Drop, drop_limits
from wiremap.sizing.load import Loads, Missing, electrical_class
from wiremap.sizing.paths import MeasuredWays, PathPart, milliohm
from wiremap.sizing.returns import Returns
from wiremap.sizing.series import DIODE, diode_volts
from wiremap.sizing.sized import MEMORY, Origin, OutOfRange, Sized, Value, source_title, weakest

SHARE = "U / nominal volts x 100"


class Drops:
    """Works out the drops of one job; what cannot be is added to `missing`."""

    def __init__(
        self,
        harness: Harness,
        loads: Loads,
        ways: MeasuredWays,
        around: Around,
        missing: list[Missing],
    ) -> None:
        self.harness = harness
        self.loads = loads
        self.ways = ways
        self.returns = Returns(harness, ways)
        self.around = around
        self.missing = missing

    def of_feed(self, source: Point, fed: Fed, metal: Net) -> Iterator[Drop]:
        """The drop to every supply contact of a unit that one feed supplies."""
        for address in metal.points:
            load = self.harness.points[address]
            if load.cavity is None or load.is_machine:
                continue
            if electrical_class(load.function) == "supply":
                drop = self._known(source, fed, load)
                if drop is not None:
                    yield drop

    def _known(self, source: Point, fed: Fed, load: Point) -> Drop | None:
        amps = self.loads.point_amps(load)
        address = load.address
        if amps is None:
            lack = Missing(address, "its amps are not stated", "the drop to it", load.place)
        elif not self.around.volts:
            lack = Missing("supply", "its volts are not stated", f"the drop to {address}")
        else:
            try:
                return self._drop(source, fed, load, amps, self.around.volts)
            except OutOfRange as reason:
                lack = Missing(address, str(reason), "the drop to it", fed.place)
        self.missing.append(lack)
        return None

    def _drop(self, source: Point, fed: Fed, load: Point, amps: float, volts: float) -> Drop:
        shared = self.loads.net_amps(self.loads.bench.of(source.address)) or amps
        before = list(self.ways.source(source, fed, shared))
        out = list(self._out(source, fed, load, amps, shared))
        back = self.ways.back(load, fed, amps)
        grounds_ohms = self.returns.parallel_ohms(load, fed)
        grounds_together = None
        if grounds_ohms is not None:
            to_load = sum(stretch.volts_20C for stretch in (*before, *out))
            grounds_together = to_load + shared * grounds_ohms
        total = [*before, *out, *(out if back is None else back)]
        results = list(self._results(total, volts, grounds_together))
        without_loom = fed.length_mm is None and not source.is_tap
        if without_loom:
            reason = f"the length of the feed to {source.address} is not stated"
            blocks = f"the machine's own share of the drop to {load.address}"
            self.missing.append(Missing(load.address, reason, blocks, fed.place))
        lines = _assumptions(total, without_loom=without_loom, without_return=back is None)
        inputs = (("volts", volts), ("amps", amps), ("ambient_C", self.around.ambient_C))
        return Drop(
            feed=source.address,
            load=load.address,
            amps=amps,
            part_amps=tuple(sorted({part.amps for part in total if part.kind not in NOT_ADDED})),
            volts=volts,
            out=(*before, *out),
            back=back or (),
            limits=drop_limits(self.harness.job.supply),
            sized=Sized(results=tuple(results), inputs=inputs, assumptions=lines),
        )

    def _out(
        self, source: Point, fed: Fed, load: Point, amps: float, shared: float
    ) -> Iterator[PathPart]:
        """What follows the source: loom, upstream fuse, the job's wires and the load's contact."""
        if fed.length_mm is not None:
            yield from self.ways.upstream(source, fed, shared)
        rating = fed.fuse_amps or fed.found_amps
        if rating is not None:
            name = fed.fuse or "upstream fuse"
            yield self.ways.fuse(name, rating, shared, kind="upstream fuse")
        skip = "" if fed.length_mm is None else source.address
        yield from self.ways.along(source.address, load.address, amps, skip_tail_of=skip)
        yield self.ways.contact(load, amps)

    def _results(
        self, ways: Sequence[PathPart], volts: float, grounds_together: float | None
    ) -> Iterator[Value]:
        """The volts lost on all ways out and back, and their shares; `grounds_together` has them
        with all grounds of the unit side by side, if it has several.
        """
        origin = _origin(ways)
        hot = sum(stretch.volts_hot for stretch in ways)
        cold = sum(stretch.volts_20C for stretch in ways)
        loom = sum(stretch.volts_20C for stretch in ways if stretch.kind == "loom")
        at = f"in {self.around.ambient_C:g} C ambient, at running temperature"
        formula = "sum of I R of source, loom, fuse, joints, contacts and wires, out and back"
        yield from _with_percent(origin.value("drop", hot, "V", f"{formula}, {at}"), volts)
        copper = f"{formula}, copper at 20 C"
        yield from _with_percent(origin.value("drop_20C", cold, "V", copper), volts)
        low = self.around.low_volts
        worst = hot * volts / low / low * 100
        formula = f"at the lowest {low:g} V, for a load that keeps its watts"
        yield origin.value("drop_worst_percent", worst, "%", formula)
        if loom:
            formula = "of it the machine's own loom, out and back, at 20 C"
            yield from _with_percent(origin.value("loom_drop_20C", loom, "V", formula), volts)
        own = sum(stretch.volts_hot for stretch in ways if stretch.kind not in NOT_ADDED)
        formula = "what the job adds: its wires, joints, contacts and fuses, at running temperature"
        yield from _with_percent(origin.value("job_drop", own, "V", formula), volts)
        if grounds_together is not None:
            formula = "the same with all grounds of the unit side by side, as it ties them inside"
            yield origin.value("drop_20C_grounds_together", grounds_together, "V", formula)


def _with_percent(lost: Value, nominal_volts: float) -> Iterator[Value]:
    """Volts lost, and their share of the nominal ones."""
    yield lost
    percent = float(lost.value) / nominal_volts * 100
    yield replace(lost, name=f"{lost.name}_percent", value=percent, unit="%", formula=SHARE)


def _assumptions(
    ways: Sequence[PathPart], *, without_loom: bool, without_return: bool
) -> tuple[str, ...]:
    contact, joint = milliohm("contact"), milliohm("joint")
    lines = [f"contacts {contact:g} mohm, joints {joint:g} mohm each, the most expected"]
    if without_loom:
        lines.append("the loom's length is not stated: its share is left out")
    for stretch in ways:
        if stretch.kind == DIODE:
            kept = f"{stretch.name} keeps {diode_volts():g} V (common practice)"
            lines.append(f"{kept}: in the drop, not in what the job's wires add")
    if without_return:
        lines.append("no return was found: taken like the way out")
    return tuple(lines)


def _origin(ways: Sequence[PathPart]) -> Origin:
    sources = {}
    statuses = ["computed", MEMORY]
    for stretch in ways:
        if stretch.cable is not None:
            sources[stretch.cable.source] = True
            statuses.append(stretch.cable.status)
    sources[source_title("drop.toml", "contact-manual")] = True
    return Origin("; ".join(sources), weakest(*statuses))
