"""From bytes to clean text: everything that can be wrong with a file before its YAML is looked
at.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata
from dataclasses import dataclass
from pathlib import Path

from wiremap.base import Finding, Place, fault
from wiremap.files.filebytes import MAX_BYTES, read_bytes, too_large

MAX_SHOWN = 5  # of one kind of fault per file

BIDI = "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"
# Default_Ignorable_Code_Point of the Unicode Character Database (DerivedCoreProperties.txt), bidi
# controls apart.
IGNORABLE = (
    "\u00ad\u034f\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b-\u200d"
    "\u2060-\u2065\u206a-\u206f\u3164\ufe00-\ufe0f"
    "\ufeff\uffa0\ufff0-\ufff8\U0001bca0-\U0001bca3\U0001d173-\U0001d17a\U000e0000-\U000e0fff"
)
CONTROL = "\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff"
HIDDEN = re.compile(f"[{CONTROL}{BIDI}{IGNORABLE}]")
_BIDI = re.compile(f"[{BIDI}]")
_CONTROL = re.compile(f"[{CONTROL}]")
_TAB_OUTSIDE_COMMENT = re.compile(r"^[^#\n\r]*?\t", re.MULTILINE)
DIGITS = 12  # of a SHA-256, where people compare two
LINE_BREAK = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True, slots=True)
class Text:
    """The decoded text of one file, the name it is shown under, and the SHA-256 of its bytes."""

    shown: str
    text: str
    sha256: str = ""

    def place_at(self, index: int) -> Place:
        """Line and column of a character, counted from 1."""
        before = self.text[:index]
        breaks = list(LINE_BREAK.finditer(before))
        start = breaks[-1].end() if breaks else 0
        return Place(self.shown, len(breaks) + 1, index - start + 1)


def read_text(path: Path, shown: str) -> tuple[Text | None, tuple[Finding, ...]]:
    """Read a file into clean text, or tell why it cannot be read."""
    data, faults = read_bytes(path, shown)
    return (None, faults) if data is None else decode(data, shown)


def read_plain(path: Path, shown: str, limit: int) -> tuple[str | None, tuple[Finding, ...]]:
    """The text of a file or pipe that is no YAML, such as lines of readings; a byte order mark is
    dropped.
    """
    data, faults = read_bytes(path, shown, limit, pipes=True)
    if data is None:
        return None, faults
    found = _not_utf8(data, shown)
    if found is not None:
        return None, (found,)
    return data.decode("utf-8-sig"), ()


def decode(data: bytes, shown: str) -> tuple[Text | None, tuple[Finding, ...]]:
    """Turn bytes into clean text: UTF-8 (a byte order mark is dropped), no hidden characters, no
    tabs in the layout.
    """
    if len(data) > MAX_BYTES:
        return None, (too_large(shown, MAX_BYTES),)
    found = _not_utf8(data, shown)
    if found is not None:
        return None, (found,)
    text = Text(shown, data.decode("utf-8-sig"), hashlib.sha256(data).hexdigest())
    if not text.text.strip():
        return None, (
            fault(
                "empty-file",
                "the file is empty",
                Place(shown),
                fix="Fill it in, or write a blank with "
                "`wiremap start pinout` or `wiremap start job`.",
            ),
        )
    faults = (*hidden_characters(text), *_tabs(text))
    return (None if faults else text), faults


def hidden_characters(text: Text) -> tuple[Finding, ...]:
    """A fault for each character that a reader of the file could not see or that would change how
    the line reads.
    """
    if text.text.isascii() and not _CONTROL.search(text.text):
        return ()
    hits = list(HIDDEN.finditer(text.text))
    return tuple(hidden_fault(hit.group(), text.place_at(hit.start())) for hit in hits[:MAX_SHOWN])


def hidden_fault(character: str, place: Place) -> Finding:
    """The fault for one hidden character at its place."""
    code = f"U+{ord(character):04X}"
    name = unicodedata.name(character, "")
    what = f"{code} {name}" if name else code
    if _BIDI.match(character):
        why = "It reverses the reading order, so what is seen is not what is meant."
    elif _CONTROL.match(character):
        why = "Control characters and odd line breaks can garble a terminal or a print."
    else:
        why = "It is invisible: two names that look alike would not be the same."
    return fault(
        "hidden-character",
        f"a hidden character stands here: {what}",
        place,
        why=why,
        fix="Delete it; retyping the word is the surest way.",
    )


def shown_character(character: str) -> str:
    """A character as it may be printed: itself, or its code point where it cannot be seen."""
    if character.isprintable() and character != "\u00a0":
        return character
    return f"U+{ord(character):04X}"


def _tabs(text: Text) -> tuple[Finding, ...]:
    if "\t" not in text.text:
        return ()
    hits = list(_TAB_OUTSIDE_COMMENT.finditer(text.text))
    return tuple(
        fault(
            "tab",
            "a tab stands here; YAML is laid out with spaces",
            text.place_at(hit.end() - 1),
            why="How wide a tab is differs from editor to editor, so the layout cannot be trusted.",
            fix="Replace it with spaces (two for each step inwards).",
        )
        for hit in hits[:MAX_SHOWN]
    )


def _not_utf8(data: bytes, shown: str) -> Finding | None:
    place = Place(shown)
    save = "Save the file as UTF-8 (in most editors: Save as, encoding UTF-8)."
    head = data[:4096]
    if head.startswith((b"\xff\xfe", b"\xfe\xff")) or _looks_utf16(head):
        return fault("not-utf8", "the file is saved as UTF-16, not UTF-8", place, fix=save)
    if b"\x00" in head or head.startswith((b"%PDF", b"PK\x03\x04", b"\x89PNG", b"\xff\xd8\xff")):
        return fault(
            "not-text",
            "this is not a text file (a binary such as a picture, PDF or workbook)",
            place,
            fix="Give the YAML file itself; a spreadsheet is read by `wiremap intake`.",
        )
    try:
        data.decode("utf-8")
    except UnicodeDecodeError as error:
        good = Text(shown, data[: error.start].decode("utf-8-sig"))
        return fault(
            "not-utf8",
            f"byte 0x{data[error.start]:02X} is not UTF-8; the file is probably saved in an "
            "older code page such as Windows-1252",
            good.place_at(len(good.text)),
            fix=save,
        )
    return None


def _looks_utf16(head: bytes) -> bool:
    """Whether bytes look like UTF-16: every second byte of plain Latin text is 0 there."""
    if len(head) < 8:
        return False
    even, odd = head[0::2].count(0), head[1::2].count(0)
    return max(even, odd) > len(head) * 0.3 and min(even, odd) < len(head) * 0.02
