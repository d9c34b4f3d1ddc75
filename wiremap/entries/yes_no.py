"""Yes and no in the languages of those who type."""

from __future__ import annotations

from collections.abc import Collection

YES = frozenset({"yes", "ja", "jo", "jaha", "oui", "si", "sí", "sì", "sim", "tak", "ano", "kyllä"})
NO = frozenset({"no", "nein", "nee", "nej", "nei", "non", "não", "nao", "nie", "ei"})


def in_english(typed: str, answers: Collection[str]) -> str:
    """A yes or no in English where these may be answered, as it was typed elsewhere."""
    word = typed.casefold()
    if word in YES and "yes" in answers:
        return "yes"
    if word in NO and "no" in answers:
        return "no"
    return typed
