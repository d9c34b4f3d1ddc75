"""Rooms import downwards only, and one room alone draws."""

from __future__ import annotations

import ast
import re
from functools import cache
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


LARGEST = 250  # lines of a module; more needs a reason
LARGER = {
    "check.py": "the straight line, with the choice of files",
    "content/pieces.py": "every kind of piece, a dataclass each",
    "files/hints.py": "one hint for each mistake that people make in a file",
    "files/strict.py": "one parser",
    "files/values.py": "the table of each record, read and written",
    "files/wires.py": "one small language",
    "files/write.py": "locks and atomic writes on every system",
    "graph/build.py": "one walk over a job",
    "graph/harness.py": "every question that is asked of the graph",
    "naming.py": "one reading, step by step",
    "propose/details.py": "every reason for and against a pair",
    "share/compare_jobs.py": "every part of a job, compared in turn",
    "sheet/ink.py": "one pen",
    "sizing/conductor.py": "one subject with its sources",
    "sizing/drop.py": "one subject with its sources",
    "sizing/feeds.py": "one subject with its sources",
    "sizing/fuse.py": "one subject with its sources",
    "sizing/joint.py": "one subject with its sources",
    "sizing/placing.py": "one subject with its sources",
    "sizing/stagger.py": "one subject with its sources",
    "sizing/stations.py": "one subject with its sources",
    "survey/rows.py": "every row of the survey in its order",
    "trade/colours.py": "one small language",
    "trade/dangers.py": "one small language",
    "trade/names.py": "one small language",
    "trade/wording.py": "one small language",
}
MOST_POSITIONAL = 5


@cache
def trees() -> list[tuple[str, str, ast.Module]]:
    """Every file of the package: its place, text and syntax tree."""
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        text = path.read_text(encoding="utf-8")
        found.append((path.relative_to(PACKAGE).as_posix(), text, ast.parse(text)))
    return found


def test_every_room_says_what_lives_there() -> None:
    """Three sentences or more: what lives there, what it may import, where to begin reading."""
    short = []
    for name, _, tree in trees():
        told = ast.get_docstring(tree) or ""
        if name.endswith("__init__.py") and len(re.findall(r"[.;](?:\s|$)", told)) < 3:
            short.append(name)
    assert short == []


def test_modules_are_small_or_have_a_reason() -> None:
    """A module beyond the limit is listed with why."""
    large = {name for name, text, _ in trees() if len(text.splitlines()) > LARGEST}
    assert large - LARGER.keys() == set()


def test_type_checks_are_hardly_ever_ignored() -> None:
    """Three places at most, each for a library without types."""
    assert sum(text.count("# type: ignore") for _, text, _ in trees()) <= 3


def test_a_docstring_stands_by_itself() -> None:
    """Whoever reads one need not have read the one above it."""
    leaning = []
    for name, _, tree in trees():
        for node in ast.walk(tree):
            if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
                told = ast.get_docstring(node) or ""
                if told.startswith(("The same", "As above", "See above")):
                    leaning.append((name, node.name))
    assert leaning == []


def test_no_ternary_within_a_ternary() -> None:
    """One decision at a time."""
    found = set()
    for name, _, tree in trees():
        for node in ast.walk(tree):
            inner = [each for each in ast.iter_child_nodes(node) if isinstance(each, ast.IfExp)]
            if isinstance(node, ast.IfExp) and inner:
                found.add(name)
    assert found == set()


def test_few_positional_arguments() -> None:
    """Whoever calls a function with many arguments names them."""
    found = set()
    for name, _, tree in trees():
        for node in ast.walk(tree):
            if isinstance(node, ast.FunctionDef):
                own = [each.arg for each in node.args.args if each.arg not in ("self", "cls")]
                if len(own) > MOST_POSITIONAL:
                    found.add((name, node.name))
    assert found == set()


GROWING = {  # what is filled while something is read, written or weighed
    ("check.py", "ToRead"),
    ("cli/guided_files.py", "_Draft"),
    ("evidence/progress.py", "_Shown"),
    ("firstpower/answering.py", "Answers"),
    ("files/write_several.py", "_Undo"),
    ("propose/details.py", "Weighing"),
    ("share/intake_job.py", "ListSoFar"),
    ("share/intake_pinout.py", "CavitiesSoFar"),
    ("share/members.py", "Members"),
    ("share/taking.py", "Taking"),
    ("sheet/setting.py", "SetPage"),
}


def test_what_is_handed_on_cannot_be_changed() -> None:
    """Every record is frozen; those of the model and of the mistakes have no attributes but their own."""
    changeable, loose = set(), set()
    for name, _, tree in trees():
        for node in ast.walk(tree):
            marks = node.decorator_list if isinstance(node, ast.ClassDef) else []
            for mark in map(ast.unparse, marks):
                if mark.startswith("dataclass") and "frozen=True" not in mark:
                    changeable.add((name, node.name))
                closed = name.startswith(
                    ("model/", "mistakes/")
                ) and "cached_property" not in ast.unparse(node)
                if mark.startswith("dataclass") and closed and "slots=True" not in mark:
                    loose.add((name, node.name))
    assert changeable - GROWING == set()
    assert loose == set()
