"""What stands otherwise than usual while one reading is taken."""

from __future__ import annotations

from dataclasses import dataclass

FUSE_IN = "in"
PARTED = "parted"
SHRUNK = "shrunk"


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class State:
    """One fuse that is in, or one net that is parted from what it meets outside; usually neither.

    `shrunk`: read when the sleeves are shrunk, while the wires are moved by hand.

    >>> str(State(fuse="F1"))
    'F1 in'
    >>> State.read("guard-back parted").parted
    'guard-back'
    >>> str(State(parted="guard-back", shrunk=True))
    'guard-back parted shrunk'
    >>> bool(State())
    False
    """

    fuse: str = ""
    parted: str = ""
    shrunk: bool = False

    def __post_init__(self) -> None:
        if self.fuse and self.parted:
            raise ValueError(
                f"a fuse in or a net parted, not both (got {self.fuse!r}, {self.parted!r})"
            )

    @classmethod
    def read(cls, text: str) -> State:
        """The state that a notebook spells; raises ValueError for any other text."""
        plain = f" {text}".removesuffix(f" {SHRUNK}").strip()
        shrunk = plain != text.strip()
        name, _, last = plain.rpartition(" ")
        if not plain:
            return cls(shrunk=shrunk)
        if name and last == FUSE_IN:
            return cls(fuse=name, shrunk=shrunk)
        if name and last == PARTED:
            return cls(parted=name, shrunk=shrunk)
        raise ValueError(f"no state of a reading: {text!r}")

    def __bool__(self) -> bool:
        return bool(self.fuse or self.parted or self.shrunk)

    def __str__(self) -> str:
        words = [SHRUNK] if self.shrunk else []
        if self.fuse:
            words = [self.fuse, FUSE_IN, *words]
        if self.parted:
            words = [self.parted, PARTED, *words]
        return " ".join(words)
