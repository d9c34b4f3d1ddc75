"""The reasons that a circuit bears: what speaks for it, what is open about it, who settled it.

A file holds them as sentences, told apart by how each begins; that is written and read here alone.
"""

from __future__ import annotations

from collections.abc import Iterable

from wiremap.model import Circuit, Confirmed

OPEN = "open:"  # begins a doubt
SETTLED_BY = "settled by "  # begins who settled the circuit


def as_doubt(words: str) -> str:
    """The reason that tells of something open."""
    return f"{OPEN} {words}"


def doubts(reasons: Iterable[str]) -> list[str]:
    """What is open, of the reasons of a circuit, without its first word."""
    return [reason.removeprefix(OPEN).strip() for reason in reasons if _is_doubt(reason)]


def without_doubts(reasons: Iterable[str]) -> tuple[str, ...]:
    """The reasons that tell of nothing open."""
    return tuple(reason for reason in reasons if not _is_doubt(reason))


def _is_doubt(reason: str) -> bool:
    return reason.startswith(OPEN)


PORT_OPEN = as_doubt("nobody has said which port of the module faces the machine")
PORT_REASONS = ("a port of the module: one answer settles all its wires", PORT_OPEN)


def is_of_port(reasons: Iterable[str]) -> bool:
    """Whether a circuit was proposed at a port of a module while nobody had said which port."""
    return not set(PORT_REASONS).isdisjoint(reasons)


def port_is_open(reasons: Iterable[str]) -> bool:
    """Whether nobody has said yet which port of a module faces the machine."""
    return PORT_OPEN in reasons


def settlement(entry: Confirmed) -> str:
    """Who settled a circuit, when and how: a reason among those that a circuit bears."""
    return f"{SETTLED_BY}{entry.by}, {entry.date}: {entry.how}"


def settled_before(circuit: Circuit) -> str:
    """Who settled a circuit, when and how, as its reasons tell it; empty if they do not."""
    told = [reason for reason in circuit.because if reason.startswith(SETTLED_BY)]
    return next((last.removeprefix(SETTLED_BY) for last in reversed(told)), "")


def other_reasons(circuit: Circuit) -> tuple[str, ...]:
    """A circuit's reasons but for who settled it."""
    return tuple(reason for reason in circuit.because if not reason.startswith(SETTLED_BY))
