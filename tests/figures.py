"""Every figure that the code names or a table holds, in one text: limits, weights, sizes of what is drawn, columns.

`python tests/figures.py` writes `tests/figures.txt` anew; `tests/test_said.py` holds the code against it, so that a
changed figure shows in a review.  It says what is, not what is right: the figures of `wiremap/trade/*.toml` are held
against their sources by the tests of what reads them.
"""

from __future__ import annotations

import ast
import re
import textwrap
import tomllib
from collections.abc import Iterator
from pathlib import Path

TESTS = Path(__file__).resolve().parent
HOUSE = TESTS.parent / "wiremap"
FIGURES = TESTS / "figures.txt"
WIDTH = 110
NAME_OF_FIGURE = re.compile(r"_?[A-Z][A-Z0-9_]*(_[a-z]\w*)?")  # MOST_LINES, LONG_mm


def figures() -> str:
    """A line for each named figure, under the module that names it."""
    lines: list[str] = []
    for path in sorted(HOUSE.rglob("*.py")):
        text = path.read_text(encoding="utf-8")
        told = [line for line in named(text) if line]
        if told:
            lines += ["", path.relative_to(HOUSE).as_posix(), *told]
    for path in sorted((HOUSE / "trade").glob("*.toml")):
        told = list(columns(tomllib.loads(path.read_text(encoding="utf-8"))))
        if told:
            lines += ["", path.relative_to(HOUSE).as_posix(), *told]
    return "\n".join(lines).strip() + "\n"


def columns(table: dict[str, object]) -> Iterator[str]:
    """The figures of each column of each section of a table, from its first row to its last."""
    for section, rows in table.items():
        found: dict[str, list[str]] = {}
        for row in rows if isinstance(rows, list) else [rows]:
            for column, value in row.items() if isinstance(row, dict) else ():
                found.setdefault(column, []).extend(map(repr, numbers(value)))
        for column, values in found.items():
            if values:
                yield shown(f"{section}.{column}", " ".join(values), "")


def numbers(value: object) -> Iterator[float]:
    """Every number in a value of a table, in its order."""
    match value:
        case bool():
            return
        case int() | float():
            yield value
        case list():
            for each in value:
                yield from numbers(each)
        case dict():
            yield from numbers(list(value.values()))


def named(text: str) -> Iterator[str]:
    """Each figure that a module or one of its classes names, with the comment beside it."""
    source = text.splitlines()
    for node in ast.walk(ast.parse(text)):
        if not isinstance(node, (ast.Module, ast.ClassDef)):
            continue
        for statement in node.body:
            if not isinstance(statement, (ast.Assign, ast.AnnAssign)) or statement.value is None:
                continue
            targets = statement.targets if isinstance(statement, ast.Assign) else [statement.target]
            names = " = ".join(ast.unparse(target) for target in targets)
            if has_number(statement.value) and all(map(is_name, names.split(", "))):
                _, _, comment = source[(statement.end_lineno or 0) - 1].partition("  # ")
                yield shown(names, ast.unparse(statement.value), comment)


def is_name(name: str) -> bool:
    return NAME_OF_FIGURE.fullmatch(name.strip("()")) is not None


def has_number(value: ast.expr) -> bool:
    """Whether a number stands anywhere in an expression."""
    return any(
        isinstance(part, ast.Constant)
        and isinstance(part.value, (int, float))
        and not isinstance(part.value, bool)
        for part in ast.walk(value)
    )


def shown(name: str, value: str, comment: str) -> str:
    told = f"{name} = {value}" + (f"  ({comment})" if comment else "")
    return textwrap.fill(
        told, WIDTH, initial_indent="  ", subsequent_indent="      ", break_on_hyphens=False
    )


if __name__ == "__main__":
    FIGURES.write_text(figures(), encoding="utf-8")
