"""Things that belong together, told pair by pair."""

from __future__ import annotations

from collections.abc import Hashable
from typing import Generic, TypeVar

T = TypeVar("T", bound=Hashable)


class Joined(Generic[T]):
    """Groups that grow by joining two members at a time; whoever was never named is a group of its own."""

    def __init__(self) -> None:
        self._up: dict[T, T] = {}

    def root(self, a: T) -> T:
        """The member that stands for the whole group of `a`."""
        up = self._up
        while (above := up.get(a, a)) != a:
            up[a] = above = up.get(above, above)
            a = above
        return a

    def join(self, a: T, b: T) -> None:
        """One group of both."""
        self._up[self.root(a)] = self.root(b)
