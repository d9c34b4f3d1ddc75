"""Sharing, measured: run by hand with `python tests/bench_share.py`; prints ratios and seconds, asserts nothing."""

from __future__ import annotations

import csv
import sys
import tempfile
import time
from pathlib import Path

from wiremap.share.folder import check_many, cores
from wiremap.share.intake import intake

FUNCTIONS = (
    "permanent-supply",
    "power-ground",
    "digital-input",
    "analogue-input",
    "low-side-drive",
    "high-side-drive",
    "wake",
    "speaker",
)


def pinout(n: int, title: str) -> str:
    """A pinout of twelve cavities that differs from its neighbours."""
    rows = "".join(
        f"  {i}: {{signal: signal {n} {i}, function: {FUNCTIONS[(i + n) % 8]}, wire: 0.5 RD, basis: measured}}\n"
        for i in range(1, 13)
    )
    return f"wiremap: pinout/1\ntitle: {title} {n}\nletters: iec\ncavities:\n{rows}"


def shelf(folder: Path, pinouts: int, jobs: int) -> None:
    """A shelf of pinouts, the first ones named by jobs two by two."""
    for n in range(pinouts):
        (folder / f"p{n:05}.yaml").write_text(
            pinout(n // 2 if n < 2 * jobs else n, "shelf"), encoding="utf-8"
        )
    for n in range(jobs):
        circuits = "".join(f"  - old.{i} - new.{i}\n" for i in range(1, 13))
        (folder / f"j{n:05}.yaml").write_text(
            f"wiremap: job/1\ntitle: job {n}\nends: {{old: p{2 * n:05}.yaml, new: p{2 * n + 1:05}.yaml}}\ncircuits:\n{circuits}",
            encoding="utf-8",
        )


def seconds(work: object) -> float:
    """Wall time of one call."""
    start = time.perf_counter()
    work()  # type: ignore[operator]
    return time.perf_counter() - start


def folders() -> None:
    """Two workers against one, and the cost per file as the shelf grows."""
    print(f"processors: {cores()}")
    for pinouts, jobs in ((100, 20), (1000, 200), (5000, 1000)):
        with tempfile.TemporaryDirectory() as name:
            shelf(Path(name), pinouts, jobs)
            one = seconds(lambda name=name: check_many([name], workers=1))
            two = seconds(lambda name=name: check_many([name], workers=2))
            files = pinouts + jobs
            print(
                f"{pinouts} pinouts, {jobs} jobs: one worker {one:.2f} s ({1000 * one / files:.2f} ms a file), "
                f"two {two:.2f} s, ratio {one / two:.2f}"
            )


def tables() -> None:
    """Intake of 500 rows."""
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "table.csv"
        with open(path, "w", newline="", encoding="utf-8") as file:
            rows = csv.writer(file, delimiter=";")
            rows.writerow(["Pin", "Signal", "Farbe", "Querschnitt"])
            rows.writerows([str(i), f"sensor input {i}", "GN/WH", "0,5 mm²"] for i in range(1, 501))
        print(f"intake of 500 rows: {seconds(lambda: intake(path, letters='iec')):.3f} s")


if __name__ == "__main__":
    sys.exit(folders() or tables())  # type: ignore[func-returns-value]
