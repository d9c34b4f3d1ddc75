"""The walk through a ring-out at a terminal: one probe shown, one answer typed and saved."""

from __future__ import annotations

import argparse
import gc
import sys
from collections.abc import Iterator
from dataclasses import replace

from wiremap.base import Finding, fault, plural
from wiremap.cli.common import HOLDS, OK, emit_json, note, say
from wiremap.cli.next_line import checked_of, held_line
from wiremap.cli.next_talk import asked_name
from wiremap.cli.ringout_plan import tell_judged
from wiremap.cli.saving import entry_date, save, tell_unread
from wiremap.content.next_papers import shown_path
from wiremap.content.stops_passed import owed_before
from wiremap.diagnose.turn import BACK, HELP, KEPT, KEYS, WHY, Turn, meant
from wiremap.diagnose.walk import Walk
from wiremap.evidence.opened import OpenJob
from wiremap.model import Entry, Stop
from wiremap.reports.screen import wrapped
from wiremap.ringout.before_start import before_start
from wiremap.ringout.bench import question_lines, why_no_answer
from wiremap.ringout.plan import plan

NAMELESS = "a reading counts with a name under it"
LATER = "kept; the same command goes on from here"
LONGEST = 1000  # characters of a typed line
MOST_LINES = 100_000  # nobody types so many; a pipe without end does


class Terminal:
    """Where the walk is shown: with JSON, standard output belongs to the verdict alone."""

    def __init__(self, *, as_json: bool) -> None:
        self.as_json = as_json
        self.turns = iter(range(MOST_LINES))

    def tell(self, *lines: str) -> None:
        """Show lines."""
        show = note if self.as_json else say
        for line in lines:
            drawn = line.startswith(" ")  # a face keeps its blanks
            for part in [line] if drawn else wrapped(line):
                show(part)

    def typed(self) -> str | None:
        """One typed line, asked for where the rest is shown; None at the end of input."""
        print("> ", end="", flush=True, file=sys.stderr if self.as_json else sys.stdout)
        gc.collect(1)  # while somebody reads the question, not while they wait for it
        if sys.stdin is None:
            return None
        line = sys.stdin.readline(LONGEST)
        if not line or next(self.turns, None) is None:
            return None
        return line.strip()


def walk_through(args: argparse.Namespace, opened: OpenJob) -> int:
    """Ask probe after probe until all is said or the walk is kept for later."""
    args.by = args.by.strip() or asked_name()
    if not args.by:
        return tell_unread(args, "ringout", [fault("no-name", NAMELESS, fix="add --by NAME")])
    return _walked(args, opened)


def _walked(args: argparse.Namespace, opened: OpenJob) -> int:
    """Ask in the name that is known."""
    made = plan(opened.harness, args.method, args.kind)
    walk = Walk(opened.harness, made, list(opened.job.entries))
    terminal = Terminal(as_json=args.json)
    terminal.tell(*_lines_ahead(args, opened, walk))
    asked = _ask_of_bench(args, opened, walk, terminal)
    if isinstance(asked, int):
        return asked
    opened = asked
    before = [f"before: {line}" for line in before_start(opened.harness, made.kind)]
    terminal.tell(*before, KEYS)
    ended = _ask_probes(args, opened, walk, terminal)
    return _end(args, opened, walk) if ended is None else ended


def _ask_probes(
    args: argparse.Namespace, opened: OpenJob, walk: Walk, terminal: Terminal
) -> int | None:
    """Ask probe after probe; None once all is said, the exit code if it ends before."""
    while (turn := walk.turn()) is not None:
        terminal.tell("", f"{_turn_words(walk, turn)}:", *walk.show(turn))
        typed = terminal.typed()
        asks = KEPT if typed is None else meant(typed)
        if typed is None or asks == KEPT:
            return _left_for_later(args, walk, terminal)
        if asks == HELP:
            terminal.tell(KEYS)
        elif asks == WHY:
            terminal.tell(turn.why or "it is part of the plan")
        else:
            kept = _answer(args, walk, turn, typed, terminal)
            wrong = _save_and_tell(opened, walk, kept, terminal)
            if wrong is not None:
                return tell_unread(args, "ringout", [wrong])
            if kept:
                opened = replace(opened, named=True)  # where it lies was said once
    return None


def _left_for_later(args: argparse.Namespace, walk: Walk, terminal: Terminal) -> int:
    """Say that the walk goes on another time; the exit code of what is not said yet."""
    terminal.tell(LATER)
    if args.json:
        emit_json("ringout", walk.judged().as_dict())
    return HOLDS


def _lines_ahead(args: argparse.Namespace, opened: OpenJob, walk: Walk) -> Iterator[str]:
    """What is ahead: that the job is on hold, and how many questions and readings come."""
    call = f"wiremap check {shown_path(args.files[0])}"
    held = held_line(checked_of(opened), f"what is rung out now may change yet; see {call}")
    if held:
        yield held
    elif Stop.CUT in owed_before(opened.job, Stop.SLEEVES):
        sign = f"wiremap sign {shown_path(args.files[0])} --stop cut --by NAME --second NAME"
        yield f"the stop before the cut is not passed: {sign}"
    count = len(walk.questions())
    if count:
        readings = plural(len(walk.plan.probes), "reading")
        yield f"{plural(count, 'question')} about the bench, then at most {readings}"


def _ask_of_bench(
    args: argparse.Namespace, opened: OpenJob, walk: Walk, terminal: Terminal
) -> OpenJob | int:
    """Ask what nobody has said of the bench; the job from then on, or the exit code if it ends."""
    while (question := walk.question()) is not None:
        terminal.tell("", *question_lines(question))
        typed = terminal.typed()
        if typed is None or meant(typed) == KEPT:
            return _left_for_later(args, walk, terminal)
        kept = walk.settle(question, typed, args.by, entry_date(args))
        if not kept:
            terminal.tell(why_no_answer(opened.job, question, typed))
            continue
        wrong = save(opened, list(kept))
        if wrong is not None:
            return tell_unread(args, "ringout", [wrong])
        opened = replace(opened, named=True)  # where it lies was said once
    return opened


def _turn_words(walk: Walk, turn: Turn) -> str:
    if turn.mend:
        return turn.why
    if turn.probe and turn.probe.state.shrunk and not turn.telling:
        return f"sleeves shrunk, probe {turn.probe.n} of {len(walk.plan.second)}"
    if turn.probe and not turn.telling:
        return f"probe {turn.probe.n} of {len(walk.plan.probes)}"
    return "telling probe"


def _answer(
    args: argparse.Namespace, walk: Walk, turn: Turn, typed: str, terminal: Terminal
) -> tuple[Entry, ...]:
    """The entries that a typed line comes to."""
    if meant(typed) == BACK:
        entries = walk.undo()
        terminal.tell("taken back" if entries else "nothing to take back")
    else:
        entries = walk.answer(turn, typed, args.by, entry_date(args))
        if not entries:
            terminal.tell(walk.refused(turn, typed))
    return entries


def _save_and_tell(
    opened: OpenJob, walk: Walk, kept: tuple[Entry, ...], terminal: Terminal
) -> Finding | None:
    """Save entries and show what they tell; the fault that kept them from being saved."""
    if not kept:
        return None
    wrong = save(opened, list(kept))
    if wrong is None:
        terminal.tell(*walk.said())
    return wrong


def _end(args: argparse.Namespace, opened: OpenJob, walk: Walk) -> int:
    judged = walk.judged()
    if args.json:
        emit_json("ringout", judged.as_dict())
    else:
        say()
        tell_judged(args, opened, judged)
    return OK if judged.verdict == "pass" else HOLDS
