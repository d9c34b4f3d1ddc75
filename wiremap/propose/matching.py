"""Exact maximum-weight assignment of two sides, one to one, where staying alone is allowed."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from typing import Generic, TypeVar

import networkx as nx

Name = TypeVar("Name", bound=str)


def best_assignment(weights: Mapping[tuple[Name, Name], int]) -> dict[Name, Name]:
    """The pairs (left -> right) of greatest total weight; only positive weights are worth a pair.

    No name may stand on both sides.
    Exact: shortest augmenting paths with potentials (the Hungarian method) on each connected part
    of the candidates.  Deterministic: rows and columns are taken in the order of their names.
    """
    worth = [pair for pair, weight in weights.items() if weight > 0]
    lefts = {left for left, _ in worth}
    possible: nx.Graph[Name] = nx.Graph(worth)
    pairs: dict[Name, Name] = {}
    for part in nx.connected_components(possible):
        pairs.update(_Part(sorted(part & lefts), sorted(part - lefts), weights).solve())
    return pairs


class _Part(Generic[Name]):
    """One connected part.  A pair costs minus its weight, staying alone costs nothing.

    `mate` is each row's column, `owner` each column's row; the prices are the method's potentials.
    """

    def __init__(
        self, rows: list[Name], columns: list[Name], weights: Mapping[tuple[Name, Name], int]
    ) -> None:
        self.rows = rows
        self.columns = columns
        far = 1 + 2 * sum(weight for weight in weights.values() if weight > 0)
        self.cost: list[list[int]] = []
        for row in rows:
            told = [weights.get((row, column), 0) for column in columns]
            self.cost.append([-weight if weight > 0 else far for weight in told])
        self.row_price = [min(line) for line in self.cost]
        self.column_price = [0] * len(columns)
        self.owner: list[int | None] = [None] * len(columns)
        self.mate: list[int | None] = [None] * len(rows)

    def solve(self) -> dict[Name, Name]:
        """Enter the rows one by one by their cheapest path; most are done by a free column."""
        waiting = [row for row in range(len(self.rows)) if not self._takes_cheapest(row)]
        for row in waiting:
            self._enter(row)
        pairs = {}
        for name, column in zip(self.rows, self.mate, strict=True):
            if column is not None:
                pairs[name] = self.columns[column]
        return pairs

    def _takes_cheapest(self, row: int) -> bool:
        """Whether a cheapest column of the row is free; it is taken then."""
        for column, cost in enumerate(self.cost[row]):
            if cost == self.row_price[row] and self.owner[column] is None:
                self.owner[column] = row
                self.mate[row] = column
                return True
        return False

    def _enter(self, start: int) -> None:
        """Give a row its place along the cheapest alternating path.

        The path ends at a free column, or with a row that stays alone.
        """
        path = _Path(self, start)
        while path.row is not None:
            path.step()
        self._price(path)
        if path.best < path.alone:
            self._shift(path, path.end)
            return
        left = self.mate[path.loner]
        self.mate[path.loner] = None
        if left is not None:
            self._shift(path, left)

    def _price(self, path: _Path) -> None:
        """Move the prices along the path so that every reduced cost stays positive."""
        length = min(path.best, path.alone)
        for column in path.seen:
            row = self.owner[column]
            assert row is not None
            self.row_price[row] += length - path.reach[column]
            self.column_price[column] -= length - path.reach[column]
        self.row_price[path.start] += length

    def _shift(self, path: _Path, free: int | None) -> None:
        """Hand the columns on along the path, the last one first."""
        while free is not None:
            row = path.way[free]
            self.owner[free] = row
            left = self.mate[row] if row != path.start else None
            self.mate[row] = free
            free = left


class _Path:
    """The cheapest alternating paths from a row: how far each column is, and over which row."""

    def __init__(self, part: _Part[Name], start: int) -> None:
        self.part = part
        self.start = start
        self.row: int | None = start  # whose columns are looked at next; None at the end
        self.base = 0  # the way to that row
        self.reach = [sys.maxsize] * len(part.columns)
        self.way = [start] * len(part.columns)
        self.todo = list(range(len(part.columns)))
        self.seen: list[int] = []
        self.alone = sys.maxsize  # the shortest way that ends with a row alone, and that row
        self.loner = start
        self.best = sys.maxsize  # the shortest way to a column not yet seen, and that column
        self.end = -1

    def step(self) -> None:
        """Look at the columns of one row and go on to the nearest, or end."""
        row = self.row
        assert row is not None
        offset = self.base - self.part.row_price[row]
        if offset < self.alone:
            self.alone = offset
            self.loner = row
        self._relax(row, offset)
        holder = self.part.owner[self.end] if self.best < self.alone else None
        self.row = holder
        if holder is not None:
            self.todo.remove(self.end)
            self.seen.append(self.end)
            self.base = self.best

    def _relax(self, row: int, offset: int) -> None:
        line = self.part.cost[row]
        price = self.part.column_price
        reach = self.reach
        best = sys.maxsize
        end = -1
        for column in self.todo:
            distance = offset + line[column] - price[column]
            if distance < reach[column]:
                reach[column] = distance
                self.way[column] = row
            else:
                distance = reach[column]
            if distance < best:
                best = distance
                end = column
        self.best = best
        self.end = end
