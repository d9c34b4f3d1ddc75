"""Answers about a supply, what feeds a contact, and where wires lie, laid over the file."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from wiremap.evidence.answer_figures import figure_of
from wiremap.model import End, Fed, Supply, Surroundings, frozen

FED = frozenset({"fuse_amps", "found_amps", "milliohm", "length_mm"})  # of what feeds a contact


def supply_with(known: Supply, key: str, text: str) -> Supply:
    """The supply with one of its figures answered."""
    value = figure_of(f"supply.{key}", text)
    if value is None:
        return known
    if key == "volts":
        return replace(known, volts=value)
    if key == "min_volts":
        return replace(known, min_volts=value)
    return replace(known, max_volts=value)


def with_feed(end: End, name: str, key: str, text: str) -> End:
    """The end with one figure of what feeds a contact answered."""
    value = figure_of(key, text)
    if value is None:
        return end
    told: dict[str, Any] = {key: value}
    fed = replace(end.fed.get(name, Fed(cavity=name)), **told)
    return replace(end, fed=frozen({**end.fed, name: fed}))


def surroundings_with(known: Surroundings, key: str, text: str) -> Surroundings:
    """The surroundings with one thing answered."""
    if key == "wet" and text.casefold() in ("yes", "no", "true", "false"):
        return replace(known, wet=text.casefold() in ("yes", "true"))
    if key == "moves":
        return replace(known, moves=text)
    value = figure_of(f"surroundings.{key}", text)
    if value is not None and key == "ambient_C":
        return replace(known, ambient_C=value)
    if value is not None and key == "limit_C":
        return replace(known, limit_C=value)
    if value is not None and key == "bundle":
        return replace(known, bundle=max(1, int(value)))  # a wire that lies alone is a bundle of 1
    return known
