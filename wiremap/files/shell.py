"""The shell of a connector: its face, what its contacts accept, and which half the paper shows."""

from __future__ import annotations

from typing import Any

from wiremap.files import values, yamltext
from wiremap.files.contacts import ACCEPTED, PLATING
from wiremap.files.faults import Faults, empty
from wiremap.files.hints import short
from wiremap.files.ranges import MAX_CAVITIES
from wiremap.files.shell_words import says_sealed
from wiremap.files.strict import Map, Node, Scalar
from wiremap.files.values import FLAG, NAME, FileValue, Table, read_map
from wiremap.model import Connector, Contacts, Face, Half, KeyAt, KeyShape, LookedAt

Row = tuple[str | None, ...]


def _rows(faults: Faults, node: Node, key: str) -> tuple[Row, ...] | None:
    seen: set[str] = set()
    rows = []
    for row in values.items(faults, node, "`rows`"):
        rows.append(_row(faults, row, seen))
    if len(seen) > MAX_CAVITIES:
        message = f"a face of more than {MAX_CAVITIES:,} cavities"
        faults.add("over-limit", message, node, "Check the rows.")
        return None
    if not seen and not faults.findings:
        fix = "Write `rows: [[1, 2, 3], [4, 5, 6]]`."
        faults.add("wrong-value", "`rows` shows no cavity", node, fix)
        return None
    return tuple(rows)


def _row(faults: Faults, node: Node, seen: set[str]) -> Row:
    """One row of a face; a gap is None."""
    cells: list[str | None] = []
    for cell in values.items(faults, node, "each of `rows`"):
        if isinstance(cell, Scalar) and (empty(cell) or cell.text == "-"):
            cells.append(None)
            continue
        name = values.name(faults, cell, "rows")
        if name is None:
            continue
        if name in seen:
            message = f"`rows` shows cavity `{short(name)}` twice"
            faults.add("wrong-value", message, cell, "Each cavity has one place.")
        seen.add(name)
        cells.append(name)
    return tuple(cells)


def _rows_text(rows: tuple[Row, ...]) -> str:
    return yamltext.row(_row_text(row) for row in rows)


def _row_text(row: Row) -> str:
    return yamltext.row("~" if name is None else yamltext.cell(name) for name in row)


FACE: Table = {
    "view": values.one_of(LookedAt),
    "key": values.one_of(KeyAt),
    "key_shape": values.one_of(KeyShape),
    "key_by": NAME,
    "rows": FileValue(_rows, _rows_text),
}


def _face(faults: Faults, node: Node, key: str) -> Face | None:
    got = read_map(faults, node, FACE, "`face`", required=("rows",))
    if isinstance(node, Map) and "view" not in node.entries:
        faults.add(
            "missing-key",
            "`face` does not say from which side it is drawn",
            node,
            "Add `view: mating` (you look at the side that plugs in) or `view: wire-entry` (where "
            "the wires go in); if nobody knows, leave the face out until somebody has looked.",
            why="The two views are mirror images; reading one for the other is the commonest cause "
            "of miswiring.",
        )
    if "view" not in got or "rows" not in got:
        return None
    face = Face(**got, place=faults.place(node))
    if face.key_by is not None and face.key_by not in face.names:
        faults.add(
            "wrong-value",
            f"`key_by` names {face.key_by}, which is not on the face",
            node,
            "Name the cavity beside which the keyway sits, as it stands in `rows`.",
        )
    return face


SHELL: Table = {
    "shell": NAME,
    "contacts": values.one_of(Contacts),
    "sealed": FLAG,
    "plating": PLATING,
    "face": FileValue(_face, lambda face: yamltext.flow(values.stated(face, FACE))),
    "accepts": ACCEPTED,
}


def _shell(faults: Faults, node: Node, key: str) -> dict[str, Any]:
    """Keyword arguments of a `Connector`, as the paper shows them."""
    return read_map(faults, node, SHELL, "`connector`") | {"place": faults.place(node)}


CONNECTOR = FileValue(_shell)


def connector_of(faults: Faults, shell: dict[str, Any], root: Map, half: Half | None) -> Connector:
    """The wired half of a connector, whichever half the paper shows.

    `shell` are the keyword arguments of a `Connector` as the paper shows it.
    """
    node = root.entries["connector"][1] if "connector" in root.entries else None
    drawn = isinstance(node, Map) and "face" in node.entries
    if node is not None and drawn and "half" not in root.entries:
        faults.add(
            "missing-key",
            "a face is given but not which half it shows",
            node,
            "Add `half: wired` (the half that carries the wires) or `half: unit` (the unit's own "
            "header).",
            why="The two halves of a connector are mirror images of each other.",
        )
    if "sealed" not in shell and says_sealed(shell.get("shell", "")):
        shell["sealed"] = True
    connector = Connector(**shell)
    return connector.other_half() if half is Half.UNIT else connector
