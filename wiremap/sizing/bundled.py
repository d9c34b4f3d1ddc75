"""What a bundle leaves of the current that a wire carries singly."""

from __future__ import annotations

from typing import NamedTuple

from wiremap.sizing.conductor import Cable
from wiremap.sizing.sized import OutOfRange, source_row
from wiremap.trade.tables import table

FILE = "ampacity.toml"


class BundleFactor(NamedTuple):
    """Share of a single wire's current that is left in a bundle, its condition and standing."""

    factor: float
    condition: str
    standing: str


def most_bundled() -> int:
    """How many loaded wires the table of bundle factors goes up to."""
    return int(table(FILE).sections["bundle_factors"][-1]["wires"])


def bundle_factor(wires: int) -> BundleFactor:
    """Factor for a number of loaded wires lying together; 1 for a single wire.

    A number between two rows takes the row of the larger bundle, which is the lower factor.
    Raises OutOfRange above the table, and for what is no whole number from 1 on.
    """
    rows = table(FILE).sections["bundle_factors"]
    source = source_row(FILE, "mil-vde")
    most = most_bundled()
    whole = isinstance(wires, int) and not isinstance(wires, bool)
    if not whole or not 1 <= wires <= most:
        span = f"must be a whole number from 1 to {most} ({source['title']})"
        raise OutOfRange(f"the number of loaded wires {span}; got {wires}")
    if wires == 1:
        return BundleFactor(1.0, "single wire in free air", "computed")
    row = next(row for row in rows if row["wires"] >= wires)
    condition = f"{source['title']}: {source['note']}"
    if row["wires"] != wires:
        condition += f", row of {row['wires']} taken for {wires}"
    return BundleFactor(row["factor"], condition, row["standing"])


class Lying(NamedTuple):
    """A wire where it lies: in what ambient [C], and how much of a single one's current is left."""

    wire: Cable
    ambient_C: float
    share: BundleFactor

    def alone(self, amps: float) -> float:
        """The current that would warm it as much if it lay singly [A]."""
        return amps / self.share.factor

    def told(self, amps: float) -> str:
        """How the bundle is counted, in words; empty for a single wire."""
        if self.share.factor == 1:
            return ", single wire"
        return f", in the bundle: a single wire at {amps:g} A / {self.share.factor:g}"


def lying_told(bundle: int) -> str:
    """How a wire is taken to lie, and what the figure then leaves out."""
    if bundle == 1:
        return (
            "one wire in free air: among loaded wires, of which a return is one, or in tape, "
            "sleeve or conduit it carries far less (say how many are loaded: bundle)"
        )
    return (
        f"among {bundle} loaded wires, of which each return is one; tape, sleeve and conduit are "
        "not in the factor and carry off less"
    )
