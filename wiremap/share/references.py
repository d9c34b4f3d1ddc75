"""Which files a job names, and where in its text it names them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from wiremap.files.strict import Map, Node, Scalar, Seq, read


@dataclass(frozen=True, slots=True)
class Reference:
    """One place in a job file that names another file."""

    node: Scalar
    text: str
    notebook: bool = False  # which may be still to come


def references(job: Path | str) -> list[Reference]:
    """Every file that a job names: pinouts of its ends, notebooks; none where it cannot be read."""
    root = read(Path(job)).root
    if not isinstance(root, Map):
        return []
    pinouts = _pinouts(_value(root, "ends"))
    notebooks = _notebooks(_value(root, "readings"))
    named = [Reference(node, node.text) for node in pinouts if isinstance(node, Scalar)]
    for node in notebooks:
        if isinstance(node, Scalar):
            named.append(Reference(node, node.text, notebook=True))
    return named


def _value(node: Node | None, key: str) -> Node | None:
    if not isinstance(node, Map) or key not in node.entries:
        return None
    return node.entries[key][1]


def _pinouts(ends: Node | None) -> Iterator[Node | None]:
    if not isinstance(ends, Map):
        return
    for _, end in ends.entries.values():
        yield _value(end, "pinout") if isinstance(end, Map) else end


def _notebooks(readings: Node | None) -> Iterator[Node | None]:
    if isinstance(readings, Seq):
        yield from readings.items
    else:
        yield readings
