"""What a job leaves out and who settled what: `not_joined` and `confirmed`."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from wiremap.files import values
from wiremap.files.circuits import address_of
from wiremap.files.faults import Faults, empty
from wiremap.files.hints import short
from wiremap.files.ranges import expand
from wiremap.files.strict import Node, Scalar, Seq
from wiremap.files.values import DATE, FINGERPRINT, NAME, TEXT, Table, read_map
from wiremap.model import Address, Confirmed, End, NotJoined, Treat

NOT_JOINED: Table = {"why": TEXT, "treat": values.one_of(Treat)}
CONFIRMED: Table = {"circuit": NAME, "by": NAME, "date": DATE, "how": TEXT, "of": FINGERPRINT}
MAX_POINTS = 200_000
CONFIRMED_KEYS = ("circuit", "by", "date", "how")


def read_not_joined(
    faults: Faults, node: Node, ends: Mapping[str, End], named: Collection[str]
) -> dict[Address, NotJoined]:
    """Every cavity left out on purpose; `named` are the names of all ends, read or not."""
    if isinstance(node, Seq):
        _refuse_list(faults, node)
        return {}
    found: dict[Address, NotJoined] = {}
    for key, value in values.entries(faults, node, "`not_joined`"):
        faults.where = f"not_joined {short(key.text, 40)}"
        if values.name(faults, key, "not_joined") is None:
            continue
        address = address_of(faults, key.text, key, named)
        if address is None:
            continue
        if faults.full or len(found) > MAX_POINTS:
            break
        got = _reason(faults, value)
        for point in _points(faults, key, address, ends):
            if point in found:
                message = f"`{short(point)}` stands here and in an earlier entry"
                faults.add("duplicate-key", message, key, "Keep one.")
            found[point] = NotJoined(point=point, place=faults.place(key), **got)
    faults.where = ""
    if len(found) > MAX_POINTS:
        message = f"`not_joined` names more than {MAX_POINTS:,} points"
        faults.add("over-limit", message, node, "Check the ranges.")
    return found


def _refuse_list(faults: Faults, node: Seq) -> None:
    """Note that points stand in a list, where none can have a reason; an empty one means none."""
    if node.items:
        message = "`not_joined` must name each point with its reason"
        fix = "Write `loom.14: {why: ..., treat: cap}`, one point a line."
        faults.add("wrong-value", message, node, fix)


def _reason(faults: Faults, value: Node) -> dict[str, Any]:
    """Why a cavity is left out, as a text alone or with its treatment."""
    if empty(value):
        return {}
    if not isinstance(value, Scalar):
        return read_map(faults, value, NOT_JOINED, "this entry")
    why = values.text(faults, value, "why")
    return {} if why is None else {"why": why}


def _points(
    faults: Faults, key: Scalar, address: Address, ends: Mapping[str, End]
) -> tuple[Address, ...]:
    """The points that a key names: itself, or each of a range of cavities."""
    if not address.cavity:
        return (address,)
    end = ends.get(address.end)
    literal = end.pinout.cavities if end else ()
    return tuple(
        Address(address.end, name) for name in expand(faults, key, literal, address.cavity)
    )


def read_confirmed(faults: Faults, node: Node, ids: Collection[str]) -> tuple[Confirmed, ...]:
    """What named persons have settled of circuits."""
    found = []
    for item in values.items(faults, node, "`confirmed`"):
        got = read_map(faults, item, CONFIRMED, "a settlement", required=CONFIRMED_KEYS)
        if "circuit" in got:
            note_unknown_circuit(faults, got["circuit"], ids, item, "`confirmed`")
        if got.keys() >= set(CONFIRMED_KEYS):
            found.append(Confirmed(place=faults.place(item), **got))
    return tuple(found)


def note_unknown_circuit(
    faults: Faults, circuit: str, ids: Collection[str], node: Node, what: str
) -> None:
    """Note a fault if the job has no such circuit."""
    if circuit in ids:
        return
    message = f"{what} names circuit `{short(circuit)}`, which is not in this job"
    guess = faults.did_you_mean(circuit, ids)
    if guess:
        faults.add("bad-reference", f"{message}; {guess}", node)
    else:
        fix = "A circuit is named by its id; without one, by its first point."
        faults.add("bad-reference", message, node, fix)
