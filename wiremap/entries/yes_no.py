"""Yes and no in the languages of those who type."""

from __future__ import annotations

from collections.abc import Collection

YES = frozenset({"yes", "ja", "jo", "jaha", "oui", "si", "sí", "sì", "sim", "tak", "ano", "kyllä"})
NO = frozenset({"no", "nein", "nee", "nej", "nei", "non", "não", "nao", "nie", "ei"})


def in_english(typed: str, answers: Collection[str]) -> str:
    """What was typed; a yes or no of another language in English where these may be answered."""
    word = typed.casefold()
    if word in YES and "yes" in answers:
        return "yes"
    if word in NO and "no" in answers:
        return "no"
    return typed
