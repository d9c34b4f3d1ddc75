"""How a harness lies: the runs between datums, and the circuits that share a twist."""

from __future__ import annotations

from collections.abc import Collection

from wiremap.files import values, yamltext
from wiremap.files.ends import ANY_MM, LENGTH_MM
from wiremap.files.faults import Faults
from wiremap.files.hints import short
from wiremap.files.left_out import note_unknown_circuit
from wiremap.files.strict import Map, Node
from wiremap.files.values import NAME, NAMES, TEXT, FileValue, Table, read_map, stated
from wiremap.model import KeepOut, Run, Twist

KEEP_OUT: Table = {"from": ANY_MM, "to": ANY_MM, "why": TEXT}


def _keep_outs(faults: Faults, node: Node, key: str) -> tuple[KeepOut, ...]:
    found = []
    for item in values.items(faults, node, "`keep_out`"):
        got = read_map(faults, item, KEEP_OUT, "an entry of `keep_out`", required=("from", "to"))
        if "from" not in got or "to" not in got:
            continue
        if got["from"] > got["to"]:
            message = "`keep_out` runs from high to low"
            faults.add("wrong-value", message, item, "Exchange `from` and `faults`.")
        found.append(KeepOut(got["from"], got["to"], got.get("why", "")))
    return tuple(found)


def _keep_outs_text(stretches: tuple[KeepOut, ...]) -> str:
    return yamltext.row(map(_keep_out_text, stretches))


def _keep_out_text(stretch: KeepOut) -> str:
    pairs = [
        ("from", yamltext.figure(stretch.from_mm)),
        ("to", yamltext.figure(stretch.to_mm)),
    ]
    if stretch.why:
        pairs.append(("why", yamltext.word(stretch.why)))
    return yamltext.flow(pairs)


RUN: Table = {
    "between": FileValue(values.two_names, yamltext.words),
    "mm": LENGTH_MM,
    "keep_out": FileValue(_keep_outs, _keep_outs_text),
}
TWIST: Table = {"circuits": NAMES, "drain": NAME, "mm": LENGTH_MM, "untwisted_mm": ANY_MM}


def read_runs(faults: Faults, node: Node, ends: Collection[str]) -> tuple[Run, ...]:
    """The distances between the datums of ends."""
    several = [node] if isinstance(node, Map) else values.items(faults, node, "`runs`")
    found = []
    for item in several:
        got = read_map(faults, item, RUN, "a run", required=("between",))
        if "between" not in got:
            continue
        one, other = got.pop("between")
        for word in (one, other):
            if word not in ends:
                message = f"`runs` names `{short(word)}`, which is no end of this job"
                faults.unlike("bad-reference", message, item, word, ends)
        got.setdefault("mm", None)
        found.append(Run(a=one, b=other, place=faults.place(item), **got))
    return tuple(found)


def read_twists(faults: Faults, node: Node, ids: Collection[str]) -> dict[str, Twist]:
    """The twists by their names; `ids` are the job's circuits."""
    found: dict[str, Twist] = {}
    for key, value in values.entries(faults, node, "`twists`"):
        faults.where = f"twist {short(key.text, 40)}"
        got = read_map(faults, value, TWIST, "a twist", required=("circuits",))
        named = list(got.get("circuits", ()))
        if "drain" in got:
            named.append(got["drain"])
        for circuit in named:
            note_unknown_circuit(faults, circuit, ids, value, "a twist")
        if "circuits" in got:
            found[key.text] = Twist(name=key.text, place=faults.place(value), **got)
    faults.where = ""
    return found


def run_text(run: Run) -> str:
    """A run as its text in a file."""
    between = ("between", yamltext.words((run.a, run.b)))
    return yamltext.flow([between, *stated(run, RUN)])
