"""Every public function of the sizing room says what it gives, in which unit, and what it raises."""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

import wiremap

ROOM = Path(wiremap.__file__).parent / "sizing"
UNITLESS = {  # numbers whose unit is told by name or row: a count, a row's unit, an input's
    "constant",
    "limit",
    "loading",
    "rule",
    "number",
    "tidy",
    "in_range",
    "section",
    "awg_of_area",
    "root",
    "order",
    "key",
}
STANDARDS = ("ource", "IEC", "ISO", "ASTM", "ABYC", "FAA", "DIN", "practice", "geometry", "stated")


def public() -> Iterator[tuple[str, ast.FunctionDef]]:
    """Each public function and method, closures left out."""
    for path in sorted(ROOM.glob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        classes = [node for node in tree.body if isinstance(node, ast.ClassDef)]
        for owner in (tree, *classes):
            if getattr(owner, "name", "").startswith("_"):
                continue
            for node in owner.body:
                if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                    yield f"{path.stem}.{node.name}", node


FUNCTIONS = list(public())


@pytest.mark.parametrize(("name", "function"), FUNCTIONS, ids=[name for name, _ in FUNCTIONS])
def test_a_function_says_what_it_gives(name: str, function: ast.FunctionDef) -> None:
    """A number has its unit in brackets; what is raised is named; nothing is `the same`."""
    told = ast.get_docstring(function) or ""
    assert len(told) > 20, name
    assert not told.startswith("The same"), name
    returns = ast.unparse(function.returns) if function.returns else ""
    if "float" in returns and function.name not in UNITLESS:
        assert "[" in told, f"{name} has no unit"
    if any(isinstance(node, ast.Raise) for node in ast.walk(function)):
        assert "aises" in told, f"{name} does not say what it raises"


# ---- what is raised by what a function calls

NEVER = {"fuse_limits.held_share": "its ambient is held within the table before it is looked up"}


@dataclass
class Calls:
    """What a function calls outside any `try` that takes OutOfRange, and whether it raises one."""

    function: ast.FunctionDef
    names: set[str] = field(default_factory=set)
    raises: bool = False

    def look(self, node: ast.AST) -> None:
        """Take in a statement, what is caught left out."""
        if isinstance(node, ast.Try) and any(_takes(handler.type) for handler in node.handlers):
            for other in (*node.handlers, *node.orelse, *node.finalbody):
                self.look(other)
            return
        if isinstance(node, ast.With) and any(_takes(item.context_expr) for item in node.items):
            return
        if isinstance(node, ast.Call):
            self.names.add(ast.unparse(node.func).split(".")[-1])
        if isinstance(node, ast.Raise):
            self.raises = self.raises or _takes(node.exc)
        for child in ast.iter_child_nodes(node):
            self.look(child)


def _takes(node: ast.AST | None) -> bool:
    return node is not None and "OutOfRange" in ast.unparse(node)


def called() -> dict[str, Calls]:
    """Every function and method of the room by file and name."""
    found = {}
    for path in sorted(ROOM.glob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        owners = (tree, *(node for node in tree.body if isinstance(node, ast.ClassDef)))
        for node in (node for owner in owners for node in owner.body):
            if isinstance(node, ast.FunctionDef):
                calls = found[f"{path.stem}.{node.name}"] = Calls(node)
                for statement in node.body:
                    calls.look(statement)
    return found


def may_raise(every: dict[str, Calls]) -> set[str]:
    """The functions that raise OutOfRange, or call one that may.

    A private name is looked up in its own file; a public one counts only if one file alone has it.
    """
    files = Counter(name.split(".")[1] for name in every)
    raising = {name for name, calls in every.items() if calls.raises}
    while True:
        public = {name.split(".")[1] for name in raising}
        public = {name for name in public if not name.startswith("_") and files[name] == 1}
        more = set()
        for name, calls in every.items():
            own = {f"{name.split('.')[0]}.{each}" for each in calls.names}
            if calls.names & public or own & raising:
                more.add(name)
        more -= raising | NEVER.keys()
        if not more:
            return raising
        raising |= more


def test_what_is_raised_further_down_is_said() -> None:
    """A public function that lets OutOfRange through says so."""
    every = called()
    raising = may_raise(every)
    untold = []
    for name in sorted(raising):
        told = ast.get_docstring(every[name].function) or ""
        if not name.split(".")[1].startswith("_") and "aises" not in told:
            untold.append(name)
    assert untold == []
    assert len(raising) > 60 and NEVER.keys() <= every.keys()


SIZERS = [(name, node) for name, node in FUNCTIONS if node.name.startswith("size_")]


@pytest.mark.parametrize(("name", "function"), SIZERS, ids=[name for name, _ in SIZERS])
def test_an_answer_states_range_and_source(name: str, function: ast.FunctionDef) -> None:
    """What `wiremap size` calls names its source and what it refuses."""
    told = ast.get_docstring(function) or ""
    if name.endswith(("size_job", "size_joints")):
        return
    assert any(word in told for word in STANDARDS), name
    assert "aises" in told, name
