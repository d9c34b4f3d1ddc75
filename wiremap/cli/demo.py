"""`wiremap demo`: the main job, end to end, on the invented salt spreader."""

from __future__ import annotations

import argparse
import contextlib
import io
import shutil
from collections.abc import Iterator, Sequence
from importlib import resources
from pathlib import Path
from typing import Any

from wiremap.cli.common import OK, UNREAD, emit_json, json_flag, note, say
from wiremap.cli.main import parser_for
from wiremap.files.schemas import KINDS, VERSION, schema_text

RAW = ("papers/series1-loom.yaml", "papers/series2-donor.yaml")


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
    count, kept = 0, []
    with _demo_files() as demo:
        for source in sorted(
            p for p in demo.rglob("*") if p.suffix in (".yaml", ".md", ".csv") and p.is_file()
        ):
            target = folder / source.relative_to(demo)
            target.parent.mkdir(parents=True, exist_ok=True)
            if target.exists() and target.read_bytes() != source.read_bytes():
                kept.append(target.relative_to(folder).as_posix())
                continue
            shutil.copyfile(source, target)
            count += 1
    return count, kept


def _captured(words: Sequence[str]) -> tuple[int, str]:
    """Run one command as a user would and keep what it prints."""

    out = io.StringIO()
    args = parser_for(words[0]).parse_args(list(words))
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        code = int(args.run(args))
    return code, out.getvalue()


STEPS: tuple[tuple[str, tuple[str, ...], str, str], ...] = (
    (
        "proposed.yaml",
        ("propose", "{f}/spreader/" + RAW[0], "{f}/spreader/" + RAW[1]),
        "the mapping proposed from the two raw papers",
        "no circuit that matters is `certain` there: the two valves, the merged supplies and the coding contact are questions, the "
        "bus of 250 and 500 kbit/s needs a gateway, and service data (loom 14) finds no home",
    ),
    (
        "proposed-check.txt",
        ("check", "{f}/proposed.yaml"),
        "the rule book on that raw proposal",
        "HOLD, and why: nobody has settled the questions yet",
    ),
    (
        "check.txt",
        ("check", "{f}/spreader/job.yaml"),
        "the rule book on the finished job",
        "paper in order; every caution is signed by name",
    ),
    (
        "slips.txt",
        ("slips", "{f}/spreader/job.yaml"),
        "what one slip of the hand would do",
        "the 12 V beside the 5 V, the mirrored face, the exchanged valves",
    ),
    (
        "ringout.txt",
        ("ringout", "{f}/spreader/job.yaml"),
        "the continuity test, fewest probes first",
        "what each probe proves, and what no probe can",
    ),
)


def run(args: argparse.Namespace) -> int:
    """Copy, propose, check, slip, ring out, print; returns 0 unless the folder cannot be written."""

    folder = Path(args.folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        count, kept = _copy(folder / "spreader")
        (folder / "schemas").mkdir(exist_ok=True)
        for kind in KINDS:  # the copied files name them in their first lines, for editors
            (folder / "schemas" / f"{kind}-{VERSION}.json").write_text(
                schema_text(kind), encoding="utf-8", newline="\n"
            )
    except OSError as error:
        note(
            f"{folder}: cannot be written: {error.strerror}. Name another folder: wiremap demo FOLDER"
        )
        return UNREAD
    f, done = folder.as_posix(), []
    for name, words, what, look in STEPS:
        (folder / name).unlink(missing_ok=True)
        code, text = _captured(
            [w.format(f=f) for w in words]
            + (["-o", f"{f}/{name}"] if name.endswith(".yaml") else [])
        )
        if not name.endswith(".yaml"):
            (folder / name).write_text(text, encoding="utf-8")
        done.append(
            {
                "file": f"{f}/{name}",
                "command": " ".join(["wiremap", *(w.format(f=f) for w in words)]),
                "exit": code,
                "what": what,
                "look": look,
            }
        )
    sheet = folder / "sheet.pdf"
    sheet.unlink(missing_ok=True)
    words = ("sheet", f"{f}/spreader/job.yaml", "-o", f"{f}/sheet.pdf", "--annex")
    code, text = _captured(words)
    done.append(
        {
            "file": f"{f}/sheet.pdf",
            "command": "wiremap " + " ".join(words),
            "exit": code,
            "what": "the splice sheet for the bench",
            "look": "the map with both faces of each connector, the joints one wire at a time",
        }
    )
    if args.json:
        emit_json("demo", {"folder": f, "copied": count, "kept": kept, "steps": done})
    else:
        _tell(f, count, kept, done)
    return OK


def _tell(folder: str, count: int, kept: list[str], done: list[dict[str, Any]]) -> None:
    say(
        "A salt spreader's series 1 controller is dead; a series 2 controller is fitted, its pigtail cut from a wreck."
    )
    say(
        "All of it is invented, on a 12 V carrier. On a 24 V truck this is another job, and the check stops it."
    )
    say()
    say(f"{count} files are in {folder}/spreader: the raw papers, the finished job, its notebook.")
    for name in kept:
        say(f"  {name} differs from the demo's and was left as you have it")
    for step in done:
        say()
        say(f"{step['file']}: {step['what']}")
        say(f"  look for: {step['look']}")
        say(f"  again:    {step['command']}")
    say()
    say("Wiring only: none of this proves that the two controllers understand each other,")
    say("and no paper is a permission to power up.")
    say(
        f"Next: change a line in {folder}/spreader/job.yaml (join loom.1 and donor.1, say) and run the check again."
    )
