"""Start-up, as ratios: `python tests/bench_start.py` (by hand; not part of the tests)."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def best_s(*words: str, rounds: int = 7) -> float:
    """The quickest of several cold runs [s]."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        subprocess.run(
            [sys.executable, *words],
            cwd=ROOT,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            check=False,
        )
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> None:
    """Print the two ratios with the figures that they must keep below."""
    modules = "import wiremap.cli.main, wiremap.cli.check"
    bare, imports = best_s("-c", "pass"), best_s("-c", modules)
    print(
        f"wiremap --help / python -c pass: {best_s('-m', 'wiremap', '--help') / bare:.2f} (at most 3)"
    )
    print(
        f"wiremap check demo / importing its modules: "
        f"{best_s('-m', 'wiremap', 'check', 'pinouts_demo/job.yaml') / imports:.2f} (at most 1.2)"
    )


if __name__ == "__main__":
    main()
