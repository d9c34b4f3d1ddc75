"""Writers that are killed while they save: `python tests/kills.py [--kills 200] [--seed 1]` (by hand).

Two at once add entries to one notebook, each telling of every one that was kept; both are killed at
an odd moment.  Then the notebook must be readable, hold every entry that was told of, and none
twice.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from wiremap.entries.notebook import append
from wiremap.files import load_notebook
from wiremap.model import Address, Entry, EntryKind, Span

LONGEST_S = 0.2  # until a writer is killed


def writer(notebook: Path, first: int, told: int) -> None:
    """Save one entry after another, each with ohms of its own, and tell of it once it is kept."""
    for number in range(first, first + 10_000):
        if append(notebook, [entry_of(number)]) is None:
            os.write(told, f"{number}\n".encode())


def entry_of(number: int) -> Entry:
    """A reading of so many ohms."""
    return Entry(
        kind=EntryKind.PROBE,
        red=(Address("old", "2"),),
        black=(Address("new", "b"),),
        ohms=Span.of(float(number)),
        by="RK",
        date="2026-03-02",
    )


def killed(notebook: Path, moment: int, chance: random.Random) -> set[int]:
    """Two writers killed at odd moments; the numbers that they told of."""
    ends, children = [], []
    for side in range(2):
        heard, told = os.pipe()
        child = os.fork()
        if not child:
            try:
                writer(notebook, moment * 100_000 + side * 50_000, told)
            finally:
                os._exit(0)
        os.close(told)
        ends.append(heard)
        children.append(child)
    for child in children:
        time.sleep(chance.uniform(0, LONGEST_S))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
    numbers: set[int] = set()
    for heard in ends:
        with os.fdopen(heard) as said:
            numbers.update(map(int, said.read().split()))
    return numbers


def main() -> int:
    """Print how it went; 1 if anything was lost, doubled or broken."""
    options = argparse.ArgumentParser()
    options.add_argument("--kills", type=int, default=200)
    options.add_argument("--seed", type=int, default=1)
    args = options.parse_args()
    chance = random.Random(args.seed)
    everything: set[int] = set()
    wrong: list[str] = []
    with tempfile.TemporaryDirectory() as folder:
        notebook = Path(folder) / "notebook.yaml"
        for moment in range(args.kills // 2):
            told = killed(notebook, moment, chance)
            if notebook.exists():
                read = load_notebook(notebook)
                wrong += [f"{moment}: {found.message}" for found in read.findings]
                entries = () if read.value is None else read.value.entries
                count = Counter(int(e.ohms.low) for e in entries if e.ohms is not None)
                everything |= told
                wrong += [f"{moment}: {n} lost" for n in everything - count.keys()]
                wrong += [f"{moment}: {n} twice" for n, times in count.items() if times > 1]
        assert append(notebook, [entry_of(1)]) is None
        left = sorted(path.name for path in Path(folder).iterdir())
    wrong += [f"{name} left" for name in left if name != notebook.name]
    print(f"{args.kills} writers killed, {len(everything)} entries told of, {len(wrong)} wrong")
    print(*wrong, sep="\n")
    return 1 if wrong or not everything else 0


if __name__ == "__main__":
    sys.exit(main())
