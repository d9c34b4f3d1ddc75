"""Tries single mutations of `wiremap/` against the tests that cover them, and prints those that survive.

By hand, from the project's folder, with the test extra installed:

    python tests/mutant_run.py --map FILE [--count 400] [--seed 1] [--workers 2] [--only ROOM] [--kind KIND] [--again LOG]

FILE tells which test enters which function, and at what cost; it is made by a first run of all tests if it is not
there.  Of the tests that enter the mutated function those that hold what is shown are tried first, then those that enter few
others, and at most so many seconds of either: they are about it, while the quickest of a common function are not.
LOG is what an earlier run printed: of the same draw those that survived then are tried again.
A mutation is killed when a test fails or does not end; time is that of the processor, so a loaded machine tells the
same.  Those listed in ARGUED survive for the reason told there.
"""

from __future__ import annotations

import argparse
import ast
import json
import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cached_property, partial
from pathlib import Path
from queue import Queue

from mutant_draw import SHARES, Mutation, drawn

PROJECT = Path(__file__).resolve().parent.parent
COPIED = (
    "wiremap",
    "tests",
    "schemas",
    "pinouts_demo",
    "out",
    "pyproject.toml",
    "README.md",
    "DEVELOPERS.md",
)
MOST_SECONDS = 100.0  # of tests a mutation, as they took unmutated
MOST_SHOWN_SECONDS = 25.0  # of those that hold what is shown, before them
MOST_TESTS = 1200
SNAPSHOTS = {
    "words": ["tests/test_said.py::test_nothing_is_said_that_the_text_does_not_hold"],
    "constant": ["tests/test_said.py::test_no_figure_changes_unseen"],
}
SHOWN = "tests/test_shown.py::"
PATIENCE = 4.0  # times what they cost unmutated, before it counts as hanging
START_SECONDS = 30.0  # for the interpreter and the imports
WALL = 20  # times as long by the clock: only what waits for ever comes there
ARGUED: dict[str, str] = {
    "wiremap/page/server.py : MOST_HEADER = 16 * [1024 -> 1025]": (
        "any bound that browsers stay below does; that a far larger head is refused is held"
    ),
    "wiremap/content/picture.py _title: Words(at=Spot(0, [10 -> 11]), text=mark, "
    "lettering=SMALL),": (
        "room in a heading; that nothing lies over anything or outside is held for every picture"
    ),
    "wiremap/content/picture.py _title: return Drawing(room, [12.5 -> 13.75], shapes)": (
        "room under a heading, as above"
    ),
    "wiremap/propose/details.py part_of: return first <= second or second [<= -> <] first": (
        "of equal sets the first half has said it already"
    ),
    'wiremap/content/pages/feed.py _port: legs = [_leg(given, f"{name}.{cavity}", cavity) '
    "for cavity in segment[:[2 -> 3]]]": "of the legs the first two make the port",
    "wiremap/diagnose/sets.py Sets._choice: more = len(reading.red) * len(reading.black) - "
    "[1 -> 2]": "every reading is moved alike, and only their order counts",
    "wiremap/share/folder.py _portions: size = max([1 -> 2], min(MOST_AT_ONCE, "
    "-(-len(files) // (workers * PORTIONS))))": "portions of another size give the same report",
    "wiremap/propose/grading.py : IDENTITY = [10_000_000 -> 10000001] # above all weights of a "
    "proposal: no identical pair is given up for others": (
        "any number above all weights does the same"
    ),
    "wiremap/propose/matching.py _Part.__init__: self.cost.append("
    "[-weight if weight [> -> >=] 0 else far for weight in told])": (
        "a pair of no weight costs what staying alone costs, and of equals the row stays alone"
    ),
    "wiremap/graph/ohms.py _eliminated: out = [[0.0 -> 0.1]] * size": (
        "each place is written before it is read"
    ),
    "wiremap/propose/matching.py _Part.__init__: far = [1 -> 2] + 2 * sum("
    "weight for weight in weights.values() if weight > 0)": "any sum above all weights does",
    "wiremap/propose/matching.py _Part.__init__: far = 1 + [2 -> 3] * sum("
    "weight for weight in weights.values() if weight > 0)": "any sum above all weights does",
    "wiremap/ringout/held.py Held._without_wires: joints.update(dict.fromkeys(loose, FRESH_NETS "
    "[+ -> -] self.drawn.rank[loose[0]]))": (
        "the number of a parted net is only held against others: as far below as above it is free"
    ),
    "wiremap/rules/families/wire_behind_joints.py _step: if thin.cable.area_mm2 [>= -> >] "
    'limit("same-size-share") * thick.cable.area_mm2:': (
        "no two cross-sections of the tables are exactly 0.95 of each other"
    ),
    "wiremap/sheet/plot.py _Paper._amps: if amps * NEAR < least or amps [> -> >=] most * NEAR:": (
        "no marked current lies exactly a ten-thousandth beyond a power of ten's root"
    ),
    "wiremap/diagnose/proof.py Proof._is_of_now: return all(t.at [> -> >=] self.history.since("
    "self.drawn.net_of[a]) for a in t.points)": (
        "one entry has one place: it cannot be a reading as drawn and a repair or a wrong reading"
    ),
    "wiremap/sizing/placing.py _why: if window.lo [> -> >=] window.hi and any("
    "group.lo > group.hi for group in stuck):": (
        "in a window of one point every reach holds that point, so no group's low is above its high"
    ),
    "wiremap/graph/ohms.py _network: if ohms < WIRE_OHMS [or -> and] u == v:": (
        "ends below WIRE_OHMS are one node already; a resistor from a node to itself adds its "
        "siemens to the diagonal and takes them away again"
    ),
    "wiremap/trade/wording.py _Scan._phrase: for size in range("
    "min(most, len(words) [- -> +] at), 0, -1):": (
        "a slice beyond the end is the rest of the words: the same phrase is found, and all are "
        "read; volts are not told by a last word, and no longer phrase begins with a small word"
    ),
    "wiremap/rules/families/scope.py class_b: most = max(supply.volts or [0.0 -> 0.1], supply.max_volts or 0.0)": (
        "a tenth of a volt is as far below 60 as none"
    ),
    "wiremap/rules/families/scope.py class_b: most = max(supply.volts or 0.0, supply.max_volts or [0.0 -> 0.1])": (
        "a tenth of a volt is as far below 60 as none"
    ),
    "wiremap/sizing/loops.py Loops.before_ohms: loom = self.ways.upstream(fused.source, fused.fed, fused.load_amps or [0.0 -> 0.1])": (
        "of the parts their ohms at 20 C are taken, which no current changes"
    ),
    "wiremap/trade/wording.py _Scan._phrase: most = max(longest.get(words[at], [0 -> 1]), longest.get(self._singular[at], 0))": (
        "a word that begins no phrase is looked up and is none"
    ),
    "wiremap/trade/wording.py _Scan._phrase: most = max(longest.get(words[at], 0), longest.get(self._singular[at], [0 -> 1]))": (
        "a word that begins no phrase is looked up and is none"
    ),
    "wiremap/diagnose/next_probe.py _combs: if [a not in black and b not in red -> (not (a not in black and b not in red))]:": (
        "one kind of question less: the others part the same pairs, in a few questions more"
    ),
    "wiremap/sheet/ink.py Ink.next_page: self._shown = (self._shown [+ -> -] 1) % self._across": (
        "of two pages side by side the next is the one before"
    ),
    "wiremap/reports/sarif.py sarif_text: return json.dumps(sarif(report), indent=[2 -> 3], ensure_ascii=True)": (
        "the log is read by programs, to which the indent is nothing"
    ),
    "wiremap/cli/progress.py _tell: wait = [1.0 -> 1.1]": (
        "how often the seconds are told anew; the seconds are the clock's"
    ),
    "wiremap/sizing/transient.py temperature_after_C.bare_rates: return Nodes((power * linear_ratio(core) - shed) / heat.core, [0.0 -> 0.1])": (
        "of a bare wire the skin is read by no rate and is no result; only the early end comes later"
    ),
    "wiremap/evidence/survey_readings.py _Settling._place: return self._order.get(id(entry), -[1 -> 2])": (
        "any place before the first does: one that is not in the job comes before all that are"
    ),
    "wiremap/graph/ohms.py _solved: rows = [[0.0] * (size + [1 -> 2]) for _ in free]": (
        "a further column of noughts is read by nobody"
    ),
    "wiremap/ringout/purpose.py last_harmful: return max(harmful, default=-[1 -> 2])": (
        "readings are numbered from 1: any number below does"
    ),
    "wiremap/sizing/stations.py _layout: most = [0 -> 1]": "each station that is laid out holds a joint",
    "wiremap/sizing/placing.py Placing._has_place: return fewest_abreast([group], [1.0 -> 1.1], ends.window.barred) is not None": (
        "one group alone has no other to keep a spacing from"
    ),
    "wiremap/sizing/bundle.py _circle: gap = math.hypot(far.x - x, far.y - y) or [1.0 -> 1.1]": (
        "where the farthest disc lies in the middle there is no way to go, whatever it is parted by"
    ),
    "wiremap/cli/ringout_walk.py Terminal.typed: gc.collect([1 -> 2]) # while somebody reads the question, not while they wait for it": (
        "an older generation is swept too, while the person reads"
    ),
    'wiremap/cli/talk_file.py write_answers: text = json.dumps({"wiremap": KIND, "answers": answers}, indent=[1 -> 2], ensure_ascii=False)': (
        "the answers are read back by the program, to which the indent is nothing"
    ),
    "wiremap/files/filebytes.py read_bytes: data = _piped(file.fileno(), limit) if piped else file.read(limit + [1 -> 2])": (
        "any byte beyond the limit tells that there is more"
    ),
    "wiremap/files/filebytes.py _awaited: ready, _, _ = select.select([descriptor], [], [], max(left, [0.0 -> 0.1]))": (
        "a tenth of a second more patience with a pipe that is given up"
    ),
    "wiremap/propose/likeness.py likeness: both = max([1 -> 2], len(first.marks) + len(second.marks))": (
        "one letter against none shares nothing, whatever it is divided by"
    ),
    'wiremap/share/own_folder.py OwnFolder.write: ledger = json.dumps(sums, indent=[1 -> 2], sort_keys=True) + "\\n"': (
        "the sums are read back by the program, to which the indent is nothing"
    ),
    'wiremap/share/pack.py _packed_copy: text = json.dumps(manifest, indent=[2 -> 3], ensure_ascii=True) + "\\n"': (
        "the manifest is read by programs, to which the indent is nothing"
    ),
    "wiremap/share/workbook.py _unfit_part: data = part.read(most + [1 -> 2])": (
        "any byte beyond the limit tells that there is more"
    ),
}


@dataclass(frozen=True)
class Covered:
    """Which test enters which function, and how long each took."""

    functions: dict[str, list[str]]
    seconds: dict[str, float]

    def tests(self, mutation: Mutation, users: dict[str, set[str]]) -> list[str]:
        """The tests to try against it, the most focused first, before all the snapshot of its kind."""
        found: set[str] = set()
        if mutation.function is not None:
            path, line = mutation.function
            found.update(self.functions.get(f"{path}:{line}", ()))
        else:
            for name in mutation.names:
                for function in users.get(name, ()):
                    found.update(self.functions.get(function, ()))
        if not found:  # it runs as the file is imported, or in a thread or process of its own
            for function, tests in self.functions.items():
                if function.startswith(f"{mutation.path}:"):
                    found.update(tests)
        return [*SNAPSHOTS.get(mutation.kind, ()), *self.focused(found)]

    @cached_property
    def entered(self) -> Counter[str]:
        """How many functions each test enters."""
        return Counter(test for tests in self.functions.values() for test in tests)

    def focused(self, tests: set[str]) -> list[str]:
        """Those that hold what is shown, then those that enter the fewest functions."""
        shown = {test for test in tests if test.startswith(SHOWN)}
        chosen = self._within(shown, MOST_SHOWN_SECONDS)
        chosen += self._within(tests - shown, MOST_SECONDS)
        return chosen or sorted(tests, key=lambda test: (self.seconds[test], test))[:1]

    def _within(self, tests: set[str], left: float) -> list[str]:
        """As many as take no longer."""
        chosen: list[str] = []
        for test in sorted(tests, key=self._place):
            if self.seconds[test] <= left and len(chosen) < MOST_TESTS:
                left -= self.seconds[test]
                chosen.append(test)
        return chosen

    def _place(self, test: str) -> tuple[int, float, str]:
        """Where a test stands among those to try."""
        return self.entered[test], self.seconds[test], test


def users_of_names(project: Path) -> dict[str, set[str]]:
    """For every name, attribute and short string the functions of the house in which it stands."""
    users: dict[str, set[str]] = {}
    for path in sorted((project / "wiremap").rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for function in ast.walk(tree):
            if not isinstance(function, ast.FunctionDef):
                continue
            first = min([function.lineno, *(one.lineno for one in function.decorator_list)])
            place = f"{path.relative_to(project).as_posix()}:{first}"
            for name in names_in(function):
                users.setdefault(name, set()).add(place)
    return users


def names_in(function: ast.FunctionDef) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(function):
        match node:
            case ast.Name(id=name) | ast.Attribute(attr=name) | ast.Constant(value=str() as name):
                found.add(name)
    return found


def cover(project: Path, path: Path, workers: int) -> Covered:
    """Read which test covers what, after running all tests once if it is not written yet."""
    if not path.exists():
        command = [sys.executable, "-m", "pytest", "-q", "-p", "mutant_cover"]
        command += ["--covered", str(path.resolve()), "-p", "no:cacheprovider", "-n", str(workers)]
        subprocess.run(command, cwd=project, env=environment(project), check=False)
    read = json.loads(path.read_text(encoding="utf-8"))
    return Covered(read["functions"], read["seconds"])


def environment(project: Path) -> dict[str, str]:
    paths = os.pathsep.join([str(project), str(project / "tests")])
    return {**os.environ, "PYTHONPATH": paths, "NO_COLOR": "1"}


def copies_of(project: Path, count: int) -> list[Path]:
    """Copies of the project to mutate, compiled, so that a trial compiles only the file that it changes."""
    first = copied(project)
    command = [sys.executable, "-m", "pytest", "-q", "--collect-only", "-p", "no:cacheprovider"]
    subprocess.run(command, cwd=first, env=environment(first), capture_output=True, check=True)
    others = [Path(tempfile.mkdtemp(prefix="mutants-")) for _ in range(count - 1)]
    for other in others:
        shutil.copytree(first, other, symlinks=True, dirs_exist_ok=True)
    return [first, *others]


def copied(project: Path) -> Path:
    """A copy of the project's own files, without anything compiled."""
    copy = Path(tempfile.mkdtemp(prefix="mutants-"))
    for name in COPIED:
        source = project / name
        if source.is_dir():
            ignored = shutil.ignore_patterns("__pycache__")
            shutil.copytree(source, copy / name, ignore=ignored, symlinks=True)
        elif source.exists():
            shutil.copy(source, copy / name)
    return copy


def outcome(project: Path, mutation: Mutation, tests: list[str], seconds: float) -> str:
    """What the tests say of one mutation: killed, hangs, survives or uncovered."""
    if not tests:
        return "uncovered"
    path = project / mutation.path
    text = path.read_text(encoding="utf-8")
    path.write_text(mutation.applied(text), encoding="utf-8")
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-x",
        "-q",
        "-p",
        "no:cacheprovider",
        "-n",
        "0",
        *tests,
    ]
    most = int(START_SECONDS + PATIENCE * seconds)
    try:
        done = subprocess.run(
            command,
            cwd=project,
            env={**environment(project), "PYTHONDONTWRITEBYTECODE": "1"},
            capture_output=True,
            timeout=WALL * most,
            preexec_fn=partial(resource.setrlimit, resource.RLIMIT_CPU, (most, most)),
            check=False,
        )
    except subprocess.TimeoutExpired:
        return "hangs"
    finally:
        path.write_text(text, encoding="utf-8")
    if done.returncode in {-signal.SIGXCPU, -signal.SIGKILL}:
        return "hangs"
    return "survives" if done.returncode == 0 else "killed"


def report(mutation: Mutation, said: str) -> str:
    reason = ARGUED.get(mutation.key)
    if said in {"killed", "hangs"}:
        return f"{said:9} {mutation.kind:8} {mutation.path}:{mutation.line}"
    argued = f"   argued: {reason}" if reason else ""
    return f"{said:9} {mutation.kind:8} {mutation.path}:{mutation.line}  {mutation.old!r} -> {mutation.new!r}{argued}"


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--map", type=Path, required=True)
    parser.add_argument("--count", type=int, default=400)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--only", default="", help="a room, such as wiremap/rules")
    parser.add_argument("--kind", choices=SHARES, help="of those drawn, one kind alone")
    parser.add_argument("--again", type=Path, help="what a run printed: its survivors alone")
    options = parser.parse_args()
    covered = cover(PROJECT, options.map, options.workers)
    users = users_of_names(PROJECT)
    copies: Queue[Path] = Queue()
    for copy in copies_of(PROJECT, options.workers):
        copies.put(copy)
    chosen = [
        mutation
        for mutation in drawn(PROJECT, seed=options.seed, count=options.count)
        if mutation.path.startswith(options.only) and options.kind in (None, mutation.kind)
    ]
    if options.again is not None:
        printed = set(options.again.read_text(encoding="utf-8").splitlines())
        chosen = [mutation for mutation in chosen if report(mutation, "survives") in printed]

    def tried(mutation: Mutation) -> tuple[Mutation, str]:
        tests = covered.tests(mutation, users)
        copy = copies.get()
        try:
            return mutation, outcome(
                copy, mutation, tests, sum(covered.seconds[test] for test in tests)
            )
        finally:
            copies.put(copy)

    tally: Counter[tuple[str, bool]] = Counter()
    with ThreadPoolExecutor(options.workers) as pool:
        for mutation, said in pool.map(tried, chosen):
            killed = said in {"killed", "hangs"} or mutation.key in ARGUED
            tally[mutation.kind, killed] += 1
            print(report(mutation, said), flush=True)
    for kind in sorted({kind for kind, _ in tally}):
        killed, left = tally[kind, True], tally[kind, False]
        print(
            f"{kind}: {killed} of {killed + left} killed or argued ({killed / (killed + left):.0%})"
        )
    while not copies.empty():
        shutil.rmtree(copies.get())
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
