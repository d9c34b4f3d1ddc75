"""Answers about a machine's supply and about where its wires lie, laid over what the file says."""

from __future__ import annotations

from dataclasses import replace

from wiremap.evidence.answer_figures import figure_of
from wiremap.model import Supply, Surroundings


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
