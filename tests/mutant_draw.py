"""Draws single mutations of `wiremap/`: of its logic, its constants, and the words that people read.

A mutation is one stretch of text in one file replaced by another.  The same seed draws the same ones from the same
source.  `tests/mutant_run.py` tries them.

Not drawn, since no run of a right program tells them: the flags of a `@dataclass` (`slots`, `kw_only` and `frozen` are
promises between the lines of the source, held by the type check), `strict=` of a `zip` (it speaks only when another
line is wrong), how much an `lru_cache` remembers, a digit more where six are rounded to, a type check's own constant, and what stands under `if __name__ == "__main__"`.
"""

from __future__ import annotations

import ast
import random
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

OTHER_COMPARISON = {
    ast.Eq: "!=",
    ast.NotEq: "==",
    ast.Lt: "<=",
    ast.LtE: "<",
    ast.Gt: ">=",
    ast.GtE: ">",
    ast.In: "not in",
    ast.NotIn: "in",
    ast.Is: "is not",
    ast.IsNot: "is",
}
OTHER_OPERATOR = {
    ast.Add: "-",
    ast.Sub: "+",
    ast.Mult: "/",
    ast.Div: "*",
    ast.FloorDiv: "*",
    ast.Mod: "*",
    ast.Pow: "*",
}
FINE_DIGITS = 6  # a digit more tells nothing
FEWEST_WORDS = 3  # a string of fewer words is a key or a flag, not a sentence
NUMBER_IN_TABLE = re.compile(r"(?<=[=\[,] )-?\d+(?:\.\d+)?(?![\w.-])")
SHARES = {"logic": 0.55, "constant": 0.25, "words": 0.2}  # the mix of a run


@dataclass(frozen=True, kw_only=True)
class Mutation:
    """One change: in `path` (below the project's folder) the text from `start` to `end` becomes `new`.

    `function` is the innermost function that holds it, as file and first line, or None outside of every function;
    `names` are what to look for where it is used then.  `within` is the name of the innermost class or function, with
    those around it, and `shown` its lines with the change in brackets.
    """

    path: str
    kind: str
    line: int
    start: int
    end: int
    old: str
    new: str
    function: tuple[str, int] | None
    names: tuple[str, ...] = ()
    within: str = ""
    shown: str

    @property
    def key(self) -> str:
        """What tells this mutation from others, whatever line it comes to stand on."""
        return f"{self.path} {self.within}: {self.shown}"

    def applied(self, text: str) -> str:
        return text[: self.start] + self.new + text[self.end :]


@dataclass(frozen=True)
class Spot:
    """A place in a file's text while its tree is walked."""

    start: int
    end: int
    new: str


class Source:
    """One Python file, with the offset in characters of every place in its tree."""

    def __init__(self, path: str, text: str) -> None:
        self.path = path
        self.text = text
        self.tree = ast.parse(text)
        self.lines = text.splitlines(keepends=True)
        self.offsets = [0]
        for line in self.lines:
            self.offsets.append(self.offsets[-1] + len(line))

    def offset(self, line: int, column: int) -> int:
        """Characters before a place that the tree tells as line and column in bytes."""
        before = self.lines[line - 1].encode()[:column].decode()
        return self.offsets[line - 1] + len(before)

    def span(self, node: ast.expr | ast.stmt) -> tuple[int, int]:
        assert node.end_lineno is not None
        assert node.end_col_offset is not None
        start = self.offset(node.lineno, node.col_offset)
        return start, self.offset(node.end_lineno, node.end_col_offset)


def mutations(project: Path) -> list[Mutation]:
    """Every mutation that can be drawn, by file and place."""
    found: list[Mutation] = []
    for path in sorted((project / "wiremap").rglob("*.py")):
        source = Source(path.relative_to(project).as_posix(), path.read_text(encoding="utf-8"))
        found += of_node(source, source.tree, None, (), "")
    for path in sorted((project / "wiremap" / "trade").glob("*.toml")):
        found += of_table(path.relative_to(project).as_posix(), path.read_text(encoding="utf-8"))
    return found


def drawn(project: Path, *, seed: int, count: int) -> list[Mutation]:
    """`count` mutations in the mix of SHARES; the rooms of the house take turns, so that none is left out."""
    random_ = random.Random(seed)
    every = mutations(project)
    chosen: list[Mutation] = []
    for kind, share in SHARES.items():
        of_kind = [mutation for mutation in every if mutation.kind == kind]
        chosen += in_turns(random_, of_kind, round(count * share))
    return chosen


def in_turns(random_: random.Random, mutations: list[Mutation], count: int) -> list[Mutation]:
    """`count` of them, room by room."""
    rooms: dict[str, list[Mutation]] = {}
    for mutation in mutations:
        rooms.setdefault(mutation.path.split("/")[1], []).append(mutation)
    for room in rooms.values():
        random_.shuffle(room)
    chosen: list[Mutation] = []
    while len(chosen) < count and any(rooms.values()):
        for name in sorted(rooms):
            if rooms[name] and len(chosen) < count:
                chosen.append(rooms[name].pop())
    return chosen


def of_node(
    source: Source,
    node: ast.AST,
    function: tuple[str, int] | None,
    names: tuple[str, ...],
    within: str,
) -> Iterator[Mutation]:
    """The mutations of a node and of all below it, but of what no run can tell."""
    if isinstance(node, ast.FunctionDef):
        first = min([node.lineno, *(one.lineno for one in node.decorator_list)])
        function = (source.path, first)
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        within = f"{within}.{node.name}" if within else node.name
    if isinstance(node, ast.Assign | ast.AnnAssign) and function is None:
        names = tuple(assigned(node))
    for spot, kind in spots(source, node):
        yield Mutation(
            path=source.path,
            kind=kind,
            line=source.text.count("\n", 0, spot.start) + 1,
            start=spot.start,
            end=spot.end,
            old=source.text[spot.start : spot.end],
            new=spot.new,
            function=function,
            names=names,
            within=within,
            shown=shown(source.text, spot),
        )
    for child in children(node):
        yield from of_node(source, child, function, names, within)


def shown(text: str, spot: Spot) -> str:
    """The lines of a spot as one line, what is changed there in brackets."""
    before = text[: spot.start].rpartition("\n")[2]
    after = text[spot.end :].partition("\n")[0]
    change = f"[{text[spot.start : spot.end]} -> {spot.new}]"
    return " ".join(f"{before}{change}{after}".split())


def assigned(node: ast.Assign | ast.AnnAssign) -> Iterator[str]:
    targets = node.targets if isinstance(node, ast.Assign) else [node.target]
    for target in targets:
        if isinstance(target, ast.Name):
            yield target.id


def children(node: ast.AST) -> Iterator[ast.AST]:
    """What stands below a node and is carried out; places inside an f-string are not told exactly."""
    if isinstance(node, ast.JoinedStr):
        return
    for name, value in ast.iter_fields(node):
        if name in {"annotation", "returns", "type_comment"}:
            continue
        if name == "keywords" and is_promise(node):
            continue
        if name == "args" and is_fine_rounding(node) and isinstance(node, ast.Call):
            value = node.args[:1]
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST) and not is_never_told(child):
                yield child


def is_never_told(node: ast.AST) -> bool:
    """Whether no run of the program can tell a change in it."""
    return is_docstring(node) or is_for_types(node) or is_started_by_hand(node)


def is_fine_rounding(node: ast.AST) -> bool:
    """Whether it rounds to so many digits that one more only takes away what sums of floats leave."""
    match node:
        case ast.Call(func=ast.Name(id="round"), args=[_, ast.Constant(value=int() as digits)]):
            return digits >= FINE_DIGITS
    return False


def is_promise(node: ast.AST) -> bool:
    """Whether its flags are promises that the lines around it keep."""
    match node:
        case ast.Call(func=ast.Name(id="dataclass" | "zip" | "lru_cache")):
            return True
    return False


def is_started_by_hand(node: ast.AST) -> bool:
    match node:
        case ast.If(test=ast.Compare(left=ast.Name(id="__name__"))):
            return True
    return False


def is_docstring(node: ast.AST) -> bool:
    """A string by itself is read by people who read code, not by people who run it."""
    return isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)


def is_for_types(node: ast.AST) -> bool:
    match node:
        case ast.If(test=ast.Name(id="TYPE_CHECKING")):
            return True
        case ast.Assign(targets=[ast.Name(id="TYPE_CHECKING")]):
            return True
    return False


def spots(source: Source, node: ast.AST) -> Iterator[tuple[Spot, str]]:
    """What may be changed in this node itself."""
    match node:
        case ast.Compare(ops=[operator]) if type(operator) in OTHER_COMPARISON:
            start = source.span(node.left)[1]
            end = source.span(node.comparators[0])[0]
            yield between(source, start, end, OTHER_COMPARISON[type(operator)]), "logic"
        case ast.BinOp(op=operator) if type(operator) in OTHER_OPERATOR:
            start, end = source.span(node.left)[1], source.span(node.right)[0]
            yield between(source, start, end, OTHER_OPERATOR[type(operator)]), "logic"
        case ast.BoolOp(values=[first, second, *_]):
            new = "or" if isinstance(node.op, ast.And) else "and"
            yield between(source, source.span(first)[1], source.span(second)[0], new), "logic"
        case ast.UnaryOp(op=ast.Not()):
            start, _ = source.span(node)
            yield Spot(start, start + len("not"), ""), "logic"
        case ast.If() | ast.IfExp() | ast.While():
            start, end = source.span(node.test)
            yield Spot(start, end, f"(not ({source.text[start:end]}))"), "logic"
        case ast.Expr(value=ast.Call()):
            start, end = source.span(node)
            yield Spot(start, end, "pass"), "logic"
        case ast.Continue():
            yield Spot(*source.span(node), "break"), "logic"
        case ast.Constant(value=bool()):
            yield Spot(*source.span(node), str(not node.value)), "logic"
        case ast.Constant(value=int() | float()):
            yield Spot(*source.span(node), other_number(node.value)), "constant"
        case ast.Constant(value=str()) | ast.JoinedStr():
            yield from word_spots(source, node)


def between(source: Source, start: int, end: int, new: str) -> Spot:
    """The operator between two operands; brackets and line ends beside it stay."""
    text = source.text[start:end]
    operator = re.search(r"[^\s()]+(?:\s+(?:in|not))?(?=[\s(]*$)|[^\s()]+", text)
    assert operator is not None
    return Spot(start + operator.start(), start + operator.end(), new)


def other_number(value: complex) -> str:
    """A tenth more; of a whole number one more."""
    if isinstance(value, int):
        return str(value + 1)
    return repr(round(float(value.real) * 1.1, 9)) if value else "0.1"


def word_spots(source: Source, node: ast.expr) -> Iterator[tuple[Spot, str]]:
    """The middle word of a sentence, replaced by one that means nothing."""
    start, end = source.span(node)
    text = re.sub(r"\{[^{}]*\}", lambda field: " " * len(field.group()), source.text[start:end])
    words = list(re.finditer(r"(?<=\s)[a-z]{3,}", text))
    if len(words) < FEWEST_WORDS:
        return
    word = words[len(words) // 2]
    yield Spot(start + word.start(), start + word.end(), "blurb"), "words"


def of_table(path: str, text: str) -> Iterator[Mutation]:
    """A tenth more for each figure of a table."""
    row = ""
    for number, line in enumerate(text.splitlines(keepends=True), start=1):
        start = sum(len(one) for one in text.splitlines(keepends=True)[: number - 1])
        if line.lstrip().startswith("#"):
            continue
        row = name_of_row(line) or row
        for figure in NUMBER_IN_TABLE.finditer(blanked(line)):
            value = figure.group()
            new = other_number(float(value) if "." in value else int(value))
            spot = Spot(start + figure.start(), start + figure.end(), new)
            yield Mutation(
                path=path,
                kind="constant",
                line=number,
                start=spot.start,
                end=spot.end,
                old=value,
                new=new,
                function=None,
                names=tuple(name for name in (row, Path(path).stem) if name),
                within=row,
                shown=shown(text, spot),
            )


def name_of_row(line: str) -> str:
    found = re.search(r'\b(?:name|id|key)\s*=\s*"([^"]+)"', line) or re.match(
        r"(\w+)\s*=\s*\{", line
    )
    return found.group(1) if found else ""


def blanked(line: str) -> str:
    """The line with its strings and its comment blank, every other character at its place."""
    line = re.sub(r'"[^"]*"', lambda string: '"' + " " * (len(string.group()) - 2) + '"', line)
    return re.sub(r"#.*", lambda comment: " " * len(comment.group()), line)
