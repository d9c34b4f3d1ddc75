"""What people read, in one text: rules, findings, questions, helps, cards, steps of the sheet, other sentences of the code.

`python tests/said.py` writes `tests/said.txt` anew; `tests/test_said.py` holds what the project says against it, so
that a changed word shows in a review.
"""

from __future__ import annotations

import argparse
import ast
import re
import textwrap
import tomllib
from collections.abc import Iterator
from pathlib import Path

from demo_jobs import DEMO, DEMO_JOB

from wiremap.check import check
from wiremap.cli.main import COMMANDS, parser_for
from wiremap.content.compose import compose
from wiremap.content.gather import gather
from wiremap.content.pieces import Block, TextPiece, Warning
from wiremap.content.steps import Step, Steps, TwoNames
from wiremap.rules import load
from wiremap.rules.page import with_dots

TESTS = Path(__file__).resolve().parent
HOUSE = TESTS.parent / "wiremap"
SAID = TESTS / "said.txt"
WIDTH = 110
JOBS = {"splice": DEMO_JOB, "adapter": DEMO / "adapter" / "job.yaml"}
TABLES_OF_WORDS = ("questions", "causes", "survey", "first_power")
LETTERS = re.compile(r"[^\W\d_]{2}")
FEWEST = 3  # words of a sentence
TAG = re.compile(r"\{[%#].*?[%#]\}|<(style|script)\b.*?</\1>|<[^>]*>", re.DOTALL)


def said() -> str:
    """All of it, a paragraph each, with headings."""
    lines: list[str] = []
    for heading, paragraphs in (
        ("Rules", rules()),
        ("Findings of the bad cases", findings()),
        ("Tables of words", tables()),
        ("Helps", helps()),
        ("Cards of the page", cards()),
        ("Steps of the sheet", sheets()),
    ):
        lines += ["", f"# {heading}"]
        for paragraph in paragraphs:
            lines += paragraph
    lines += ["", "# Sentences of the code that stand nowhere above"]
    for paragraph in sentences(" ".join(" ".join(lines).split())):
        lines += paragraph
    return "\n".join(lines).strip() + "\n"


def wrapped(text: str, indent: str = "    ") -> list[str]:
    return textwrap.wrap(
        " ".join(text.split()),
        WIDTH,
        initial_indent=indent,
        subsequent_indent=indent,
        break_on_hyphens=False,
    )


def rules() -> Iterator[list[str]]:
    for rule in load().values():
        head = f"{rule.id} ({rule.family}, {rule.severity.value}, {rule.matter.value})"
        told = [with_dots(rule.what), rule.why, with_dots(rule.fix), rule.source]
        yield ["", head, *(line for text in told for line in wrapped(text))]


def findings() -> Iterator[list[str]]:
    """What each rule says of its own bad cases."""
    for rule in load().values():
        lines = []
        for path in sorted((TESTS / "cases" / rule.id).glob("bad*.yaml")):
            for finding in check([path]).findings:
                if finding.rule == rule.id:
                    lines += wrapped(f"{path.stem}: {finding.message}")
                    lines += wrapped(f"do: {finding.fix}", "        ")
                    if finding.fix_by_hand:
                        lines += wrapped(f"on paper: {finding.fix_by_hand}", "        ")
        yield ["", rule.id, *lines]


def tables() -> Iterator[list[str]]:
    for name in TABLES_OF_WORDS:
        table = tomllib.loads((HOUSE / "trade" / f"{name}.toml").read_text(encoding="utf-8"))
        yield ["", name]
        for rows in table.values():
            for row in rows if isinstance(rows, list) else [rows]:
                yield wrapped(", ".join(words(row)))


def words(row: object) -> Iterator[str]:
    """Every text of a row, in its order."""
    match row:
        case str():
            yield row
        case dict():
            for value in row.values():
                yield from words(value)
        case list():
            for value in row:
                yield from words(value)


def helps() -> Iterator[list[str]]:
    """The words of each help, not its layout, which differs between versions of Python."""
    for command in COMMANDS:
        yield ["", command, *told(parser_of(parser_for(command), command))]


def parser_of(parser: argparse.ArgumentParser, command: str) -> argparse.ArgumentParser:
    """The parser of one command among the parser's commands."""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            return action.choices[command]
    raise LookupError(command)


def told(parser: argparse.ArgumentParser) -> Iterator[str]:
    """Description, options and closing words; then those of each command below."""
    yield from wrapped(parser.description or "")
    for action in parser._actions:
        name = ", ".join(action.option_strings) or str(action.metavar or action.dest)
        yield from wrapped(f"{name}: {action.help}", "        ")
        if isinstance(action, argparse._SubParsersAction):
            for below in action.choices.values():
                yield from told(below)
    for line in (parser.epilog or "").splitlines():
        yield from wrapped(line)


def cards() -> Iterator[list[str]]:
    for path in sorted((HOUSE / "page" / "templates").glob("*.html")):
        text = TAG.sub("\n", path.read_text(encoding="utf-8"))
        lines = [" ".join(line.split()) for line in text.splitlines()]
        yield ["", path.name, *(f"    {line}" for line in lines if line)]


def sheets() -> Iterator[list[str]]:
    """Each page of both demo jobs: headings, leads, and what each step says."""
    for name, path in JOBS.items():
        given, _ = gather(path)
        if given is None:
            raise LookupError(path)
        for section in compose(given, print_held=True).sections:
            lines = (
                wrapped(f"{section.title} {section.lead}") if section.title or section.lead else []
            )
            for block in section.blocks:
                lines += block_said(block)
            yield ["", f"{name}, {section.key}", *lines]


def block_said(block: Block) -> list[str]:
    """The words of steps, stops, warnings and paragraphs; drawings have none of ours."""
    match block:
        case Steps():
            head = wrapped(f"{block.title} {block.lead}") if block.title or block.lead else []
            return [*head, *(line for step in block.steps for line in step_said(step))]
        case TwoNames():
            steps = [line for step in block.steps for line in step_said(step)]
            return [*wrapped(f"STOP: {block.name}"), *steps, *wrapped(block.alone)]
        case Warning():
            return [line for text in block.lines for line in wrapped(f"{block.word}: {text}")]
        case TextPiece():
            return wrapped(block.text)
    return []


def step_said(step: Step) -> list[str]:
    """One step in a line: its words, what is written in, what is wanted, its small print."""
    lines = [f"{line.at} {line.text} {line.asked}" for line in step.lines]
    return wrapped(" ".join([step.n, step.at, step.text, *lines, step.want, step.note]), "        ")


def sentences(above: str) -> Iterator[list[str]]:
    """Every text of three words or more in the code, `{}` where something is filled in, by its room."""
    rooms: dict[str, set[str]] = {}
    for path in HOUSE.rglob("*.py"):
        room = path.relative_to(HOUSE).parts[0].removesuffix(".py")
        tree = ast.parse(path.read_text(encoding="utf-8"))
        rooms.setdefault(room, set()).update(" ".join(text.split()) for text in texts(tree))
    for room, told in sorted(rooms.items()):
        new = sorted(text for text in told if is_sentence(text) and text not in above)
        if new:
            yield ["", room, *(line for text in new for line in wrapped(text))]


def is_sentence(text: str) -> bool:
    """Whether a text has three words or more and is no pattern."""
    worded = [word for word in text.split() if LETTERS.search(word)]
    return len(worded) >= FEWEST and "(?" not in text and "\\s" not in text


def texts(tree: ast.Module) -> Iterator[str]:
    """Every text of a module that is no docstring."""
    documented = ast.Module | ast.ClassDef | ast.FunctionDef
    notes = {id(node.body[0]) for node in ast.walk(tree) if isinstance(node, documented)}
    for node in parts(tree, notes):
        match node:
            case ast.Constant(value=str() as text):
                yield text
            case ast.JoinedStr():
                yield "".join(
                    str(part.value) if isinstance(part, ast.Constant) else "{}"
                    for part in node.values
                )


def parts(node: ast.AST, notes: set[int]) -> Iterator[ast.AST]:
    """The nodes below a node, of a text with fillings itself alone; docstrings left out."""
    for child in ast.iter_child_nodes(node):
        is_docstring = id(child) in notes and isinstance(child, ast.Expr)
        if not is_docstring:
            yield child
        if not is_docstring and not isinstance(child, ast.JoinedStr):
            yield from parts(child, notes)


if __name__ == "__main__":
    argparse.ArgumentParser(description=__doc__).parse_args()
    SAID.write_text(said(), encoding="utf-8")
