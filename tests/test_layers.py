"""Rooms import downwards only, and one room alone draws."""

from __future__ import annotations

import ast
from pathlib import Path

import networkx as nx

import wiremap

PACKAGE = Path(wiremap.__file__).parent
LAYERS = (
    "base",
    "trade",
    "naming",
    "model",
    "files",
    "graph",
    "sizing",
    "entries",
    "evidence",
    "mistakes",
    "propose",
    "rules",
    "slips",
    "survey",
    "ringout",
    "diagnose",
    "firstpower",
    "check",
    "share",
    "content",
    "reports",
    "sheet",
    "page",
    "api",
    "cli",
)  # lowest first


def imports(path: Path) -> set[str]:
    """Every wiremap room that a file imports, type-only imports included."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            names = (
                [node.module, *(f"{node.module}.{a.name}" for a in node.names)]
                if node.module == "wiremap"
                else [node.module]
            )
        elif isinstance(node, ast.Import):
            names = [a.name for a in node.names]
        else:
            continue
        found |= {n.split(".")[1] for n in names if n.startswith("wiremap.")}
    return found & set(LAYERS)


def room(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def test_imports_point_one_way() -> None:
    """No room imports from a room above its own."""
    upward = [
        (str(p.relative_to(PACKAGE)), other)
        for p in sorted(PACKAGE.rglob("*.py"))
        if room(p) in LAYERS
        for other in sorted(imports(p))
        if LAYERS.index(other) > LAYERS.index(room(p))
    ]
    assert upward == []


def test_every_room_is_known() -> None:
    """A new room must be given its floor."""
    rooms = {room(p) for p in PACKAGE.rglob("*.py")} - {"__init__", "__main__"}
    assert rooms <= set(LAYERS)


def test_only_the_sheet_draws() -> None:
    """reportlab is imported by the drawing part of the sheet alone."""
    drawing = [
        str(p.relative_to(PACKAGE))
        for p in PACKAGE.rglob("*.py")
        if "import reportlab" in (t := p.read_text(encoding="utf-8")) or "from reportlab" in t
    ]
    assert all(name.startswith("sheet/") for name in drawing)


class RunTimeImports(ast.NodeVisitor):
    """Collects what a file imports when it runs; what only a type checker reads is left out."""

    def __init__(self) -> None:
        self.found: list[tuple[str, str]] = []

    def visit_If(self, node: ast.If) -> None:
        if ast.unparse(node.test) != "TYPE_CHECKING":
            self.generic_visit(node)

    def visit_ImportFrom(self, node: ast.ImportFrom) -> None:
        module = node.module or ""
        if module.startswith("wiremap"):
            inner = module.removeprefix("wiremap").removeprefix(".")
            self.found += [(inner, name.name) for name in node.names]


def own_imports(path: Path, files: set[str]) -> set[str]:
    """Every file of the package that a file imports, as `room.file`."""
    imports = RunTimeImports()
    imports.visit(ast.parse(path.read_text(encoding="utf-8")))
    found = set()
    for module, name in imports.found:
        within = f"{module}.{name}".removeprefix(".")
        found.add(within if within in files else module)
    return found & files


def test_no_circle_between_files() -> None:
    """Whoever reads a file need not have read one that imports it."""
    files = {}
    for path in PACKAGE.rglob("*.py"):
        name = ".".join(path.relative_to(PACKAGE).with_suffix("").parts)
        files[name.removesuffix(".__init__")] = path
    graph = nx.DiGraph()
    for name, path in files.items():
        graph.add_edges_from((name, other) for other in own_imports(path, set(files)))
    circles = [sorted(part) for part in nx.strongly_connected_components(graph) if len(part) > 1]
    assert circles == []
