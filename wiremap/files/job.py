"""From a job file's tree to the model: each section is read by a module of its own."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from wiremap.files import values
from wiremap.files.circuits import Circuits
from wiremap.files.contacts import LIMIT_C
from wiremap.files.ends import Ends, FindPinout
from wiremap.files.faults import Faults
from wiremap.files.layout import read_runs, read_twists
from wiremap.files.left_out import read_confirmed, read_not_joined
from wiremap.files.lookalikes import remark_twins
from wiremap.files.parts import read_extras
from wiremap.files.strict import Document, Map, Node, Scalar
from wiremap.files.values import FLAG, LATER, NAME, TEXT, FileValue, Table, read_map
from wiremap.files.wires import WireReader
from wiremap.model import Circuit, Extra, Job, Notebook, Supply, Surroundings, frozen
from wiremap.trade.colours import SYSTEMS

FindNotebook = Callable[[Faults, Node], Notebook | None]

_VOLTS = values.number(0, 2000, "V", above=True)
SUPPLY: Table = {
    "volts": _VOLTS,
    "min_volts": values.number(0, 2000, "V"),
    "max_volts": _VOLTS,
    "drop_percent": values.number(0, 50, "%"),
    "drop_stop_percent": values.number(0, 50, "%"),
}
RISING = ("min_volts", "volts", "max_volts")
SURROUNDINGS: Table = {
    "ambient_C": values.number(-60, 250, "C"),
    "wet": FLAG,
    "moves": NAME,
    "bundle": values.whole(1, 1000),
    "limit_C": LIMIT_C,
}


def _supply(faults: Faults, node: Node, key: str) -> Supply | None:
    if isinstance(node, Scalar):
        volts = _VOLTS.read(faults, node, "supply")
        return None if volts is None else Supply(volts=volts, place=faults.place(node))
    got = read_map(faults, node, SUPPLY, "`supply`")
    rising = [got[name] for name in RISING if name in got]
    if rising != sorted(rising):
        message = "`min_volts`, `volts` and `max_volts` must rise in this order"
        faults.add("wrong-value", message, node, "Check the three figures.")
    return Supply(**got, place=faults.place(node))


JOB: Table = {
    "wiremap": NAME,
    "title": NAME,
    "id": NAME,
    "revision": values.whole(0, 1_000_000),
    "withdrawn": TEXT,
    "letters": values.one_word(*SYSTEMS),
    "supply": FileValue(_supply),
    "surroundings": values.record(SURROUNDINGS, Surroundings),
    "ends": LATER,
    "runs": LATER,
    "twists": LATER,
    "extras": LATER,
    "circuits": LATER,
    "not_joined": LATER,
    "confirmed": LATER,
    "readings": LATER,
}


class JobBuilder:
    """Builds one job; pinouts and notebooks come through two callables, so that files are opened
    elsewhere.
    """

    def __init__(
        self, document: Document, faults: Faults, pinout: FindPinout, notebook: FindNotebook
    ) -> None:
        self.document = document
        self.faults = faults
        self.ends = Ends(faults, pinout)
        self.find_notebook = notebook

    def build(self, default_title: str) -> Job | None:
        """The job, or None with faults left behind."""
        faults, root = self.faults, self.document.root
        assert isinstance(root, Map)
        got = read_map(faults, root, JOB, "a job", required=("ends",))
        got.pop("wiremap", None)
        got.setdefault("title", default_title)
        wires = WireReader(got.pop("letters", None))
        if "ends" in got:
            self.ends.read(got["ends"])
        got["ends"] = frozen(self.ends.found)
        extras: dict[str, Extra] = {}
        if "extras" in got:
            extras = read_extras(faults, got["extras"], self.ends.named)
            got["extras"] = frozen(extras)
        remark_twins(faults, [(word, root) for word in (*self.ends.found, *extras)], "the names")
        circuits: tuple[Circuit, ...] = ()
        if "circuits" in got:
            circuits = Circuits(faults, self.ends.named, wires).read(got["circuits"])
        got["circuits"] = circuits
        self._rest(got, {circuit.id for circuit in circuits})
        job = Job(path=self.document.shown, place=faults.place(root), **got)
        return None if faults.failed else job

    def _rest(self, got: dict[str, Any], ids: set[str]) -> None:
        """What speaks of ends and circuits, read in place of its nodes."""
        faults, ends = self.faults, self.ends
        if "not_joined" in got:
            left = read_not_joined(faults, got["not_joined"], ends.found, ends.named)
            got["not_joined"] = frozen(left)
        if "confirmed" in got:
            got["confirmed"] = read_confirmed(faults, got["confirmed"], ids)
        if "runs" in got:
            got["runs"] = read_runs(faults, got["runs"], ends.named)
        if "twists" in got:
            got["twists"] = frozen(read_twists(faults, got["twists"], ids))
        if "readings" in got:
            got["notebooks"] = self._notebooks(got.pop("readings"))

    def _notebooks(self, node: Node) -> tuple[Notebook, ...]:
        faults = self.faults
        several = [node] if isinstance(node, Scalar) else values.items(faults, node, "`readings`")
        found = [self.find_notebook(faults, item) for item in several]
        return tuple(notebook for notebook in found if notebook is not None)
