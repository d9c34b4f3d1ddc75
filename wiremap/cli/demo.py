"""`wiremap demo`: the main job, end to end, on the invented salt spreader."""

from __future__ import annotations

import argparse
import contextlib
import io
import shutil
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Any

from wiremap.cli.common import OK, UNREAD, emit_json, json_flag, note, say
from wiremap.cli.main import parser_for
from wiremap.files.schemas import KINDS, VERSION, schema_text

COPIED = (".yaml", ".md", ".csv")
INTRODUCTION = (
    "A salt spreader's series 1 controller is dead; a series 2 controller is fitted, its pigtail "
    "cut from a wreck.",
    "All of it is invented, on a 12 V carrier. On a 24 V truck this is another job, and the check "
    "stops it.",
    "",
)
CLOSING = (
    "",
    "Wiring only: none of this proves that the two controllers understand each other,",
    "and no paper is a permission to power up.",
    "Next: change a line in {folder}/spreader/job.yaml (join loom.1 and donor.1, say) and run the "
    "check again.",
)


@dataclass(frozen=True, kw_only=True)
class Step:
    """One command of the demo: its words with `{f}` for the folder, the file that it makes.

    The command writes the file itself if `writes` is set; otherwise what it prints is kept there.
    `untold` are words that only the demo needs.
    """

    file: str
    words: tuple[str, ...]
    what: str
    look: str
    untold: tuple[str, ...] = ()
    writes: bool = False

    def call(self, folder: str) -> list[str]:
        """The words of the command."""
        return [word.format(f=folder) for word in (*self.words, *self.untold)]

    def told(self, folder: str) -> str:
        """The command as a person would type it."""
        return " ".join(("wiremap", *self.words)).format(f=folder)


JOB = "{f}/spreader/job.yaml"
STEPS = (
    Step(
        file="proposed.yaml",
        words=(
            "propose",
            "{f}/spreader/papers/series1-loom.yaml",
            "{f}/spreader/papers/series2-donor.yaml",
        ),
        untold=("-o", "{f}/proposed.yaml"),
        what="the mapping proposed from the two raw papers",
        look="no circuit that matters is `certain` there: the two valves, the merged supplies and "
        "the coding contact are questions, the bus of 250 and 500 kbit/s needs a gateway, and "
        "service data (loom 14) finds no home",
        writes=True,
    ),
    Step(
        file="proposed-check.txt",
        words=("check", "{f}/proposed.yaml"),
        what="the rule book on that raw proposal",
        look="HOLD, and why: nobody has settled the questions yet",
    ),
    Step(
        file="check.txt",
        words=("check", JOB),
        what="the rule book on the finished job",
        look="paper in order; every caution is signed by name",
    ),
    Step(
        file="slips.txt",
        words=("slips", JOB),
        what="what one slip of the hand would do",
        look="the 12 V beside the 5 V, the mirrored face, the exchanged valves",
    ),
    Step(
        file="ringout.txt",
        words=("ringout", JOB),
        what="the continuity test, fewest probes first",
        look="what each probe proves, and what no probe can",
    ),
    Step(
        file="sheet.pdf",
        words=("sheet", JOB, "-o", "{f}/sheet.pdf", "--annex"),
        what="the splice sheet for the bench",
        look="the map with both faces of each connector, the joints one wire at a time",
        writes=True,
    ),
)


def add(commands: Any) -> None:
    """Register the command."""
    parser = commands.add_parser(
        "demo", help="run the main job on the salt spreader", description=__doc__
    )
    parser.add_argument(
        "folder", nargs="?", default="out", help="where the demo and its results go (default: out)"
    )
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Copy, propose, check, slip, ring out, print; 2 if the folder cannot be written."""
    folder = Path(args.folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        count, kept = _copy(folder / "spreader")
        _schemas(folder / "schemas")
    except OSError as error:
        note(
            f"{folder}: cannot be written: {error.strerror}. "
            "Name another folder: wiremap demo FOLDER"
        )
        return UNREAD
    done = [_done(step, folder) for step in STEPS]
    if args.json:
        shape = {"folder": folder.as_posix(), "copied": count, "kept": kept, "steps": done}
        emit_json("demo", shape)
    else:
        _tell(folder.as_posix(), count, kept, done)
    return OK


@contextlib.contextmanager
def _demo_files() -> Iterator[Path]:
    """The demo's folder: in the wheel as package data, in a checkout beside the package."""
    packed = resources.files("wiremap") / "data" / "pinouts_demo"
    if packed.is_dir():
        with resources.as_file(packed) as folder:
            yield folder
        return
    yield Path(__file__).resolve().parents[2] / "pinouts_demo"


def _copy(folder: Path) -> tuple[int, list[str]]:
    """Copy the demo's files; a file that the user has changed is left as it is and named."""
    count = 0
    kept = []
    with _demo_files() as demo:
        for source in sorted(demo.rglob("*")):
            if source.suffix not in COPIED or not source.is_file():
                continue
            inner = source.relative_to(demo)
            target = folder / inner
            target.parent.mkdir(parents=True, exist_ok=True)
            if target.exists() and target.read_bytes() != source.read_bytes():
                kept.append(inner.as_posix())
                continue
            shutil.copyfile(source, target)
            count += 1
    return count, kept


def _schemas(folder: Path) -> None:
    """Write the schemas, which the copied files name in their first lines for editors."""
    folder.mkdir(exist_ok=True)
    for kind in KINDS:
        target = folder / f"{kind}-{VERSION}.json"
        target.write_text(schema_text(kind), encoding="utf-8", newline="\n")


def _done(step: Step, folder: Path) -> dict[str, Any]:
    """Run one step and keep what it makes; what it was and how it ended, as plain data."""
    place = folder.as_posix()
    target = folder / step.file
    target.unlink(missing_ok=True)
    code, text = _captured(step.call(place))
    if not step.writes:
        target.write_text(text, encoding="utf-8")
    return {
        "file": f"{place}/{step.file}",
        "command": step.told(place),
        "exit": code,
        "what": step.what,
        "look": step.look,
    }


def _captured(words: Sequence[str]) -> tuple[int, str]:
    """Run one command as a user would and keep what it prints."""
    out = io.StringIO()
    args = parser_for(words[0]).parse_args(list(words))
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        code = int(args.run(args))
    return code, out.getvalue()


def _tell(folder: str, count: int, kept: list[str], done: list[dict[str, Any]]) -> None:
    for line in INTRODUCTION:
        say(line)
    say(f"{count} files are in {folder}/spreader: the raw papers, the finished job, its notebook.")
    for name in kept:
        say(f"  {name} differs from the demo's and was left as you have it")
    for step in done:
        say()
        say(f"{step['file']}: {step['what']}")
        say(f"  look for: {step['look']}")
        say(f"  again:    {step['command']}")
    for line in CLOSING:
        say(line.format(folder=folder))
