"""Proposing at size: `python tests/bench_propose.py` (by hand; not part of the tests)."""

from __future__ import annotations

import random
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from wiremap.model import Cavity, Pinout, frozen
from wiremap.naming import read_signal
from wiremap.propose import propose

WORDS = (
    "left",
    "right",
    "front",
    "rear",
    "upper",
    "lower",
    "boom",
    "hopper",
    "belt",
    "fan",
    "pump",
    "valve",
    "lamp",
    "horn",
    "wiper",
    "speed",
    "level",
    "pressure",
    "temperature",
    "position",
    "switch",
    "sensor",
    "motor",
    "heater",
)


def side(name: str, count: int, seed: int, alike: bool) -> tuple[str, Pinout]:
    """A connector of `count` contacts with random wordings, or all alike (the hardest assignment)."""
    rng = random.Random(seed)
    cavities = {}
    for i in range(1, count + 1):
        signal = "signal" if alike else " ".join(rng.sample(WORDS, 3))
        function = (
            "digital-input"
            if alike
            else rng.choice(("digital-input", "analogue-input", "high-side-drive", "lamp-feed"))
        )
        cavities[str(i)] = Cavity(
            name=str(i), reading=read_signal(signal, stated=function), signal=signal
        )
    return name, Pinout(title=name, path=f"{name}.yaml", cavities=frozen(cavities))


def main() -> None:
    """Seconds for 300 contacts a side (below 2)."""
    for alike in (False, True):
        old, new = side("old", 300, 1, alike), side("new", 300, 2, alike)
        start = time.perf_counter()
        found = propose([old], [new])
        print(
            f"300 contacts a side, {'all alike' if alike else 'random wordings'}: {time.perf_counter() - start:.2f} s (below 2), "
            f"{len(found.circuits)} circuits"
        )


if __name__ == "__main__":
    main()
