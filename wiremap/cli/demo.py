"""`wiremap demo`: the main job end to end, and an adapter, on the invented salt spreader."""

from __future__ import annotations

import argparse
import contextlib
import io
from collections.abc import Iterator, Sequence
from importlib import resources
from pathlib import Path
from typing import Any

from wiremap.base import Finding, Place, fault
from wiremap.cli.common import OK, UNREAD, emit_json, json_flag, note, say, unread
from wiremap.cli.demo_stories import ADAPTER, SPREADER, DemoStep, Story
from wiremap.cli.main import parser_for
from wiremap.files.schemas import KINDS, VERSION, schema_text
from wiremap.share.own_folder import Owner, OwnFolder

COPIED = (".yaml", ".md", ".csv", ".txt")
OWN_STORIES = frozenset({ADAPTER.within})  # folders of the demo that are a story of their own


def add(commands: Any) -> None:
    """Register the command."""
    parser = commands.add_parser(
        "demo", help="run the main job on the salt spreader", description=__doc__
    )
    parser.add_argument(
        "--adapter", action="store_true", help="run a plug-to-plug adapter of the spreader instead"
    )
    parser.add_argument(
        "folder", nargs="?", default="out", help="where the demo and its results go (default: out)"
    )
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Copy, propose, check, slip, ring out, print; 2 if a step could not be done."""
    story = ADAPTER if args.adapter else SPREADER
    folder = OwnFolder(Path(args.folder))
    refused = _results_free(story, folder)
    files = _files_of(story)
    kept = [name for name in files if folder.owner(name, files[name]) is Owner.SOMEBODY]
    if refused is None:
        refused = folder.write({name: files[name] for name in files if name not in kept})
    if refused is not None:
        return unread("demo", [refused], as_json=args.json, lead="wiremap demo: ", mend="mend: ")
    done = [_run_step(step, folder) for step in story.steps]
    count = sum(name.startswith(f"{story.folder}/") and name not in kept for name in files)
    shown = folder.path.as_posix()
    if args.json:
        emit_json("demo", {"folder": shown, "copied": count, "kept": kept, "steps": done})
    else:
        _tell_files(story, shown, count, kept)
        _tell_steps(story, shown, done)
    failed = [step for step in done if step["failed"]]
    for step in failed:
        note(f"failed: {step['command']}")
        for line in step["failed"].splitlines():
            note(f"  {line}")
    return UNREAD if failed else OK


def _results_free(story: Story, folder: OwnFolder) -> Finding | None:
    """A fault where a result would be written over a file that is not the demo's own."""
    for step in story.steps:
        if folder.owner(step.file) is Owner.SOMEBODY:
            return fault(
                "file-exists",
                "this file is not the demo's own, or was changed since; nothing was written",
                Place((folder.path / step.file).as_posix()),
                fix="Name another folder: wiremap demo FOLDER",
            )
    return None


def _files_of(story: Story) -> dict[str, bytes]:
    """A story's files and the schemas that they name, by their place in the folder."""
    files = {}
    with _demo_files() as demo:
        for source in sorted((demo / story.within).rglob("*")):
            inside = source.relative_to(demo / story.within)
            folder, *_ = inside.parts
            if source.suffix in COPIED and source.is_file() and folder not in OWN_STORIES:
                files[f"{story.folder}/{inside.as_posix()}"] = _as_copied(source, story)
    for kind in KINDS:
        files[f"schemas/{kind}-{VERSION}.json"] = schema_text(kind).encode()
    return files


def _as_copied(source: Path, story: Story) -> bytes:
    """A file's bytes; a story of an inner folder comes to lie one folder nearer to the schemas."""
    text = source.read_bytes()
    if story.within:
        text = text.replace(b"../../schemas/", b"../schemas/")
    return text


@contextlib.contextmanager
def _demo_files() -> Iterator[Path]:
    """The demo's folder: in the wheel as package data, in a checkout beside the package."""
    packed = resources.files("wiremap") / "data" / "pinouts_demo"
    if packed.is_dir():
        with resources.as_file(packed) as folder:
            yield folder
        return
    yield Path(__file__).resolve().parents[2] / "pinouts_demo"


def _run_step(step: DemoStep, folder: OwnFolder) -> dict[str, Any]:
    """Run one step and keep what it makes; as the command's JSON has it: its file, command and exit
    code, what the file is, what to look for in it, and what failed.
    """
    place = folder.path.as_posix()
    scratch = folder.path / f".wiremap-scratch-{step.file}"
    words = [*step.call(place)]
    if step.writes:
        words += ["-o", scratch.as_posix()]
    _remove(scratch)  # of a run that was killed
    try:
        code, text = _captured(words)
        data = text.encode()
        if step.writes and code < UNREAD:
            data = scratch.read_bytes()
    finally:
        _remove(scratch)
    failed = text if code >= UNREAD else ""
    if not failed:
        wrong = folder.write({step.file: data})
        failed = f"{wrong.place}: {wrong.message}" if wrong else ""
    return {
        "file": f"{place}/{step.file}",
        "command": step.as_typed(place),
        "exit": code,
        "what": step.what,
        "look": step.look,
        "failed": failed.strip(),
    }


def _remove(scratch: Path) -> None:
    """Remove what only a step needed; one that stays does no harm."""
    with contextlib.suppress(OSError):
        scratch.unlink()


def _captured(words: Sequence[str]) -> tuple[int, str]:
    """Run one command as a user would and keep what it prints."""
    out = io.StringIO()
    args = parser_for(words[0]).parse_args(list(words))
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        code = int(args.run(args))
    return code, out.getvalue()


def _tell_files(story: Story, folder: str, count: int, kept: list[str]) -> None:
    for line in story.introduction:
        say(line)
    say()
    say(f"{count} files are in {folder}/{story.folder}: {story.contents}.")
    for name in kept:
        say(f"  {name} differs from the demo's and was left as you have it")


def _tell_steps(story: Story, folder: str, done: list[dict[str, Any]]) -> None:
    for step in done:
        say()
        say(f"{step['file']}: {step['what']}")
        say(f"  look for: {step['look']}")
        say(f"  again:    {step['command']}")
    say()
    for line in story.closing:
        say(line.format(f=folder))
