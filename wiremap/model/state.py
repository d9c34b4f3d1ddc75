"""What stands otherwise than usual while one reading is taken."""

from __future__ import annotations

from dataclasses import dataclass

FUSE_IN = "in"
PARTED = "parted"


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class State:
    """One fuse that is in, or one net that is parted from what it meets outside; usually neither.

    >>> str(State(fuse="F1"))
    'F1 in'
    >>> State.read("guard-back parted").parted
    'guard-back'
    >>> bool(State())
    False
    """

    fuse: str = ""
    parted: str = ""

    def __post_init__(self) -> None:
        if self.fuse and self.parted:
            raise ValueError(
                f"a fuse in or a net parted, not both (got {self.fuse!r}, {self.parted!r})"
            )

    @classmethod
    def read(cls, text: str) -> State:
        """The state that a notebook spells; raises ValueError for any other text."""
        name, _, what = text.rpartition(" ")
        if not text:
            return cls()
        if name and what == FUSE_IN:
            return cls(fuse=name)
        if name and what == PARTED:
            return cls(parted=name)
        raise ValueError(f"no state of a reading: {text!r}")

    def __bool__(self) -> bool:
        return bool(self.fuse or self.parted)

    def __str__(self) -> str:
        if self.fuse:
            return f"{self.fuse} {FUSE_IN}"
        if self.parted:
            return f"{self.parted} {PARTED}"
        return ""
