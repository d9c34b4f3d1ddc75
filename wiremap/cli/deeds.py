"""What `wiremap next` keeps besides answers: what was done, mended, or is struck out again."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence

from wiremap.base import Finding, fault, only
from wiremap.cli.common import OK, emit_json, note, say, say_lines
from wiremap.cli.next_line import checked_of, tell_next
from wiremap.cli.open_job import read_job
from wiremap.cli.saving import entry_date, save, tell_unread
from wiremap.content.kept import KeptLine, kept_lines
from wiremap.content.next_papers import shown_path
from wiremap.content.next_step import after_job
from wiremap.evidence.opened import OpenJob, full_address
from wiremap.model import Address, Entry, EntryKind
from wiremap.reports.screen import LAST_STEP, SCREEN, shrunk_to

MOST_KEPT = 34  # entries that are listed, the last ones
LEAST_MARK = 4  # hex digits of a mark that must be typed at least


def add_deeds(parser: argparse.ArgumentParser) -> None:
    """Add the options that keep a deed."""
    parser.add_argument("--done", metavar="WHAT", help="keep what was done, in words")
    parser.add_argument(
        "--mended",
        nargs="+",
        metavar="POINT",
        help="keep a repair: what was read there is asked again",
    )
    parser.add_argument("--kept", action="store_true", help="list all entries with their marks")
    parser.add_argument("--strike", metavar="MARK", help="take an entry back; nothing is deleted")


def asks_for_a_deed(args: argparse.Namespace) -> bool:
    """Whether the call keeps a deed or lists what is kept."""
    return bool(args.done or args.mended or args.strike or args.kept)


def keep_deed(args: argparse.Namespace, opened: OpenJob) -> int:
    """Keep what was done, mended or struck out, or list what is kept; gives the exit code."""
    lines = list(kept_lines(opened.job))
    if args.kept:
        return _list(args, lines)
    if not args.by.strip():
        words = "an entry counts with a name under it; nothing was saved"
        return tell_unread(args, "next", [fault("no-name", words, fix="add --by NAME")])
    made = _deed_entry(args, opened, lines)
    wrong = made if isinstance(made, Finding) else save(opened, [made])
    if wrong is not None:
        return tell_unread(args, "next", [wrong])
    if args.json:
        emit_json("next", {"kept": opened.notebook.as_posix()})
    else:
        note(f"kept in {opened.notebook.as_posix()}{_struck_words(made, lines)}")
        _tell_after(args)
    return OK


def _struck_words(made: Entry | Finding, lines: Sequence[KeptLine]) -> str:
    """What an entry has struck out, in words; empty for any other."""
    if isinstance(made, Finding) or made.kind != EntryKind.STRUCK_OUT:
        return ""
    return f": struck out: {next(line.words for line in lines if line.mark == made.mark)}"


def _tell_after(args: argparse.Namespace) -> None:
    """What comes next, with what was kept among the entries."""
    opened, _ = read_job(args.file, args.notebook)
    if opened is not None and not opened.bare:
        tell_next(after_job(checked_of(opened)))


def _list(args: argparse.Namespace, lines: Sequence[KeptLine]) -> int:
    if args.json:
        emit_json("next", {"entries": [line.as_dict() for line in lines]})
        return OK
    if args.full:
        say_lines(map(_kept_words, lines))
    else:
        say_lines(shrunk_to(lambda most: _last_lines(lines, most), SCREEN - LAST_STEP, MOST_KEPT))
    if not lines:
        say("nothing is kept yet")
        _tell_after(args)
        return OK
    path = shown_path(args.file)
    tell_next(f"to take one back: wiremap next {path} --strike MARK --by NAME")
    return OK


def _last_lines(lines: Sequence[KeptLine], most: int) -> Iterator[str]:
    """The last of the entries, and how many stand before them."""
    before, last = lines[:-most], lines[-most:]
    if before:
        yield f"{len(before)} before these: --full tells them"
    yield from map(_kept_words, last)


def _kept_words(line: KeptLine) -> str:
    struck = "struck out: " if line.struck else ""
    return f"{line.mark}  {struck}{line.words}  ({line.by or 'nobody named'}, {line.date})"


def _deed_entry(
    args: argparse.Namespace, opened: OpenJob, lines: Sequence[KeptLine]
) -> Entry | Finding:
    if args.strike:
        return _strike_entry(args, lines)
    if args.mended:
        points = [Address.read(full_address(opened, point)) for point in args.mended]
        unknown = [point for point in points if point not in opened.harness.points]
        if unknown:
            words = f"there is no point {', '.join(unknown)}; nothing was saved"
            fix = "name points as on the sheet: loom.1, F1.a, G1"
            return fault("no-such-point", words, fix=fix)
        return Entry(
            kind=EntryKind.MENDED,
            points=tuple(points),
            what=args.done or args.how,
            by=args.by,
            date=entry_date(args),
        )
    return Entry(kind=EntryKind.DONE, what=args.done, by=args.by, date=entry_date(args))


def _strike_entry(args: argparse.Namespace, lines: Sequence[KeptLine]) -> Entry | Finding:
    """The entry that takes back the one entry whose mark begins as typed."""
    mark = args.strike.strip().casefold()
    matching = [line for line in lines if line.mark.startswith(mark) and not line.struck]
    found = only({line.mark for line in matching})
    if len(mark) < LEAST_MARK or found is None:
        count = len(matching) if len(mark) >= LEAST_MARK else 0
        words = f"{count} entries bear the mark `{args.strike}`; nothing was saved"
        fix = f"see the marks with: wiremap next {args.file} --kept"
        return fault("no-such-mark", words, fix=fix)
    return Entry(
        kind=EntryKind.STRUCK_OUT,
        mark=found,
        why=args.how,
        by=args.by,
        date=entry_date(args),
    )
