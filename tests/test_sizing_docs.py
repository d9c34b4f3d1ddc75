"""Every public function of the sizing room says what it gives, in which unit, and what it raises."""

from __future__ import annotations

import ast
from collections.abc import Iterator
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


SIZERS = [(name, node) for name, node in FUNCTIONS if node.name.startswith("size_")]


@pytest.mark.parametrize(("name", "function"), SIZERS, ids=[name for name, _ in SIZERS])
def test_an_answer_states_range_and_source(name: str, function: ast.FunctionDef) -> None:
    """What `wiremap size` calls names its source and what it refuses."""
    told = ast.get_docstring(function) or ""
    if name.endswith(("size_job", "size_joints")):
        return
    assert any(word in told for word in STANDARDS), name
    assert "aises" in told, name
