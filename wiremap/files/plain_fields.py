"""Typing the text of a field: each reader gives the value, or files a fault at the spot and gives None."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from wiremap.base import Finding, Place, fault
from wiremap.files import fields as typed
from wiremap.files.hints import short
from wiremap.files.strict import Document, Map, Node, Scalar, Seq
from wiremap.model import Span


class Fields:
    """Reads the fields of one file, keeping every fault it meets."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.to = typed.Reading(document.shown)

    @property
    def faults(self) -> list[Finding]:
        return self.to.findings

    def place(self, node: Node) -> Place:
        return Place(self.document.shown, node.line, node.col)

    def wrong(
        self,
        rule: str,
        message: str,
        node: Node,
        fix: str = "",
        why: str = "",
        also: tuple[tuple[Place, str], ...] = (),
    ) -> None:
        self.to.findings.append(fault(rule, message, self.place(node), fix=fix, why=why, also=also))

    def table(self, node: Node, where: str, keys: Collection[str]) -> dict[str, Node]:
        self.to.where = where
        got = typed.read_map(self.to, node, {k: (lambda _to, n, _k: n) for k in keys}, where)
        self.to.where = ""
        return got

    def entries(self, node: Node, where: str) -> Iterator[tuple[Scalar, Node]]:
        yield from typed.entries(self.to, node, where)

    def items(self, node: Node, where: str) -> list[Node]:
        if isinstance(node, Seq):
            return node.items
        if isinstance(node, Scalar) and node.text:
            return [node]
        self.wrong("wrong-value", f"{where}: a list in square brackets is wanted here", node)
        return []

    def text(self, node: Node, where: str) -> str | None:
        return typed.text(self.to, node, where)

    def name(self, node: Node, where: str) -> str | None:
        return typed.name(self.to, node, where)

    def choice(self, node: Node, where: str, options: Collection[str]) -> str | None:
        got: str | None = typed.one_of(*options)(self.to, node, where)
        return got

    def truth(self, node: Node, where: str) -> bool | None:
        return typed.flag(self.to, node, where)

    def number(self, node: Node, where: str, low: float = 0.0, high: float = 1e9, unit: str = "") -> float | None:
        got: float | None = typed.number(low, high, unit)(self.to, node, where)
        return got

    def whole(self, node: Node, where: str, low: int = 0, high: int = 1_000_000) -> int | None:
        got: int | None = typed.whole(low, high)(self.to, node, where)
        return got

    def ohms(self, node: Node, where: str) -> Span | None:
        got: Span | None = typed.span(0, 1e9, "ohm", may_be_open=True)(self.to, node, where)
        return got


__all__ = ["Fields", "Map", "short"]
