"""Left-over power grounds and supplies may join metal of their own function, as a question."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from wiremap.model import Cavity
from wiremap.propose.compare import compare
from wiremap.propose.result import Proposed, worse
from wiremap.propose.returns import served
from wiremap.trade.functions import FUNCTIONS


def merge(
    circuits: list[Proposed], a: Mapping[str, Cavity], b: Mapping[str, Cavity]
) -> tuple[list[Proposed], dict[str, str]]:
    """The circuits with what may be merged into them, and why each other left-over supply or ground was not.

    Never a restricted return; never a second source of the machine's side; `ask` where both contacts belong to one end,
    `likely` where they are the common returns of two ends.
    """
    out = list(circuits)
    refused: dict[str, str] = {}
    joined = {p for c in circuits for p in c.join}
    for point, cavity in (*a.items(), *b.items()):
        known = FUNCTIONS[cavity.function]
        if point in joined or not (
            known.electrical == "supply" or cavity.function == "power-ground"
        ):
            continue
        if served(point, cavity, a if point in a else b) is not None:
            refused[point] = (
                "it serves circuits of its own that have no partner; a restricted return is never merged"
            )
            continue
        index = _home(point, cavity, out, a, b)
        if index is None:
            continue
        if known.electrical == "supply" and point in a:
            refused[point] = (
                f"joining it to {out[index].join[0]} would tie two sources of the machine together"
            )
            continue
        out[index] = _with(out[index], point, cavity, known.electrical == "supply")
        joined.add(point)
    return out, refused


def _home(
    point: str,
    cavity: Cavity,
    circuits: list[Proposed],
    a: Mapping[str, Cavity],
    b: Mapping[str, Cavity],
) -> int | None:
    """The circuit whose contact on the far side carries the same function, the best fit first."""
    mine, far = (a, b) if point in a else (b, a)
    fits: list[tuple[int, int]] = []
    for i, circuit in enumerate(circuits):
        there = [p for p in circuit.join if p in far]
        here = [p for p in circuit.join if p in mine]
        if not there or not here or any(mine[p].function != cavity.function for p in here):
            continue
        if any(far[p].function != cavity.function for p in there):
            continue
        pair = [(cavity, far[p]) if point in a else (far[p], cavity) for p in there]
        found = [compare(*x) for x in pair]
        if all(
            not f.refused and not any(h.startswith(("circuit", "index")) for h in f.hard)
            for f in found
        ):
            fits.append((-sum(f.weight for f in found), i))
    return min(fits)[1] if fits else None


def _with(circuit: Proposed, point: str, cavity: Cavity, supply: bool) -> Proposed:
    end = point.partition(".")[0]
    mates = [p for p in circuit.join if p.partition(".")[0] == end]
    adds = "currents add; " if supply or cavity.amps else ""
    # two contacts are rivals for a third only until both have found it
    because = tuple(b for b in circuit.because if b != f"open: {point} fits as well")
    if mates:
        told = f"open: {point} merged in: {adds}it belongs to the same connector as {mates[0]}"
        return replace(circuit, join=(*circuit.join, point), grade="ask", because=(*because, told))
    settled = len(because) < len(circuit.because) and not any(
        b.startswith("open: ") for b in because
    )
    told = f"open: {point} merged in: {adds}both are the common returns of their connectors"
    grade = "likely" if settled else worse(circuit.grade, "likely")
    return replace(
        circuit,
        join=(*circuit.join, point),
        grade="ask" if supply else grade,
        because=(*because, told),
    )
