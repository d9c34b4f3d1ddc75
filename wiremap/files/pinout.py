"""From a pinout file's tree to the model: the paper itself; shell and cavities have modules of
their own.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from wiremap.files import values
from wiremap.files.cavities import read_cavities
from wiremap.files.contacts import BASIS, LEAFLETS, OHMS
from wiremap.files.faults import Faults
from wiremap.files.hints import short
from wiremap.files.shell import CONNECTOR, connector_of
from wiremap.files.source import DIGITS
from wiremap.files.strict import Document, Map, Node, Scalar, Seq
from wiremap.files.values import LATER, NAME, TEXT, TWO_CELLS, FileValue, Table, read_map
from wiremap.model import CHASSIS, Cavity, Half, Link, OnOff, Pinout, Source, Switch, frozen
from wiremap.trade.colours import SYSTEMS

Segments = Mapping[str, tuple[str, ...]]

LINK: Table = {"between": TWO_CELLS, "ohms": OHMS, "when": NAME}
SWITCH: Table = {
    "between": TWO_CELLS,
    "ohms": values.number(0, 1e9, "ohm", above=True),
    "delivered": values.one_of(OnOff),
}
SOURCE: Table = {"name": NAME, "basis": BASIS}


def _links(faults: Faults, node: Node, key: str) -> tuple[Link, ...]:
    links = []
    for item in values.items(faults, node, f"`{key}`"):
        got = read_map(faults, item, LINK, f"an entry of `{key}`", required=("between", "ohms"))
        if "between" not in got or "ohms" not in got:
            continue
        one, other = got.pop("between")
        if one == CHASSIS:
            one, other = other, one
        links.append(Link(a=one, b=other, place=faults.place(item), **got))
    return tuple(links)


def _segments(faults: Faults, node: Node, key: str) -> Segments:
    found: dict[str, tuple[str, ...]] = {}
    owner: dict[str, str] = {}
    for key_node, value in values.entries(faults, node, "`segments`"):
        segment = key_node.text
        members = values.names(faults, value, segment) or ()
        for member in members:
            first = owner.get(member)
            if first is not None:
                message = (
                    f"cavity `{short(member)}` stands in segments `{short(first)}` "
                    f"and `{short(segment)}`"
                )
                faults.add("wrong-value", message, value, "One cavity belongs to one segment.")
            owner[member] = segment
        found[segment] = members
    return frozen(found)


def _bridges(faults: Faults, node: Node, key: str) -> tuple[tuple[str, str], ...]:
    pairs = [
        values.two_names(faults, item, key) for item in values.items(faults, node, "`bridges`")
    ]
    return tuple(pair for pair in pairs if pair is not None)


def _switches(faults: Faults, node: Node, key: str) -> Mapping[str, Switch]:
    found: dict[str, Switch] = {}
    for key_node, value in values.entries(faults, node, "`switches`"):
        name = key_node.text
        what = f"switch `{short(name)}`"
        got = read_map(faults, value, SWITCH, what, required=("between", "ohms"))
        if "between" in got and "ohms" in got:
            one, other = got.pop("between")
            found[name] = Switch(name=name, a=one, b=other, place=faults.place(value), **got)
    return frozen(found)


def _source(faults: Faults, node: Node, key: str) -> dict[str, Any] | None:
    """What `source` says: keyword arguments of a `Source`; a basis only where it states one."""
    if isinstance(node, Scalar):
        alone = values.name(faults, node, key)
        return None if alone is None else {"name": alone, "place": faults.place(node)}
    return read_map(faults, node, SOURCE, "`source`") | {"place": faults.place(node)}


PINOUT: Table = {
    "wiremap": NAME,
    "title": NAME,
    "id": NAME,
    "revision": values.whole(0, 1_000_000),
    "withdrawn": TEXT,
    "letters": values.one_word(*SYSTEMS),
    "half": values.one_of(Half),
    "basis": BASIS,
    "connector": CONNECTOR,
    "source": FileValue(_source),
    "leaflet": LEAFLETS,
    "cavities": LATER,  # read when letters, basis and connector are known
    "inside": FileValue(_links),
    "behind": FileValue(_links),
    "segments": FileValue(_segments),
    "bridges": FileValue(_bridges),
    "switches": FileValue(_switches),
}


def build_pinout(document: Document, faults: Faults, default_title: str) -> Pinout | None:
    """The pinout that a tree describes; faults are left with `faults`, and any fault means no
    pinout.
    """
    root = document.root
    assert isinstance(root, Map)
    got = read_map(faults, root, PINOUT, "a pinout", required=("cavities",))
    got.pop("wiremap", None)
    got.setdefault("title", default_title)
    connector = connector_of(faults, got.pop("connector", {}), root, got.get("half"))
    source = _document_source(faults, root, got.pop("source", {}), got.pop("basis", None))
    cavities: Mapping[str, Cavity] = frozen()
    if "cavities" in got:
        node = got.pop("cavities")
        cavities = read_cavities(faults, node, got.get("letters"), connector, source)
    pinout = Pinout(
        path=document.shown,
        cavities=cavities,
        connector=connector,
        source=source,
        place=faults.place(root),
        digest=document.text.sha256[:DIGITS] if document.text else "",
        **got,
    )
    if cavities and not faults.failed:
        _References(faults, pinout, root).check()
    return None if faults.failed else pinout


def _document_source(
    faults: Faults, root: Map, stated: dict[str, Any], basis: str | None
) -> Source:
    if basis and basis != stated.setdefault("basis", basis):
        message = f"`basis` is `{basis}` here and `{stated['basis']}` under `source`"
        faults.add("wrong-value", message, root.entries["basis"][1], "Keep one of the two.")
    return Source(**stated)


class _References:
    """Links, segments, switches and returns may only name cavities that the file has."""

    def __init__(self, faults: Faults, pinout: Pinout, root: Map) -> None:
        self.faults = faults
        self.pinout = pinout
        self.root = root

    def check(self) -> None:
        """Note every name that is no cavity, no segment."""
        self._links("inside", self.pinout.inside)
        self._links("behind", self.pinout.behind)
        self._segments()
        self._switches()
        self._cavities()

    def _node(self, key: str) -> Node:
        return self.root.entries[key][1]

    def _need(self, points: Collection[str], node: Node, what: str, *also: str) -> None:
        known = self.pinout.cavities
        for point in points:
            if point in known or point in also:
                continue
            message = f"{what} names `{short(point)}`, which is no cavity here"
            guess = self.faults.did_you_mean(point, known)
            if guess:
                self.faults.add("bad-reference", f"{message}; {guess}", node)
            else:
                fix = "Name one of the cavities of this file."
                self.faults.add("bad-reference", message, node, fix)

    def _links(self, key: str, links: tuple[Link, ...]) -> None:
        if not links:
            return
        listed = self._node(key)
        assert isinstance(listed, Seq)
        for link, item in zip(links, listed.items, strict=True):
            self._need((link.a, link.b), item, f"`{key}`", CHASSIS)

    def _segments(self) -> None:
        known = self.pinout.segments
        for name, members in known.items():
            self._need(members, self._node("segments"), f"segment `{short(name)}`")
        for bridge in self.pinout.bridges:
            for segment in bridge:
                if segment not in known:
                    message = f"`bridges` names `{short(segment)}`, which is no segment here"
                    fix = "Bridges join names given under `segments`."
                    self.faults.add("bad-reference", message, self._node("bridges"), fix)

    def _switches(self) -> None:
        for switch in self.pinout.switches.values():
            what = f"switch `{short(switch.name)}`"
            self._need((switch.a, switch.b), self._node("switches"), what)

    def _cavities(self) -> None:
        for cavity in self.pinout.cavities.values():
            if cavity.serves or cavity.codes:
                node, what = self._node("cavities"), f"cavity {short(cavity.name)}"
                self._need(cavity.serves, node, f"{what}: `serves`")
                self._need(cavity.codes, node, f"{what}: `codes`", "open", CHASSIS)
