"""How a place in a harness is named: `loom.1`, `F1.a`, `G1`, `chassis`."""

from __future__ import annotations

from collections.abc import Callable


class Address(str):
    """A point of a job: the end (or extra) it belongs to, and its cavity (or leg).

    It is the text that people write, so that it sorts, prints and is looked up as that text; a stud
    and the chassis have no second part.

    >>> Address("loom", "1.2")
    'loom.1.2'
    >>> Address.read("loom.1.2").cavity
    '1.2'
    >>> Address.read("G1").cavity
    ''
    """

    __slots__ = ()

    def __new__(cls, end: str, cavity: str = "") -> Address:
        return super().__new__(cls, f"{end}.{cavity}" if cavity else end)

    @classmethod
    def read(cls, text: str) -> Address:
        """The address that a text spells; it parts at its first dot."""
        return super().__new__(cls, text)

    def __reduce__(self) -> tuple[Callable[[str], Address], tuple[str]]:
        return (Address.read, (str(self),))

    @property
    def end(self) -> str:
        """The end or extra that it belongs to."""
        return self.partition(".")[0]

    @property
    def cavity(self) -> str:
        """The cavity of the end, or the leg of the extra; empty for a stud and the chassis."""
        return self.partition(".")[2]


def hold_addresses(record: object, name: str) -> None:
    """Turn a frozen record's field of plain texts into one of addresses; for its
    `__post_init__`.
    """
    points = getattr(record, name)
    if type(points) is tuple and all(type(point) is Address for point in points):
        return
    object.__setattr__(record, name, tuple(map(Address.read, points)))
