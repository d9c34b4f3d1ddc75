"""Prints how the house reads: sizes, density and habits of `wiremap/`, a figure a line.

Run by hand from the project's folder: `python tests/measure_house.py [FOLDER]`.  Everything is counted in the
syntax tree, so that the layout of a line changes nothing; only `lines over 100 characters` looks at the text.
"""

from __future__ import annotations

import ast
import statistics
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

PROJECT = Path(__file__).resolve().parent.parent
WIDTH = 100
MANY_ARGUMENTS = 6
COMPREHENSIONS = (ast.ListComp, ast.SetComp, ast.DictComp, ast.GeneratorExp)
FUNCTIONS = (ast.FunctionDef, ast.AsyncFunctionDef)
BRANCHES = (
    ast.If,
    ast.IfExp,
    ast.For,
    ast.While,
    ast.ExceptHandler,
    ast.BoolOp,
    ast.comprehension,
    ast.match_case,
    ast.Assert,
)


@dataclass(frozen=True, kw_only=True)
class Module:
    """One file: its text and its syntax tree."""

    path: Path
    text: str
    tree: ast.Module

    @property
    def lines(self) -> list[str]:
        return self.text.splitlines()

    def nodes(self) -> Iterator[ast.AST]:
        return ast.walk(self.tree)


def read(folder: Path) -> list[Module]:
    """Every Python file below a folder, by path."""
    modules = []
    for path in sorted(folder.rglob("*.py")):
        text = path.read_text(encoding="utf-8")
        modules.append(Module(path=path, text=text, tree=ast.parse(text)))
    return modules


def spread(values: list[int]) -> str:
    """Median, ninetieth percentile and largest of some counts."""
    ordered = sorted(values)
    ninetieth = ordered[int(len(ordered) * 0.9)]
    return f"{statistics.median(ordered):g} / {ninetieth} / {ordered[-1]}"


def body_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of a function's body, its docstring left out."""
    body = function.body
    if ast.get_docstring(function) is not None:
        body = body[1:]
    if not body:
        return 0
    return (body[-1].end_lineno or body[-1].lineno) - body[0].lineno + 1


def complexity(function: ast.AST) -> int:
    """One, and one more for every branch."""
    return 1 + sum(isinstance(node, BRANCHES) for node in ast.walk(function))


def count(modules: list[Module], kind: type | tuple[type, ...]) -> int:
    """How many nodes of a kind there are."""
    return sum(isinstance(node, kind) for module in modules for node in module.nodes())


def functions(modules: list[Module]) -> list[ast.FunctionDef | ast.AsyncFunctionDef]:
    """Every function and method."""
    return [node for module in modules for node in module.nodes() if isinstance(node, FUNCTIONS)]


def nodes_per_statement(modules: list[Module]) -> float:
    """Syntax nodes for each statement: how much happens at once."""
    nodes = sum(1 for module in modules for _ in module.nodes())
    return nodes / count(modules, ast.stmt)


def nested_ternaries(modules: list[Module]) -> int:
    """Conditional expressions within conditional expressions."""
    return sum(
        isinstance(inner, ast.IfExp)
        for module in modules
        for node in module.nodes()
        if isinstance(node, ast.IfExp)
        for inner in ast.iter_child_nodes(node)
    )


def crowded_calls(modules: list[Module]) -> int:
    """Calls with six positional arguments or more."""
    return sum(
        isinstance(node, ast.Call) and len(node.args) >= MANY_ARGUMENTS
        for module in modules
        for node in module.nodes()
    )


def short_names(modules: list[Module]) -> float:
    """Share of stored names that are one letter long, in per cent."""
    stored = [
        node.id
        for module in modules
        for node in module.nodes()
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store)
    ]
    return 100 * sum(len(name) == 1 for name in stored) / len(stored)


def local_imports(modules: list[Module]) -> int:
    """Import statements inside functions."""
    return sum(
        isinstance(node, (ast.Import, ast.ImportFrom))
        for function in functions(modules)
        for node in ast.walk(function)
    )


def documented(modules: list[Module]) -> float:
    """Share of public classes and functions with a docstring, in per cent."""
    public = [
        node
        for module in modules
        for node in module.nodes()
        if isinstance(node, (*FUNCTIONS, ast.ClassDef)) and not node.name.startswith("_")
    ]
    return 100 * sum(ast.get_docstring(node) is not None for node in public) / len(public)


def ruff_findings(folder: Path, rule: str) -> int:
    """How often ruff finds a rule broken; -1 where ruff is not installed."""
    command = [sys.executable, "-m", "ruff", "check", "--isolated", "--select", rule]
    command += ["--output-format", "concise", "--exit-zero", str(folder)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        return -1
    return sum(f" {rule}" in line for line in done.stdout.splitlines())


def commit_subjects() -> str:
    """Lengths of the last hundred commit subjects."""
    command = ["git", "-C", str(PROJECT), "log", "-100", "--no-merges", "--format=%s"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    subjects = done.stdout.splitlines()
    if not subjects:
        return "no history"
    return spread([len(subject) for subject in subjects])


def figures(folder: Path) -> Iterator[tuple[str, str]]:
    """Each figure's name and value."""
    modules = read(folder)
    every = functions(modules)
    bodies = [body_lines(function) for function in every]
    code = sum(bool(line.strip()) for module in modules for line in module.lines)
    per_thousand = 1000 / code
    returns = sum(function.returns is not None for function in every)
    crowded = crowded_calls(modules) * per_thousand
    yield "modules", str(len(modules))
    yield "lines", str(sum(len(module.lines) for module in modules))
    yield "module lines, median / p90 / max", spread([len(m.lines) for m in modules])
    yield "function body, median / p90 / max", spread(bodies)
    yield "return types %", f"{100 * returns / len(every):.0f}"
    yield "public docstrings %", f"{documented(modules):.0f}"
    yield (
        "lines over 100 characters",
        str(sum(len(line) > WIDTH for module in modules for line in module.lines)),
    )
    yield "complexity per body line", f"{sum(map(complexity, every)) / sum(bodies):.2f}"
    yield "syntax nodes", str(sum(1 for module in modules for _ in module.nodes()))
    yield "syntax nodes a statement", f"{nodes_per_statement(modules):.2f}"
    yield "ternaries per 1000 lines", f"{count(modules, ast.IfExp) * per_thousand:.1f}"
    yield "comprehensions per 1000 lines", f"{count(modules, COMPREHENSIONS) * per_thousand:.1f}"
    yield "nested ternaries", str(nested_ternaries(modules))
    yield "calls with 6+ positional arguments per 1000 lines", f"{crowded:.1f}"
    yield "single-letter stores %", f"{short_names(modules):.1f}"
    yield "boolean parameters (FBT001)", str(ruff_findings(folder, "FBT001"))
    yield "imports inside functions", str(local_imports(modules))
    yield "complex functions (C901)", str(ruff_findings(folder, "C901"))
    yield "type: ignore", str(sum(module.text.count("type: ignore") for module in modules))


def main() -> None:
    """Print the figures of a folder, by default the package's."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else PROJECT / "wiremap"
    for name, value in figures(folder):
        print(f"{name:<52} {value}")
    tests = sum(len(module.lines) for module in read(PROJECT / "tests"))
    source = sum(len(module.lines) for module in read(PROJECT / "wiremap"))
    print(f"{'test : source lines':<52} {tests / source:.2f}")
    print(f"{'commit subject, median / p90 / max':<52} {commit_subjects()}")


if __name__ == "__main__":
    main()
