"""How long check takes, as ratios: run by hand, `python tests/bench_check.py`.

`check` of 10,000 circuits (ten ends, every file read) against PyYAML's C load of the same texts (at most 2), 20,000 against
10,000 circuits (at most 2.3), slips on the demo (under 1 s) and on 200 circuits (under 20 s), a cold `check` of the demo
against the import of its command's modules (at most 1.2) and of yaml, networkx and jsonschema alone, and the help page
against bare Python (at most 3).  Check and load are in CPU time, each run in a process of its own, so that nothing is
remembered from the run before; cold starts too, with the bytecode there.  `--cold` takes the cold starts alone.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import yaml

ROUNDS = 9
ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

FUNCTIONS = (
    ("permanent-supply", "to-unit", "12"),
    ("power-ground", "both", "0"),
    ("high-side-drive", "from-unit", "12"),
    ("analogue-input", "to-unit", "[0, 5]"),
    ("wake", "to-unit", "12"),
    ("digital-input", "to-unit", "12"),
)


def write_job(folder: Path, circuits: int, ends: int = 10) -> Path:
    """A job of so many circuits between as many machine ends as units."""
    each = 2 * circuits // ends
    for e in range(ends):
        lines = [
            f"wiremap: pinout/1\ntitle: connector {e}\nletters: iec\nconnector: {{shell: shell {e}}}\n"
            "source: {name: drawing, basis: measured}\ncavities:"
        ]
        for i in range(1, each + 1):
            function, flow, volts = FUNCTIONS[i % 6]
            lines.append(
                f"  {i}: {{signal: Signal {e // 2 * each + i}, function: {function}, flow: {flow}, volts: {volts}, "
                "wire: 0.5 RD, amps: 1, need: must}"
            )
        (folder / f"p{e}.yaml").write_text("\n".join(lines) + "\n", encoding="utf-8")
    lines = ["wiremap: job/1\ntitle: large\nsupply: {volts: 12}\nends:"]
    for e in range(ends):
        kind, side = ("cut-tail", "machine") if e % 2 == 0 else ("pigtail", "unit")
        lines.append(f"  e{e}: {{pinout: p{e}.yaml, is: {kind}, side: {side}, tail_mm: 300}}")
    lines.append("circuits:")
    for e in range(0, ends, 2):
        # short, so that 20,000 circuits stay below the reader's limit of 200,000 nodes a file
        lines += [f"  - {{join: [e{e}.{i}, e{e + 1}.{i}]}}" for i in range(1, each + 1)]
    path = folder / "job.yaml"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def best(work: Callable[[], object], times: int = 3) -> float:
    """The shortest of a few runs [s]."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        found.append(time.perf_counter() - start)
    return min(found)


def fresh(what: str, folder: Path, times: int = 4) -> float:
    """The shortest of a few runs in processes of their own, imports left out [s of CPU]."""
    command = [sys.executable, __file__, what, str(folder)]
    return min(float(subprocess.check_output(command)) for _ in range(times))


def once(what: str, folder: Path) -> None:
    """One run in this process, its CPU time printed [s]."""
    from wiremap.check import check

    start = time.process_time()
    if what == "--check":
        assert check([folder / "job.yaml"]).exit_code != 2
    else:
        load_all(folder)
    print(time.process_time() - start)


def load_all(folder: Path) -> None:
    """PyYAML's C loader over the same texts."""
    for path in sorted(folder.glob("*.yaml")):
        yaml.load(path.read_text(encoding="utf-8"), yaml.CSafeLoader)


def main() -> None:
    """Measure and print."""
    if len(sys.argv) == 3:
        once(sys.argv[1], Path(sys.argv[2]))
        return
    if "--cold" in sys.argv:
        with tempfile.TemporaryDirectory() as scratch:
            cold_start(Path(scratch))
        return
    from wiremap.check import check
    from wiremap.slips import slips

    with tempfile.TemporaryDirectory() as scratch:
        took = {}
        for n in (5_000, 10_000, 20_000):
            folder = Path(scratch) / str(n)
            folder.mkdir()
            write_job(folder, n)
            took[n] = fresh("--check", folder)
            load = fresh("--load", folder)
            print(
                f"check of {n} circuits: {took[n]:.2f} s, {took[n] / load:.2f} times the C load ({load:.2f} s)"
            )
        print(f"20,000 against 10,000 circuits: {took[20_000] / took[10_000]:.2f}")
        small = Path(scratch) / "small"
        small.mkdir()
        for name, path in (
            ("demo", ROOT / "pinouts_demo" / "job.yaml"),
            ("200 circuits", write_job(small, 200)),
        ):
            harness = check([path]).jobs[0].harness
            assert harness is not None
            print(f"slips of {name}: {best(lambda h=harness: slips(h), 1):.2f} s")  # type: ignore[misc]
        cold_start(Path(scratch) / "bytecode")


def cpu(command: list[str], bytecode: Path) -> float:
    """CPU time of one run [s], the bytecode of its modules being there already."""
    kept = {**os.environ, "PYTHONPYCACHEPREFIX": str(bytecode)}
    kept.pop("PYTHONDONTWRITEBYTECODE", None)
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(
        [sys.executable, *command], cwd=ROOT, env=kept, stdout=subprocess.DEVNULL, check=False
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def cold_start(bytecode: Path) -> None:
    """A cold check and the help page, each beside what it is held against; runs alternate."""
    runs = {
        "check": ["-m", "wiremap", "check", "pinouts_demo/job.yaml"],
        "imports": ["-c", "import wiremap.cli.main, wiremap.cli.check"],
        "libraries": ["-c", "import yaml, networkx, jsonschema"],
        "help": ["-m", "wiremap", "--help"],
        "python": ["-c", "pass"],
    }
    took: dict[str, list[float]] = {name: [] for name in runs}
    for _ in range(ROUNDS + 1):
        for name, command in runs.items():
            took[name].append(cpu(command, bytecode))
    least = {name: min(each[1:]) for name, each in took.items()}  # the first writes the bytecode
    for name, base in (("check", "imports"), ("check", "libraries"), ("help", "python")):
        ratio = least[name] / least[base]
        print(f"{name} {least[name]:.3f} s of CPU, {ratio:.2f} times {base} ({least[base]:.3f} s)")


if __name__ == "__main__":
    main()
