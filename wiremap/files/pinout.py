"""From a pinout file's tree to the model: shell, face, links, switches; the cavities are read by their own module."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from typing import Any

from wiremap.files import fields
from wiremap.files.cavities import (
    MAX_CAVITIES,
    OHMS,
    Cavities,
    read_accepts,
    read_basis,
    read_leaflet,
)
from wiremap.files.fields import Reading, Table
from wiremap.files.hints import short
from wiremap.files.strict import Document, Map, Node, Scalar, Seq
from wiremap.model import (
    CHASSIS,
    Cavity,
    Connector,
    Contacts,
    Face,
    Half,
    KeyAt,
    Link,
    LookedAt,
    OnOff,
    Pinout,
    Plating,
    Source,
    Switch,
    frozen,
)
from wiremap.trade.colours import SYSTEMS

_SEALED = re.compile(r"(?<!un)(?<!not )\bsealed\b(?! off)", re.IGNORECASE)


_LINK: Table = {"between": fields.two_names, "ohms": OHMS, "when": fields.name}
_SWITCH: Table = {
    "between": fields.two_names,
    "ohms": fields.number(0, 1e9, "ohm", above=True),
    "delivered": fields.one_of(*OnOff),
}
_SOURCE: Table = {"name": fields.name, "basis": read_basis}
_FACE: Table = {
    "view": fields.one_of(*LookedAt),
    "key": fields.one_of(*KeyAt),
    "rows": lambda to, node, key: _rows(to, node),
}
_CONNECTOR: Table = {
    "shell": fields.name,
    "contacts": fields.one_of(*Contacts),
    "sealed": fields.flag,
    "plating": fields.one_of(*Plating),
    "face": lambda to, node, key: _face(to, node),
    "accepts": read_accepts,
}


def _rows(to: Reading, node: Node) -> tuple[tuple[str | None, ...], ...] | None:
    rows: list[tuple[str | None, ...]] = []
    seen: set[str] = set()
    for row in fields.items(to, node, "`rows`"):
        cells: list[str | None] = []
        for cell in fields.items(to, row, "each of `rows`"):
            if isinstance(cell, Scalar) and (fields.empty(cell) or cell.text == "-"):
                cells.append(None)
                continue
            found = fields.name(to, cell, "rows")
            if found is not None and found in seen:
                to.fault(
                    "wrong-value",
                    f"`rows` shows cavity `{short(found)}` twice",
                    cell,
                    "Each cavity has one place.",
                )
            if found is not None:
                seen.add(found)
                cells.append(found)
        rows.append(tuple(cells))
    if len(seen) > MAX_CAVITIES:
        to.fault(
            "over-limit", f"a face of more than {MAX_CAVITIES:,} cavities", node, "Check the rows."
        )
        return None
    if not seen and not to.findings:
        to.fault(
            "wrong-value", "`rows` shows no cavity", node, "Write `rows: [[1, 2, 3], [4, 5, 6]]`."
        )
        return None
    return tuple(rows)


def _face(to: Reading, node: Node) -> Face | None:
    got = fields.read_map(to, node, _FACE, "`face`", required=("rows",))
    if isinstance(node, Map) and "view" not in node.entries:
        to.fault(
            "missing-key",
            "`face` does not say from which side it is drawn",
            node,
            "Add `view: mating` (you look at the side that plugs in) or `view: wire-entry` (where the wires go in); "
            "if nobody knows, leave the face out until somebody has looked.",
            "The two views are mirror images; reading one for the other is the commonest cause of miswiring.",
        )
    if "view" not in got or "rows" not in got:
        return None
    return Face(got["view"], got["rows"], key=got.get("key"), place=to.place(node))


def _links(to: Reading, node: Node, key: str) -> tuple[Link, ...]:
    links = []
    for item in fields.items(to, node, f"`{key}`"):
        got = fields.read_map(to, item, _LINK, f"an entry of `{key}`", required=("between", "ohms"))
        if "between" in got and "ohms" in got:
            a, b = got["between"]
            if a == CHASSIS:
                a, b = b, a
            links.append(
                Link(a=a, b=b, ohms=got["ohms"], when=got.get("when"), place=to.place(item))
            )
    return tuple(links)


def _segments(to: Reading, node: Node, key: str) -> Mapping[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    owner: dict[str, str] = {}
    for key_node, value in fields.entries(to, node, "`segments`"):
        members = fields.names(to, value, key_node.text) or ()
        for member in members:
            if member in owner:
                to.fault(
                    "wrong-value",
                    f"cavity `{short(member)}` stands in segments `{short(owner[member])}` and "
                    f"`{short(key_node.text)}`",
                    value,
                    "One cavity belongs to one segment.",
                )
            owner[member] = key_node.text
        found[key_node.text] = members
    return frozen(found)


def _bridges(to: Reading, node: Node, key: str) -> tuple[tuple[str, str], ...]:
    pairs = (fields.two_names(to, item, key) for item in fields.items(to, node, "`bridges`"))
    return tuple(pair for pair in pairs if pair is not None)


def _switches(to: Reading, node: Node, key: str) -> Mapping[str, Switch]:
    found: dict[str, Switch] = {}
    for key_node, value in fields.entries(to, node, "`switches`"):
        got = fields.read_map(
            to, value, _SWITCH, f"switch `{short(key_node.text)}`", required=("between", "ohms")
        )
        if "between" in got and "ohms" in got:
            a, b = got["between"]
            found[key_node.text] = Switch(
                name=key_node.text,
                a=a,
                b=b,
                ohms=got["ohms"],
                delivered=got.get("delivered"),
                place=to.place(value),
            )
    return frozen(found)


def _source(to: Reading, node: Node, key: str) -> dict[str, Any] | None:
    """What `source` says: keyword arguments of a `Source`; a basis only where it states one."""
    if isinstance(node, Scalar):
        alone = fields.name(to, node, key)
        return None if alone is None else {"name": alone, "place": to.place(node)}
    return fields.read_map(to, node, _SOURCE, "`source`") | {"place": to.place(node)}


_PINOUT: Table = {
    "wiremap": fields.name,
    "title": fields.name,
    "id": fields.name,
    "revision": fields.whole(0, 1_000_000),
    "withdrawn": fields.text,
    "letters": fields.one_of(*SYSTEMS),
    "half": fields.one_of(*Half),
    "basis": read_basis,
    "connector": lambda to, node, key: (
        fields.read_map(to, node, _CONNECTOR, "`connector`") | {"place": to.place(node)}
    ),
    "source": _source,
    "leaflet": read_leaflet,
    "cavities": lambda to, node, key: (
        node
    ),  # read last, when letters, basis and connector are known
    "inside": _links,
    "behind": _links,
    "segments": _segments,
    "bridges": _bridges,
    "switches": _switches,
}


def build_pinout(document: Document, to: Reading, default_title: str) -> Pinout | None:
    """The pinout that a tree describes; faults are left with `to`, and any fault means no pinout."""
    root = document.root
    assert isinstance(root, Map)
    got = fields.read_map(to, root, _PINOUT, "a pinout", required=("cavities",))
    shell: dict[str, Any] = got.get("connector", {})
    face: Face | None = shell.get("face")
    half = got.get("half")
    shell_node = root.entries["connector"][1] if "connector" in root.entries else None
    drawn = isinstance(shell_node, Map) and "face" in shell_node.entries
    if drawn and half is None and "half" not in root.entries:
        to.fault(
            "missing-key",
            "a face is given but not which half it shows",
            root.entries["connector"][1],
            "Add `half: wired` (the half that carries the wires) or `half: unit` (the unit's own header).",
            "The two halves of a connector are mirror images of each other.",
        )
    if half == "unit":
        contacts: Contacts | None = shell.get("contacts")
        shell["contacts"] = contacts and contacts.other
        shell["face"] = face and face.mirrored()
    if "sealed" not in shell and _SEALED.search(shell.get("shell", "")):
        shell["sealed"] = True
    connector = Connector(**shell)
    source = _document_source(got, to, root)
    cavities: Mapping[str, Cavity] = frozen()
    if "cavities" in got:
        cavities = Cavities(to, got.get("letters"), connector, source).read(got["cavities"])
    pinout = Pinout(
        title=got.get("title", default_title),
        path=document.shown,
        cavities=cavities,
        connector=connector,
        letters=got.get("letters"),
        half=half,
        source=source,
        inside=got.get("inside", ()),
        behind=got.get("behind", ()),
        segments=got.get("segments", frozen()),
        bridges=got.get("bridges", ()),
        switches=got.get("switches", frozen()),
        leaflet=got.get("leaflet"),
        id=got.get("id"),
        revision=got.get("revision"),
        withdrawn=got.get("withdrawn"),
        place=to.place(root),
        digest=document.text.sha256[:12] if document.text else "",
    )
    if cavities and not to.failed:
        _references(to, pinout, root)
    return None if to.failed else pinout


def _document_source(got: Mapping[str, Any], to: Reading, root: Map) -> Source:
    stated: dict[str, Any] = got.get("source", {})
    basis = got.get("basis")
    if basis and basis != stated.setdefault("basis", basis):
        to.fault(
            "wrong-value",
            f"`basis` is `{basis}` here and `{stated['basis']}` under `source`",
            root.entries["basis"][1],
            "Keep one of the two.",
        )
    return Source(**stated)


def _references(to: Reading, pinout: Pinout, root: Map) -> None:
    """Links, segments, switches and returns may only name cavities that the file has."""
    known = pinout.cavities

    def need(point: str, node: Node, what: str, also: Collection[str] = ()) -> None:
        if point not in known and point not in also:
            guess = fields.did_you_mean(point, known)
            to.fault(
                "bad-reference",
                f"{what} names `{short(point)}`, which is no cavity here"
                + (f"; {guess}" if guess else ""),
                node,
                "" if guess else "Name one of the cavities of this file.",
            )

    for key in ("inside", "behind"):
        node = root.entries[key][1] if key in root.entries else None
        for link, item in zip(
            getattr(pinout, key), node.items if isinstance(node, Seq) else (), strict=False
        ):
            for point in (link.a, link.b):
                need(point, item, f"`{key}`", (CHASSIS,))
    for name, members in pinout.segments.items():
        for point in members:
            need(point, root.entries["segments"][1], f"segment `{short(name)}`")
    for bridge in pinout.bridges:
        for segment in bridge:
            if segment not in pinout.segments:
                to.fault(
                    "bad-reference",
                    f"`bridges` names `{short(segment)}`, which is no segment here",
                    root.entries["bridges"][1],
                    "Bridges join names given under `segments`.",
                )
    for switch in pinout.switches.values():
        for point in (switch.a, switch.b):
            need(point, root.entries["switches"][1], f"switch `{short(switch.name)}`")
    cavities = root.entries["cavities"][1]
    for cavity in known.values():
        for point in cavity.serves:
            need(point, cavities, f"cavity {short(cavity.name)}: `serves`")
        for point in cavity.codes:
            need(point, cavities, f"cavity {short(cavity.name)}: `codes`", ("open", CHASSIS))
