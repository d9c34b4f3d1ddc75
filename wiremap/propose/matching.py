"""Exact maximum-weight assignment of two sides, one to one, where staying alone is always allowed."""

from __future__ import annotations

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
                columns.add(column)
                for row in left_of[column]:
                    if row not in rows:
                        rows.add(row)
                        todo.append(row)
        seen |= rows
        found.update(_solve(sorted(rows), sorted(columns), weights))
    return found


def _solve(rows: list[str], columns: list[str], weights: Weights) -> dict[str, str]:
    """One part.  Every row gets a place of its own to stay alone in, at cost 0; a pair costs minus its weight."""
    n, m = len(rows), len(columns) + len(rows)
    far = 1 + 2 * sum(w for w in weights.values() if w > 0)
    cost = [[-weights.get((row, column), -far) for column in columns] + [0 if j == i else far for j in range(n)]
            for i, row in enumerate(rows)]
    u, v = [0] * (n + 1), [0] * (m + 1)
    owner, way = [0] * (m + 1), [0] * (m + 1)
    waiting = []
    for i in range(1, n + 1):        # rows whose cheapest place is free take it: most are done with that
        line = cost[i - 1]
        u[i] = min(line)
        j = next((j for j in range(1, m + 1) if line[j - 1] == u[i] and not owner[j]), 0)
        if j:
            owner[j] = i
        else:
            waiting.append(i)
    for i in waiting:
        owner[0], j0 = i, 0
        least, used = [far * 4] * (m + 1), [False] * (m + 1)
        while True:
            used[j0] = True
            i0, delta, j1 = owner[j0], far * 4, 0
            line, ui = cost[i0 - 1], u[i0]
            for j in range(1, m + 1):
                if used[j]:
                    continue
                reduced = line[j - 1] - ui - v[j]
                if reduced < least[j]:
                    least[j], way[j] = reduced, j0
                if least[j] < delta:
                    delta, j1 = least[j], j
            for j in range(m + 1):
                if used[j]:
                    u[owner[j]] += delta
                    v[j] -= delta
                else:
                    least[j] -= delta
            j0 = j1
            if owner[j0] == 0:
                break
        while j0:
            j1 = way[j0]
            owner[j0], j0 = owner[j1], j1
    return {rows[owner[j] - 1]: columns[j - 1] for j in range(1, len(columns) + 1)
            if owner[j] and weights.get((rows[owner[j] - 1], columns[j - 1]), 0) > 0}
