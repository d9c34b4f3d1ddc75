"""`wiremap demo`: the main job, end to end, on the invented salt spreader."""

from __future__ import annotations

import argparse
import contextlib
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Any

from wiremap.base import Finding, Place, fault
from wiremap.cli.common import OK, UNREAD, emit_json, json_flag, note, say, unread
from wiremap.cli.main import parser_for
from wiremap.files.schemas import KINDS, VERSION, schema_text
from wiremap.share.own_folder import Owner, OwnFolder

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

    The command writes the file itself (`-o`) if `writes` is set; otherwise what it prints is kept
    there.  `output` tells a person of that option.
    """

    file: str
    words: tuple[str, ...]
    what: str
    look: str
    writes: bool = False
    output: tuple[str, ...] = ()

    def call(self, folder: str) -> list[str]:
        """The words of the command."""
        return [word.format(f=folder) for word in self.words]

    def told(self, folder: str) -> str:
        """The command as a person would type it."""
        return " ".join(("wiremap", *self.words, *self.output)).format(f=folder)


JOB = "{f}/spreader/job.yaml"
STEPS = (
    Step(
        file="proposed.yaml",
        words=(
            "propose",
            "{f}/spreader/papers/series1-loom.yaml",
            "{f}/spreader/papers/series2-donor.yaml",
        ),
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
        words=("sheet", JOB, "--annex"),
        what="the splice sheet for the bench",
        look="the map with both faces of each connector, the joints one wire at a time",
        writes=True,
        output=("-o", "{f}/sheet.pdf", "--force"),
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
    """Copy, propose, check, slip, ring out, print; 2 if a step could not be done."""
    folder = OwnFolder(Path(args.folder))
    refused = _results_free(folder)
    papers = _papers()
    kept = [name for name in papers if folder.owner(name, papers[name]) is Owner.SOMEBODY]
    if refused is None:
        refused = folder.write({name: papers[name] for name in papers if name not in kept})
    if refused is not None:
        return unread("demo", [refused], as_json=args.json, lead="wiremap demo: ", mend="mend: ")
    done = [_done(step, folder) for step in STEPS]
    count = sum(name.startswith("spreader/") and name not in kept for name in papers)
    shown = folder.path.as_posix()
    if args.json:
        emit_json("demo", {"folder": shown, "copied": count, "kept": kept, "steps": done})
    else:
        _tell(shown, count, kept, done)
    failed = [step for step in done if step["failed"]]
    for step in failed:
        note(f"failed: {step['command']}")
        for line in step["failed"].splitlines():
            note(f"  {line}")
    return UNREAD if failed else OK


def _results_free(folder: OwnFolder) -> Finding | None:
    """A fault where a result would be written over a file that is not the demo's own."""
    for step in STEPS:
        if folder.owner(step.file) is Owner.SOMEBODY:
            return fault(
                "file-exists",
                "this file is not the demo's own, or was changed since; nothing was written",
                Place((folder.path / step.file).as_posix()),
                fix="Name another folder: wiremap demo FOLDER",
            )
    return None


def _papers() -> dict[str, bytes]:
    """The demo's files and the schemas that they name, by their place in the folder."""
    found = {}
    with _demo_files() as demo:
        for source in sorted(demo.rglob("*")):
            if source.suffix in COPIED and source.is_file():
                found[f"spreader/{source.relative_to(demo).as_posix()}"] = source.read_bytes()
    for kind in KINDS:
        found[f"schemas/{kind}-{VERSION}.json"] = schema_text(kind).encode()
    return found


@contextlib.contextmanager
def _demo_files() -> Iterator[Path]:
    """The demo's folder: in the wheel as package data, in a checkout beside the package."""
    packed = resources.files("wiremap") / "data" / "pinouts_demo"
    if packed.is_dir():
        with resources.as_file(packed) as folder:
            yield folder
        return
    yield Path(__file__).resolve().parents[2] / "pinouts_demo"


def _done(step: Step, folder: OwnFolder) -> dict[str, Any]:
    """Run one step and keep what it makes; what it was and how it ended, as plain data."""
    place = folder.path.as_posix()
    scratch = folder.path / f".wiremap-scratch-{step.file}"
    words = [*step.call(place)]
    if step.writes:
        words += ["-o", scratch.as_posix()]
    try:
        code, text = _captured(words)
        data = text.encode()
        if step.writes and code < UNREAD:
            data = scratch.read_bytes()
    finally:
        scratch.unlink(missing_ok=True)
    failed = text if code >= UNREAD else ""
    if not failed:
        wrong = folder.write({step.file: data})
        failed = f"{wrong.place}: {wrong.message}" if wrong else ""
    return {
        "file": f"{place}/{step.file}",
        "command": step.told(place),
        "exit": code,
        "what": step.what,
        "look": step.look,
        "failed": failed.strip(),
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
