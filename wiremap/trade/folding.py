"""Text without accents, so that two spellings of a word can be compared."""

from __future__ import annotations

import re
import unicodedata

_LETTERS = {"ł": "l", "Ł": "L", "ø": "o", "Ø": "O", "æ": "ae", "ß": "ss", "đ": "d", "ı": "i"}
_DASHES = re.compile("[‐‑‒–—―−]")


def folded(text: str) -> str:
    """The text without accents, with one kind of dash, its case kept."""
    if text.isascii():
        return text
    plain = unicodedata.normalize("NFKD", _DASHES.sub("-", text))
    for letter, base in _LETTERS.items():  # quicker than to translate letter by letter
        if letter in plain:
            plain = plain.replace(letter, base)
    for mark in set(plain):
        if unicodedata.combining(mark):
            plain = plain.replace(mark, "")
    return plain
