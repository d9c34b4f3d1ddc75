"""Figures for reading files, run by hand: `python tests/bench_files.py`.  Ratios, so that the machine cancels out.

A job of n circuits between ten ends; PyYAML's C loader reads the same texts for comparison.
"""

from __future__ import annotations

import gc
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import yaml

sys.path.insert(0, str(Path(__file__).parent.parent))

FUNCTIONS = (
    "permanent-supply",
    "power-ground",
    "sensor-supply",
    "analogue-input",
    "high-side-drive",
)


def write_job(folder: Path, circuits: int, ends: int = 10) -> Path:
    """A job whose ends face each other in pairs, with full cavities on both sides."""
    per = circuits * 2 // ends
    named = []
    for end in range(ends):
        lines = [
            "wiremap: pinout/1",
            f"title: end {end}",
            "letters: iec",
            "source: {name: drawing, basis: document}",
        ]
        lines.append("cavities:")
        lines += [
            f"  {n + 1}: {{signal: Signal {n} of {circuits} {end // 2}, function: {FUNCTIONS[n % 5]}, "
            "wire: 0.5 GN/WH, amps: 0.5, volts: 12, need: must}"
            for n in range(per)
        ]
        (folder / f"end{end}.yaml").write_text("\n".join(lines) + "\n", encoding="utf-8")
        what = "is: cut-tail, side: machine" if end % 2 == 0 else "is: pigtail, side: unit"
        named.append(f"  e{end}: {{pinout: end{end}.yaml, {what}, tail_mm: 300}}")
    lines = [
        "wiremap: job/1",
        "title: large",
        "supply: {volts: 12, min_volts: 9, max_volts: 15}",
        "ends:",
        *named,
        "circuits:",
    ]
    lines += [
        f"  - {{id: c{n}, join: [e{2 * (n // per)}.{n % per + 1}, e{2 * (n // per) + 1}.{n % per + 1}], joint: butt-crimp}}"
        for n in range(circuits)
    ]
    (folder / "job.yaml").write_text("\n".join(lines) + "\n", encoding="utf-8")
    return folder / "job.yaml"


def seconds(work: Callable[[], object], times: int = 3) -> float:
    """The best processor time of a few runs."""
    best = float("inf")
    for _ in range(times):
        gc.collect()
        begun = time.process_time()
        work()
        best = min(best, time.process_time() - begun)
    return best


def main() -> None:
    """Print load and check against PyYAML's C load, and how they grow."""
    from wiremap.check import check
    from wiremap.files import load_job

    found: dict[int, tuple[float, float]] = {}
    for circuits in (10_000, 20_000):
        with tempfile.TemporaryDirectory() as name:
            job = write_job(Path(name), circuits)
            texts = [path.read_text("utf-8") for path in sorted(Path(name).glob("*.yaml"))]
            base = seconds(
                lambda texts=texts: [yaml.load(text, yaml.CSafeLoader) for text in texts]
            )
            # Each is timed once: a second run would find the signals' readings remembered.
            whole = seconds(lambda job=job: check([job]), 1)
            load = seconds(lambda job=job: load_job(job), 1)
            assert load_job(job).value is not None
            found[circuits] = (load, whole)
            print(
                f"{circuits:6} circuits: PyYAML C load {base:.2f} s, load_job {load / base:.2f} x, "
                f"check {whole / base:.2f} x (at most 2)"
            )
    print(
        f"20,000 against 10,000: load_job {found[20_000][0] / found[10_000][0]:.2f} x, "
        f"check {found[20_000][1] / found[10_000][1]:.2f} x (at most 2.3)"
    )


if __name__ == "__main__":
    main()
