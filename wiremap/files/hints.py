"""What a broken layout most likely means, in a person's words: the YAML library's own sentences are
never shown.
"""

from __future__ import annotations

import re
from typing import Any

import yaml

from wiremap.base import Finding, Place, fault
from wiremap.files.source import LINE_BREAK, Text, shown_character

LOOKED_AT = 400  # characters of a line that are searched for what was meant
# A key with its value glued to the colon; a colon before or of another kind of space; a mark alone.
_NO_SPACE = re.compile(r"^\s*(?:- |\{)*\s*[\w.+-]+(?: [\w.+-]+){0,3}:(?=[^\s:/\\])")
_ODD_COLON = re.compile("[:：][\u00a0\u2000-\u200a\u202f\u205f\u3000]|：")
_LONE_MARK = re.compile(r"(?::|^\s*-|[\[,{])\s+([?-])\s*(?=$|#|[,}\]])|:\s+(\?)\s")


def short(text: str, most: int = 60) -> str:
    """A piece of the user's text fit for a message: one line, printable, not too long."""
    clean = text
    if not text.isprintable():
        clean = "".join(each if each.isprintable() else shown_character(each) for each in text)
    return clean if len(clean) <= most else clean[: most - 3] + "..."


def anchor(name: str, place: Place) -> Finding:
    """For `&name` before a value."""
    return fault(
        "yaml-anchor",
        f"`&{short(name)}` here is read as a YAML anchor, which is not allowed",
        place,
        why="A value that stands for another place hides what a cavity really says.",
        fix='If the text itself begins with "&", put it in quotes; otherwise write the value out.',
    )


def alias(name: str, place: Place) -> Finding:
    """For `*name` where a value is wanted."""
    return fault(
        "yaml-anchor",
        f"`*{short(name)}` here is read as a YAML reference, which is not allowed",
        place,
        why="A value that stands for another place hides what a cavity really says.",
        fix='If the text itself begins with "*", put it in quotes; otherwise write the value out.',
    )


def tag(name: str, place: Place) -> Finding:
    """For `!name` before a value."""
    written = (
        "!!" + name.removeprefix("tag:yaml.org,2002:")
        if name.startswith("tag:yaml.org,2002:")
        else name
    )
    return fault(
        "yaml-tag",
        f"`{short(written)}` here is read as a YAML tag, which is not allowed",
        place,
        fix='If the text itself begins with "!", put it in quotes; otherwise delete it.',
    )


def odd_space(found: str, place: Place) -> Finding:
    """For a space that is no plain space, or a full-width colon."""
    if "：" in found:
        return fault(
            "odd-space",
            "a full-width colon stands here where a plain `:` and a space are wanted",
            place,
            fix="Type `: ` with a plain colon and space.",
        )
    space = next(character for character in found if character not in ":：")
    name = (
        "a non-breaking space"
        if space == "\u00a0"
        else f"an unusual space ({shown_character(space)})"
    )
    where = " after the colon" if found.startswith((":", "：")) else ""
    return fault(
        "odd-space",
        f"{name} stands here{where} where a plain space is wanted",
        place,
        why="It looks like a space but does not part a key from its value.",
        fix="Delete it and type a plain space.",
    )


def bare_word(key: str, before: str, place: Place) -> Finding:
    """For a word without a value inside braces."""
    glued = re.match(r"([\w-]+):(\S.*)", key)
    if glued:
        return fault(
            "missing-space",
            f"a space is missing after the colon in `{short(key)}`",
            place,
            fix=f"Write `{glued.group(1)}: {short(glued.group(2))}`.",
        )
    if re.search(r"\d$", before) and re.match(r"\d", key):
        return fault(
            "comma-in-braces",
            f"a decimal is written with a point: a comma parts `{short(before)}` from "
            f"`{short(key)}` here",
            place,
            fix=f"Write `{short(before)}.{short(key)}`.",
        )
    if before:
        return fault(
            "comma-in-braces",
            f"inside braces a comma ends the value, so `{short(key)}` stands alone here",
            place,
            fix=f'If it belongs to the text before it, use quotes: "{short(before + ", " + key)}".',
        )
    return fault(
        "missing-value",
        f"`{short(key)}` has no value",
        place,
        fix=f"Write `{short(key)}: ...`, or put the whole text in quotes if the comma belongs "
        "to it.",
    )


def explain(error: yaml.YAMLError, text: Text) -> Finding:
    """The fault behind a parser error: what, where, and how to mend it."""
    mark, context = getattr(error, "problem_mark", None), getattr(error, "context_mark", None)
    mark = mark or context
    if mark is None:
        return fault("yaml-layout", "the file cannot be read as YAML", Place(text.shown))
    lines = LINE_BREAK.split(text.text)
    problem = _Problem(error, mark, context, lines, text.shown)
    # Some builds of the parser stop by themselves before our own limit is asked.
    if "nesting depth" in problem.said:
        return problem.fault(
            "over-limit",
            "brackets or indents are nested deeper than the parser follows",
            "A pin table needs five or six levels; look for a bracket that is never closed.",
        )
    for guess in _GUESSES:
        finding = guess(problem)
        if finding is not None:
            return finding
    return problem.fault(
        "yaml-layout",
        f"the layout of the file cannot be followed from here{problem.excerpt()}",
        "Look for a missing quote, bracket, comma or colon on this line or the one above.",
    )


class _Problem:
    """The parser's complaint with the lines it speaks of."""

    def __init__(
        self, error: Exception, mark: Any, context_mark: Any, lines: list[str], shown: str
    ) -> None:
        self.said = str(getattr(error, "problem", "") or "")
        self.context = str(getattr(error, "context", "") or "")
        self.lines = lines
        self.shown = shown
        self.line_no, self.column = mark.line, mark.column
        self.start_line = context_mark.line if context_mark is not None else mark.line
        self.start_column = context_mark.column if context_mark is not None else mark.column

    def text_of(self, line: int) -> str:
        return self.lines[line] if 0 <= line < len(self.lines) else ""

    @property
    def line(self) -> str:
        return self.text_of(self.line_no)

    @property
    def rest(self) -> str:
        return self.line[self.column :]

    def excerpt(self) -> str:
        rest = self.rest.strip()
        return f": `{short(rest, 40)}`" if rest else ""

    def fault(
        self,
        rule: str,
        message: str,
        fix: str,
        why: str = "",
        *,
        line: int | None = None,
        column: int | None = None,
    ) -> Finding:
        at_line = self.line_no if line is None else line
        at_column = self.column if column is None else column
        if at_line >= len(self.lines) or not self.text_of(at_line):
            while at_line > 0 and not self.text_of(min(at_line, len(self.lines) - 1)).strip():
                at_line = min(at_line, len(self.lines) - 1) - 1
            at_column = 0 if column is None else column
        return fault(rule, message, Place(self.shown, at_line + 1, at_column + 1), why=why, fix=fix)


def _odd_colon(problem: _Problem) -> Finding | None:
    for line in (problem.start_line, problem.line_no, problem.line_no - 1):
        found = _ODD_COLON.search(problem.text_of(line)) if line >= 0 else None
        if found:
            return odd_space(found.group(), Place(problem.shown, line + 1, found.start() + 1))
    return None


def _first_character(problem: _Problem) -> Finding | None:
    first = problem.rest[:1]
    if "cannot start any token" in problem.said and first:
        value = re.match(r"[^,}\]#]*", problem.rest)
        text = short(value.group().strip() if value else first)
        return problem.fault(
            "needs-quotes",
            f"a value may not begin with `{shown_character(first)}` unless it stands in quotes",
            f'Write "{text}" with the quotes.',
        )
    if "block scalar" in problem.context:
        return problem.fault(
            "needs-quotes",
            "a value that begins with `>` or `|` must stand in quotes",
            "Put quotes around the whole value.",
            line=problem.start_line,
            column=problem.start_column,
        )
    if "alias" in problem.context or "anchor" in problem.context:
        mark = "*" if "alias" in problem.context else "&"
        return problem.fault(
            "needs-quotes",
            f"a value that begins with `{mark}` must stand in quotes",
            "Put quotes around the whole value.",
            line=problem.start_line,
            column=problem.start_column,
        )
    if "tag" in problem.context or "tag" in problem.said:
        return problem.fault(
            "yaml-tag",
            "`!` here is read as a YAML tag, which is not allowed",
            'If the text itself begins with "!", put it in quotes.',
            line=problem.start_line,
            column=problem.start_column,
        )
    if "directive" in problem.context or problem.text_of(0).startswith("%"):
        return problem.fault(
            "needs-quotes",
            "a line that begins with `%` is read as a directive",
            "Delete the line, or put quotes around the text.",
            line=problem.start_line,
            column=0,
        )
    return None


def _lone_mark(problem: _Problem) -> Finding | None:
    wanted = ("entries are not allowed", "mapping keys are not allowed", "node content")
    if not any(words in problem.said for words in wanted):
        return None
    start = max(0, problem.column - 3)
    found = _LONE_MARK.search(problem.line[: start + LOOKED_AT], start)
    mark = next((group for group in found.groups() if group), "") if found else problem.rest[:1]
    if found and mark in ("?", "-"):
        return problem.fault(
            "needs-quotes",
            f"`{mark}` alone must stand in quotes",
            f'Write "{mark}" with the quotes.',
        )
    if "entries are not allowed" in problem.said:
        return problem.fault(
            "yaml-layout",
            "a list item (`- `) may not begin on this spot",
            "Begin the list on a new line, two spaces further in; or put the value in quotes "
            "if the "
            "dash belongs to it.",
        )
    if "node content" in problem.said and problem.rest[:1] in ",}]?":
        return problem.fault(
            "missing-value",
            f"a value is missing before `{problem.rest[:1]}`",
            "Write the value, delete the spare comma, or put a lone `?` in quotes.",
        )
    return None


def _quotes(problem: _Problem) -> Finding | None:
    if "quoted scalar" not in problem.context and "double-quoted" not in problem.context:
        return None
    if "end of stream" in problem.said or "document separator" in problem.said:
        return problem.fault(
            "open-quote",
            "a quote is opened here and never closed",
            "Close it on the same line.",
            line=problem.start_line,
            column=problem.start_column,
        )
    return problem.fault(
        "odd-escape",
        "a backslash inside double quotes begins an escape that does not exist",
        "Use single quotes around the text, or write the backslash twice.",
    )


def _missing_space(problem: _Problem) -> Finding | None:
    lines = [problem.start_line]
    if "mapping values are not allowed" in problem.said or "expected" in problem.said:
        lines += [problem.line_no - 1, problem.line_no]
    for line in lines:
        found = _NO_SPACE.match(problem.text_of(line)[:LOOKED_AT]) if line >= 0 else None
        if found:
            return problem.fault(
                "missing-space",
                f"a space is missing after the colon in "
                f"`{short(problem.text_of(line).strip(), 40)}`",
                "Put one space after the colon.",
                line=line,
                column=found.end() - 1,
            )
    if "simple key" in problem.context:
        text = short(problem.text_of(problem.start_line).strip(), 40)
        return problem.fault(
            "missing-colon",
            f"a colon is missing after `{text}`",
            "Write `key: value`; a longer text goes on one line or in quotes.",
            line=problem.start_line,
            column=problem.start_column,
        )
    return None


def _second_colon(problem: _Problem) -> Finding | None:
    if "mapping values are not allowed" in problem.said:
        if re.search(r":\s", problem.line[: problem.column]):
            return problem.fault(
                "needs-quotes",
                "a second `: ` on one line must stand in quotes",
                'Put quotes around the whole value: key: "text: more text".',
            )
        return problem.fault(
            "yaml-layout",
            "this line does not fit below the one above",
            "Give keys of one level the same indent; the line above may lack its colon or value.",
        )
    return None


def _brackets(problem: _Problem) -> Finding | None:
    if "flow mapping" not in problem.context and "flow sequence" not in problem.context:
        return None
    opened = "{" if "mapping" in problem.context else "["
    closing = {"{": "}", "[": "]"}[opened]
    if problem.line_no == problem.start_line and problem.rest.strip():
        if problem.rest.startswith(":"):
            return problem.fault(
                "missing-comma",
                "a comma is missing before this `key: value`, or the value needs quotes",
                "Part the entries inside braces with commas.",
            )
        return problem.fault(
            "missing-comma",
            f"a comma or `{closing}` is missing before `{short(problem.rest.strip(), 40)}`",
            "Part the entries with commas, and put text that goes on after a quote into one "
            "pair of quotes.",
        )
    return problem.fault(
        "open-bracket",
        f"the `{opened}` opened here is not closed",
        f"Close it with `{closing}`.",
        line=problem.start_line,
        column=problem.start_column,
    )


def _block(problem: _Problem) -> Finding | None:
    if "block mapping" not in problem.context and "block collection" not in problem.context:
        return None
    before, rest = problem.line[: problem.column].rstrip(), problem.rest.strip()
    if before.endswith(('"', "'")) and rest:
        return problem.fault(
            "text-after-quote",
            f"text goes on after the closing quote: `{short(rest, 40)}`",
            "Put one pair of quotes around the whole value.",
        )
    if rest[:1] in ("}", "]"):
        return problem.fault(
            "open-bracket", f"this `{rest[0]}` closes nothing", "Delete it, or open it first."
        )
    if rest[:1] == ":":
        return problem.fault("missing-key", "a key is missing before this colon", "Write the key.")
    if not before:
        return problem.fault(
            "yaml-layout",
            f"the indent of this line fits no line above: `{short(rest, 40)}`",
            "Give keys of one level the same indent, and everything below a key two spaces more.",
        )
    return None


def _document_end(problem: _Problem) -> Finding | None:
    if "document start" in problem.said:
        return problem.fault(
            "several-documents",
            "text goes on after the end of the document",
            "A file holds one document; delete the `...` line or the text after it.",
        )
    if "incompatible" in problem.said:
        return problem.fault("yaml-layout", "this %YAML version is not known", "Delete the line.")
    return None


# tried in this order: the first that knows the problem explains it
_GUESSES = (
    _odd_colon,
    _document_end,
    _first_character,
    _lone_mark,
    _quotes,
    _missing_space,
    _second_colon,
    _brackets,
    _block,
)
