"""The figure tables: each row is read and sourced, and no sourced figure is typed in code."""

from __future__ import annotations

import ast
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import wiremap
from wiremap.trade.tables import Row, table

PACKAGE = Path(wiremap.__file__).parent
TESTS = Path(__file__).parent
TABLES = sorted(path.name for path in (PACKAGE / "trade").glob("*.toml"))
FILES = [name for name in TABLES if "sources" in table(name).sections]  # of sizing figures
KEYS = {"name", "csa_mm2", "gauge", "wires", "amps", "family", "system_volts", "unit", "kbit_s"}
PAPERS = {"id", "title", "note", "source", "standing", "least_standing", "most_standing"}
HOUSEHOLD = {*range(-2, 11), 0.5, 12, 60, 100, 1000, 1e-6, 1e-9, 1e-12}  # counts, units, rounding
POWERS_OF_TWO = {2**n for n in range(5, 17)}  # sizes of caches

# Figures that may stand in code, by file, each with its reason.
TYPED: dict[str, dict[float, str]] = {
    "rules/families/map_tables.py": {30: "past the number of every cavity"},
    "rules/families/parts_loads.py": {24: "hours of a day"},
    "sizing/air.py": {1.5: "exponent of Sutherland's law", 27: "exponent", 16: "exponent"},
    "sizing/bundle.py": {120: "steps of a search", 0.8: "of a search", 0.2: "of a search"},
    "sizing/conductor.py": {20.0: "where tables state resistance", 40: "thinnest gauge written"},
    "sizing/curves.py": {
        30: "of a search",
        0.005: "of a search",
        300.0: "drawing",
        0.01: "drawing",
    },
    "sizing/heat.py": {
        200: "steps of a search",
        23.0: "a room, where nothing is said",
        85.0: "class A likewise",
    },
    "sizing/sleeve.py": {0.1: "a factor that makes no sense below"},
    "sizing/stagger.py": {200: "absurd sleeve"},
    "sizing/transient.py": {
        0.02: "error of a step",
        0.01: "end and start of a search",
        72: "the pair's own coefficient",
        0.2: "stride",
        0.9: "stride",
    },
    "sizing/units.py": {25.4: "millimetres in an inch, by definition"},
}


@pytest.fixture(scope="module")
def reads() -> set[tuple[str, str, int, str]]:
    """What a process of its own read of the tables while it sized everything."""
    command = [sys.executable, str(TESTS / "table_reads.py")]
    around = {**os.environ, "PYTHONPATH": str(PACKAGE.parent)}
    done = subprocess.run(command, capture_output=True, text=True, check=True, env=around)
    return {(file, section, row, column) for file, section, row, column in json.loads(done.stdout)}


def rows(file: str) -> Iterator[tuple[str, int, Row]]:
    """Every row of a file's figures with its section and number."""
    for section, found in table(file).sections.items():
        if section != "sources":
            for number, row in enumerate(found, 1):
                yield section, number, row


@pytest.mark.parametrize("file", FILES)
def test_every_row_is_read_for_its_figure(file: str, reads: set[tuple[str, str, int, str]]) -> None:
    """A row of which only the key is looked at is a figure that nobody uses."""
    unread = []
    for section, number, row in rows(file):
        columns = {column for column in row if column not in KEYS | PAPERS}
        if not any((file, section, number, column) in reads for column in columns):
            unread.append((section, dict(row)))
    assert unread == []


@pytest.mark.parametrize("file", FILES)
def test_every_source_stands_behind_a_row(file: str) -> None:
    """Sources and rows name each other: no source without a row, no row without a source."""
    named = {row["source"] for _, _, row in rows(file)}
    assert named == {source["id"] for source in table(file).sections["sources"]}


def test_what_sizing_reads_lists_its_sources() -> None:
    """So that no table of figures stays out of the tests above; limits have a test of their own."""
    read = {
        name
        for path in (PACKAGE / "sizing").rglob("*.py")
        for name in TABLES
        if f'"{name}"' in path.read_text(encoding="utf-8")
    }
    assert "fuses.toml" in read and read - {"judging.toml"} <= set(FILES)


def numbers(path: Path) -> Iterator[tuple[float, int]]:
    """Every number typed in a module and its line."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Constant) and type(node.value) in (int, float):
            yield node.value, node.lineno


@pytest.mark.parametrize("room", ["sizing", "rules"])
def test_no_sourced_figure_is_typed_in_code(room: str) -> None:
    """What is neither a count, a unit, a rounding nor listed with a reason belongs in a table."""
    found = []
    for path in sorted((PACKAGE / room).rglob("*.py")):
        name = path.relative_to(PACKAGE).as_posix()
        allowed = HOUSEHOLD | POWERS_OF_TWO | set(TYPED.get(name, {}))
        found += [(name, value, line) for value, line in numbers(path) if value not in allowed]
    assert found == []


def test_no_reason_outlives_its_figure() -> None:
    """Each figure allowed in code still stands there."""
    gone = []
    for name, reasons in TYPED.items():
        typed = {value for value, _ in numbers(PACKAGE / name)}
        gone += [(name, value) for value in reasons if value not in typed]
    assert gone == []


def test_a_figure_is_found_where_one_is_typed(tmp_path: Path) -> None:
    """The scan sees a constant, a default and a number within an expression."""
    module = tmp_path / "module.py"
    module.write_text("LIMIT = 86.5\ndef f(x=7.7):\n    return x * 234.5\n", encoding="utf-8")
    assert [value for value, _ in numbers(module)] == [86.5, 7.7, 234.5]
