"""Exact maximum-weight assignment of two sides, one to one, where staying alone is always allowed."""

from __future__ import annotations

import sys
from collections import defaultdict
from collections.abc import Mapping

Weights = Mapping[tuple[str, str], int]


def best_assignment(weights: Weights) -> dict[str, str]:
    """The pairs (left -> right) of greatest total weight; only positive weights are worth a pair.

    Exact: shortest augmenting paths with potentials (the Hungarian method) on each connected part of the candidates.
    Deterministic: rows and columns are taken in the order of their names.
    """
    right_of: dict[str, list[str]] = defaultdict(list)
    left_of: dict[str, list[str]] = defaultdict(list)
    for left, right in sorted(pair for pair, weight in weights.items() if weight > 0):
        right_of[left].append(right)
        left_of[right].append(left)
    found: dict[str, str] = {}
    seen: set[str] = set()
    for start in sorted(right_of):
        if start in seen:
            continue
        rows, columns, todo = {start}, set[str](), [start]
        while todo:
            for column in right_of[todo.pop()]:
                if column not in columns:
                    columns.add(column)
                    todo += [row for row in left_of[column] if row not in rows]
                    rows.update(left_of[column])
        seen |= rows
        found.update(_solve(sorted(rows), sorted(columns), weights))
    return found


def _solve(rows: list[str], columns: list[str], weights: Weights) -> dict[str, str]:
    """One part.  A pair costs minus its weight, staying alone costs 0; rows enter one by one by their cheapest path."""
    far = 1 + 2 * sum(w for w in weights.values() if w > 0)
    cost = [
        [-w if (w := weights.get((row, column), 0)) > 0 else far for column in columns]
        for row in rows
    ]
    u, v = [min(line) for line in cost], [0] * len(columns)
    owner: list[int | None] = [None] * len(columns)
    mate: list[int | None] = [None] * len(rows)
    for i, line in enumerate(
        cost
    ):  # a row whose cheapest column is free takes it: most are done with that
        j = next((j for j, c in enumerate(line) if c == u[i] and owner[j] is None), None)
        if j is not None:
            owner[j], mate[i] = i, j
    for i in [i for i, j in enumerate(mate) if j is None]:
        _enter(i, cost, u, v, owner, mate)
    return {rows[i]: columns[j] for i, j in enumerate(mate) if j is not None}


def _enter(
    start: int,
    cost: list[list[int]],
    u: list[int],
    v: list[int],
    owner: list[int | None],
    mate: list[int | None],
) -> None:
    """Give a row its place along the cheapest alternating path, which ends at a free column or with a row that stays alone."""
    todo, seen = list(range(len(v))), list[int]()
    reach, way = [sys.maxsize] * len(v), [start] * len(v)
    row, base, alone, loner = start, 0, sys.maxsize, start
    while True:
        line, offset = cost[row], base - u[row]
        if offset < alone:
            alone, loner = offset, row
        best, end = sys.maxsize, -1
        for j in todo:
            told = offset + line[j] - v[j]
            if told < reach[j]:
                reach[j], way[j] = told, row
            else:
                told = reach[j]
            if told < best:
                best, end = told, j
        holder = owner[end] if best < alone else None
        if holder is None:
            break
        todo.remove(end)
        seen.append(end)
        row, base = holder, best
    length = min(best, alone)
    for j in seen:
        u[_row(owner[j])] += length - reach[j]
        v[j] -= length - reach[j]
    u[start] += length
    free: int | None = end
    if alone <= best:
        free, mate[loner] = mate[loner], None
    while free is not None:
        row = way[free]
        owner[free], mate[row], free = row, free, mate[row] if row != start else None


def _row(held: int | None) -> int:
    assert held is not None
    return held
