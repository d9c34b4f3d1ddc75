"""What is printed is for a person to read: no code tells one thing from another by its words."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator, Mapping
from pathlib import Path

import wiremap

PACKAGE = Path(wiremap.__file__).parent
BY_AN_END = ("startswith", "endswith", "removeprefix", "removesuffix")
SEVERAL_WORDS = re.compile(r"[a-z]{2} |[ (][a-z]{2}")
OURS_TO_READ = {  # words that a file holds or a person types, and the one place that reads them
    "content/joint_cards.py": "what a kept deed belongs to",
    "entries/power_lines.py": "what is typed",
    "evidence/left_out.py": "why a job's file leaves a contact out",
    "evidence/reasons.py": "the reasons of a circuit, in a job's file",
    "evidence/stamping.py": "how things stood, as it is typed",
    "files/hints.py": "what the YAML library says",
    "model/state.py": "how things stood, in a notebook",
    "share/beginning.py": "what a blank of ours says of an empty cavity",
    "survey/later.py": "how things stood, in a notebook",
}


def constants(tree: ast.Module) -> dict[str, str]:
    """The texts that a file gives names to."""
    found = {}
    for node in tree.body:
        if not isinstance(node, ast.Assign):
            continue
        names, values = [node.targets[0]], [node.value]
        if isinstance(names[0], ast.Tuple) and isinstance(values[0], ast.Tuple):
            names, values = names[0].elts, values[0].elts
        for name, value in zip(names, values, strict=False):
            if isinstance(name, ast.Name) and isinstance(value, ast.Constant):
                found[name.id] = value.value
    return {name: value for name, value in found.items() if isinstance(value, str)}


def named(tree: ast.Module, every: Mapping[str, Mapping[str, str]]) -> dict[str, str]:
    """The texts that a file knows by name, its own and those that it imports."""
    found = constants(tree)
    for node in tree.body:
        if isinstance(node, ast.ImportFrom) and node.module in every:
            theirs = every[node.module]
            found |= {n.asname or n.name: theirs[n.name] for n in node.names if n.name in theirs}
    return found


def is_room(path: Path) -> bool:
    """Whether a file is a room's own, which hands on names of the files in it."""
    return path.stem == "__init__"


def module(path: Path) -> str:
    """What a file is imported as."""
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if is_room(path) else parts)


def texts(node: ast.AST, known: Mapping[str, str]) -> Iterator[str]:
    """The texts that an argument may be."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.Name) and node.id in known:
        yield known[node.id]
    elif isinstance(node, ast.JoinedStr):
        parts = [
            value.value if isinstance(value, ast.FormattedValue) else value for value in node.values
        ]
        yield "".join("".join(texts(part, known)) for part in parts)
    elif isinstance(node, (ast.Tuple, ast.Starred)):
        for part in ast.iter_child_nodes(node):
            yield from texts(part, known)


def told_by_words(tree: ast.Module, known: Mapping[str, str]) -> list[str]:
    """Where a text is told by how it begins or ends, or by what stands in it, and that is words."""
    found = []
    for node in ast.walk(tree):
        asked: list[ast.expr] = []
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            asked = node.args[:1] if node.func.attr in BY_AN_END else []
        elif isinstance(node, ast.Compare) and isinstance(node.ops[0], (ast.In, ast.NotIn)):
            asked = [node.left]
        for each in asked:
            found += [text for text in texts(each, known) if SEVERAL_WORDS.search(text)]
    return found


def test_no_words_are_a_flag() -> None:
    """Whoever mends a sentence changes what is read, and nothing else."""
    trees = {path: ast.parse(path.read_text("utf-8")) for path in sorted(PACKAGE.rglob("*.py"))}
    every = {module(path): constants(tree) for path, tree in trees.items()}
    every |= {module(path): named(tree, every) for path, tree in trees.items() if is_room(path)}
    found = {}
    for path, tree in trees.items():
        told = told_by_words(tree, named(tree, every))
        if told:
            found[path.relative_to(PACKAGE).as_posix()] = told
    assert {place: told for place, told in found.items() if place not in OURS_TO_READ} == {}
    assert OURS_TO_READ.keys() - found.keys() == set()


def test_words_as_a_flag_are_found() -> None:
    """A beginning, an end, a part of a sentence; by itself, by name or among others."""
    known = {"TOLD": "lamp out"}
    for code in (
        "step.do.startswith('the leaflet wants')",
        "step.do.startswith((OTHER, TOLD))",
        "step.do.endswith(f'{key} in place of')",
        "' W lamp' in step.do",
        "said.removeprefix('cut to ')",
    ):
        assert told_by_words(ast.parse(code), known)
    for code in ("name.startswith('wiremap.')", "point in joined", "kind.endswith(TOLD_BY)"):
        assert not told_by_words(ast.parse(code), known)
