"""Where further entries go in a notebook's text, told by the parser's own marks, however it is laid
out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from yaml.events import MappingStartEvent, ScalarEvent, SequenceEndEvent, SequenceStartEvent

from wiremap.base import Finding, Place, fault
from wiremap.files.built import built_notebook
from wiremap.files.dump import dump_entry
from wiremap.files.head import pairs, skip
from wiremap.files.schemas import first_lines
from wiremap.files.source import decode
from wiremap.files.strict import events
from wiremap.model import Entry, Notebook

INDENT = "  "
PLAIN_FORM = (
    "Write `entries:` on a line of its own and each entry on one below it, beginning with `- `."
)


def with_entries(text: str, path: Path, entries: Sequence[Entry]) -> str | Finding:
    """A notebook's text with entries behind those that it has; or why they cannot be added.

    The new text is read back: it must hold what the old one held and the new entries, in this
    order.
    """
    shown = path.as_posix()
    before = Notebook(shown)
    if text.strip():
        read = read_notebook(text, shown)
        if isinstance(read, Finding):
            return _refused(read)
        before = read
    lines = [dump_entry(entry) for entry in entries]
    alone = read_notebook(_begun(lines), shown)
    if isinstance(alone, Finding):
        return _refused(replace(alone, place=Place(shown)))
    new_text = _inserted(text, lines) if text.strip() else _begun(lines)
    after = read_notebook(new_text, shown)
    if isinstance(after, Finding) and after.rule == "over-limit":
        return _refused(after)
    if isinstance(after, Finding) or _said(after) != [*_said(before), *_said(alone)]:
        message = "nothing was saved: this notebook is laid out so that no entry can be added to it"
        return fault("not-written", message, Place(shown), fix=PLAIN_FORM)
    return new_text


def notebook_in(text: str, shown: str) -> tuple[Notebook | None, tuple[Finding, ...]]:
    """The notebook that a text holds, and all that is wrong with it."""
    clean, faults = decode(text.encode("utf-8"), shown)
    if clean is None:
        return None, faults
    made = built_notebook(clean)
    head = made.head
    if head.faults:
        return None, head.faults
    if head.kind != "notebook":
        message = f"this is a {head.kind}, and a notebook is wanted here"
        fix = "Name another file for the entries."
        return None, (fault("wrong-kind", message, Place(shown), fix=fix),)
    return made.value, made.findings


def read_notebook(text: str, shown: str) -> Notebook | Finding:
    """The notebook that a text holds, or the first fault in it."""
    notebook, faults = notebook_in(text, shown)
    return faults[0] if notebook is None else notebook


def _refused(found: Finding) -> Finding:
    return replace(found, message=f"nothing was saved: {found.message}")


def _said(notebook: Notebook) -> list[tuple[Entry, str]]:
    return [(replace(entry, place=None), entry.own_mark) for entry in notebook.entries]


def _begun(lines: Sequence[str]) -> str:
    """A new notebook."""
    head = [*first_lines("notebook"), "wiremap: notebook/1", "entries:"]
    return "\n".join([*head, *(f"{INDENT}- {line}" for line in lines)]) + "\n"


@dataclass(frozen=True, slots=True, kw_only=True)
class InsertionSpot:
    """Where the value of `entries` stands in a text, counted in characters."""

    start: int
    end: int
    last: int  # end of the last entry; `start` if there is none
    column: int | None = None  # how far the dashes of a list in lines stand in
    in_brackets: bool = False


def _inserted(text: str, lines: Sequence[str]) -> str:
    """The text with entries behind those it has; its own line ends are kept."""
    line_end = _line_end(text)
    spot = _spot(text)
    in_a_row = ", ".join(lines)
    if spot.column is not None:
        block = [" " * spot.column + f"- {line}" for line in lines]
        return _below(text, spot.last, block, line_end)
    if spot.in_brackets and spot.last > spot.start:
        return f"{text[: spot.last]}, {in_a_row}{text[spot.last :]}"
    if spot.in_brackets:
        at = spot.end - 1
        return text[:at] + in_a_row + text[at:]
    if _in_braces(text):
        return f"{text[: spot.start]}[{in_a_row}]{text[spot.end :]}"
    head = text[: spot.start].rstrip(" ")
    block = [f"{INDENT}- {line}" for line in lines]
    return _below(head + text[spot.end :], len(head), block, line_end)


def _below(text: str, at: int, block: Sequence[str], line_end: str) -> str:
    """A block of lines below the line that holds a place, or at the place if a line begins
    there.
    """
    if at and text[at - 1] not in "\r\n":
        while at < len(text) and text[at] not in "\r\n":
            at += 1
        at += len(line_end) if text.startswith(line_end, at) else 0
    before = text[:at]
    if before and not before.endswith(("\r", "\n")):
        before += line_end
    return before + line_end.join(block) + line_end + text[at:]


def _line_end(text: str) -> str:
    if "\r\n" in text:
        return "\r\n"
    return "\r" if "\r" in text and "\n" not in text else "\n"


def _in_braces(text: str) -> bool:
    """Whether the root of the file is written in braces."""
    for event in events(text):
        if isinstance(event, MappingStartEvent):
            return bool(event.flow_style)
    return False


def _spot(text: str) -> InsertionSpot:
    """Where the value of `entries` stands; the notebook has been read, so the key is there."""
    stream = events(text)
    for key, value in pairs(stream):
        if not isinstance(key, ScalarEvent) or key.value != "entries":
            continue
        start = value.start_mark.index
        if isinstance(value, SequenceStartEvent):
            return _list_spot(stream, value, start)
        return InsertionSpot(start=start, end=value.end_mark.index, last=start)
    raise AssertionError("a notebook without entries is not read")


def _list_spot(stream: Iterator[Any], opened: Any, start: int) -> InsertionSpot:
    """Where a list and its last entry end."""
    last = start
    for event in stream:
        if isinstance(event, SequenceEndEvent):
            break
        last = _end(stream, event)
    flow = bool(opened.flow_style)
    return InsertionSpot(
        start=start,
        end=event.end_mark.index,
        last=last,
        column=None if flow else opened.start_mark.column,
        in_brackets=flow,
    )


def _end(stream: Iterator[Any], event: Any) -> int:
    """Where the last thing within an entry ends; the end of a block is wherever the next begins."""
    end: int = event.end_mark.index
    for inner in skip(stream, event):
        closes = inner.end_mark.index > inner.start_mark.index
        if closes or isinstance(inner, ScalarEvent):
            end = inner.end_mark.index
    return end
