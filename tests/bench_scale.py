"""How work grows with the size of a job: `python tests/bench_scale.py [COMMAND...]` (by hand).

Prints the seconds of processor time for jobs of 100 to 2,000 circuits and the exponent from each
size to the next: 1 is proportional, 2 quadratic.
"""

from __future__ import annotations

import math
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from wiremap.check import check
from wiremap.cli.main import main as wiremap
from wiremap.files import load_job
from wiremap.share.compare import compare_jobs
from wiremap.share.intake import intake
from wiremap.share.revisions import compare_paths

SIZES = (100, 200, 400, 1000, 2000)
FEEDS = ("0.5 RD", "0.75 BK", "0.5 GN/WH", "0.35 BU", "0.5 YE/RD")


def large_job(folder: Path, circuits: int) -> Path:
    """A job of so many circuits between connectors of 100 cavities, all of them written out."""
    ends, joins = [], []
    for part in range(math.ceil(circuits / 100)):
        count = min(100, circuits - part * 100)
        for side in ("loom", "unit"):
            lines = [f"wiremap: pinout/1\ntitle: {side} {part}\ncavities:"]
            for pin in range(1, count + 1):
                wire = FEEDS[pin % len(FEEDS)]
                lines.append(
                    f"  {pin}: {{signal: Lamp {part} {pin}, function: lamp, flow: from-unit, "
                    f"wire: {wire}, amps: 0.5, volts: 12}}"
                )
            (folder / f"{side}{part}.yaml").write_text("\n".join(lines) + "\n")
        ends.append(
            f"  loom{part}: {{pinout: loom{part}.yaml, is: cut-tail, side: machine, tail_mm: 300}}"
        )
        ends.append(
            f"  unit{part}: {{pinout: unit{part}.yaml, is: pigtail, side: unit, tail_mm: 300}}"
        )
        joins += [f"  - loom{part}.{pin} - unit{part}.{pin}" for pin in range(1, count + 1)]
    job = folder / "job.yaml"
    text = "wiremap: job/1\ntitle: large\nsupply: {volts: 12}\nends:\n"
    job.write_text(text + "\n".join(ends) + "\ncircuits:\n" + "\n".join(joins) + "\n")
    return job


def wide_job(folder: Path, circuits: int) -> Path:
    """A job of so many circuits between two connectors, their wires of five colours."""
    joins = [f"  - loom.{pin} - unit.{pin}" for pin in range(1, circuits + 1)]
    for side in ("loom", "unit"):
        lines = [f"wiremap: pinout/1\ntitle: {side}\ncavities:"]
        for pin in range(1, circuits + 1):
            wire = FEEDS[pin % len(FEEDS)]
            lines.append(f"  {pin}: {{signal: Lamp {pin}, flow: from-unit, wire: {wire}}}")
        (folder / f"{side}.yaml").write_text("\n".join(lines) + "\n")
    job = folder / "job.yaml"
    ends = "ends: {loom: loom.yaml, unit: unit.yaml}\n"
    job.write_text(f"wiremap: job/1\ntitle: wide\n{ends}circuits:\n" + "\n".join(joins) + "\n")
    return job


def table(folder: Path, rows: int) -> Path:
    """A from/to list of so many rows."""
    path = folder / "list.csv"
    lines = [f"X{i // 100}.{i % 100},Y{i // 100}.{i % 100},Lamp {i}" for i in range(rows)]
    path.write_text("from,to,signal\n" + "\n".join(lines) + "\n")
    return path


def _compare_jobs(folder: Path, size: int) -> Callable[[], object]:
    job = load_job(large_job(folder, size)).value
    assert job is not None
    return lambda: compare_jobs(job, job)


def _command(words: list[str]) -> int:
    """Run a command with its output thrown away."""
    import contextlib
    import io

    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        return wiremap(words)


def _check(folder: Path, size: int) -> Callable[[], object]:
    job = large_job(folder, size)
    return lambda: check([job])


def _compare(folder: Path, size: int) -> Callable[[], object]:
    job = large_job(folder, size)
    return lambda: compare_paths(job, job)


def _intake(folder: Path, size: int) -> Callable[[], object]:
    path = table(folder, size)
    return lambda: intake(path)


def _of(
    command: str, *more: str, job: Callable[[Path, int], Path] = large_job
) -> Callable[[Path, int], Callable[[], object]]:
    def prepared(folder: Path, size: int) -> Callable[[], object]:
        words = [command, job(folder, size).as_posix()]
        words += [word.format(folder=folder.as_posix()) for word in more]
        return lambda: _command(words)

    return prepared


WORK: dict[str, Callable[[Path, int], Callable[[], object]]] = {
    "check": _check,
    "intake": _intake,
    "compare-changes": _compare_jobs,
    "compare": _compare,
    "survey": _of("survey"),
    "sheet": _of("sheet", "-o", "{folder}/s.pdf", "--force"),
    "sheet-wide": _of("sheet", "-o", "{folder}/s.pdf", "--force", job=wide_job),
    "slips": _of("slips"),
    "slips-wide": _of("slips", job=wide_job),
}


def main() -> None:
    """Print seconds and exponents of the commands that are named, or of all."""
    for name in sys.argv[1:] or WORK:
        before: tuple[int, float] | None = None
        for size in SIZES:
            with tempfile.TemporaryDirectory() as folder:
                work = WORK[name](Path(folder), size)
                start = time.process_time()
                work()
                took = time.process_time() - start
            grown = ""
            if before is not None:
                exponent = math.log(took / before[1]) / math.log(size / before[0])
                grown = f"  exponent {exponent:.2f}"
            print(f"{name} {size:>5}: {took:8.3f} s{grown}", flush=True)
            before = size, took
            if took > 60:
                break


if __name__ == "__main__":
    main()
