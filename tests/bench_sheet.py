"""How long the sheet takes, against what it imports; run by hand: `python tests/bench_sheet.py`."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).parent
ROOT = HERE.parent
LIBRARIES = "import yaml, networkx, reportlab.pdfgen.canvas, reportlab.pdfbase.ttfonts"
IMPORTS = "import wiremap.cli.main, wiremap.cli.sheet"  # the command's modules, libraries with them


def best(command: list[str], times: int = 5) -> float:
    """The least processor time of a command [s]: others on the machine do not count in it."""
    found = []
    for _ in range(times):
        before = os.times()
        subprocess.run(command, check=True, capture_output=True, cwd=ROOT)
        after = os.times()
        user = after.children_user - before.children_user
        found.append(user + after.children_system - before.children_system)
    return min(found)


def bench_pages() -> None:
    """The demo's bench pages against what the command imports: at most 2.5 times."""
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "sheet.pdf"
        libraries = best([sys.executable, "-c", LIBRARIES])
        imports = best([sys.executable, "-c", IMPORTS])
        command = [
            sys.executable,
            "-m",
            "wiremap",
            "sheet",
            "pinouts_demo/job.yaml",
            "-o",
            str(out),
            "--force",
        ]
        ours = best(command)
        size = out.stat().st_size / 1000
        print(
            f"demo sheet: {ours:.2f} s, {size:.0f} kB; its imports {imports:.2f} s: {ours / imports:.2f} times "
            f"(at most 2.5); of them libraries {libraries:.2f} s: {ours / libraries:.2f} times"
        )


def large() -> None:
    """200 circuits from files to PDF: at most 3 s, 200 MB, 1 MB."""
    sys.path[:0] = [str(ROOT), str(HERE)]
    from sheet_cases import straight

    from wiremap.sheet import compose, pdf

    with tempfile.TemporaryDirectory() as folder:
        start = time.process_time()
        given = straight(Path(folder), 200, signal="Level {n}")
        read = time.process_time() - start
        data = pdf(compose(given))
        whole = time.process_time() - start
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"200 circuits: {whole:.2f} s (at most 3), of it {read:.2f} s read, checked, sized and planned"
    )
    print(
        f"200 circuits: {memory:.0f} MB of memory (at most 200), {len(data) / 1e6:.2f} MB of PDF (at most 1)"
    )


if __name__ == "__main__":
    bench_pages()
    large()
