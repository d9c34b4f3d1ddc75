"""`wiremap start` by itself: from papers to a proposed job, one question at a time."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

from wiremap.cli.common import OK, UNREAD, note, say, unread
from wiremap.cli.guided_answers import (
    HAND,
    PASTE,
    file_of,
    readable,
    tables_in,
    told_how,
    volts_fault,
    volts_of,
)
from wiremap.cli.guided_files import ADAPTER, SPLICE, GuidedAnswers, Plug, write_all
from wiremap.cli.guided_paper import (
    YES_NO,
    PlugTable,
    asked_rows,
    asked_shell,
    in_letters,
    tell_faults,
)
from wiremap.cli.next_line import tell_next
from wiremap.cli.talk import DONT_KNOW, KEYS, GoBack, NotKept, Stopped, Talk
from wiremap.content.next_begun import after_start
from wiremap.content.next_papers import shown_path
from wiremap.model import Fed, Pinout
from wiremap.reports.text import wordings
from wiremap.share.beginning import (
    NO_FUSE,
    ToldPinout,
    fed_by,
    supplies,
)

MOST_PLUGS = 9
MOST_WORDINGS = 28  # of one paper, so that they fit a screen with the next question
# asked again if the table cannot be read
TABLE_PARTS = ("papers", "rows", "rows.all", "headless", "letters")
CALLED = {"old": "the machine's plug", "new": "the new unit's plug"}
MORE = {
    "old": "Does one more plug of the machine go to the new unit?",
    "new": "Has the new unit one more plug?",
}


def guided(args: argparse.Namespace) -> int:
    """Ask, then write; what was answered is kept at every moment."""
    folder = Path(args.folder)
    talk = Talk(folder)
    if not folder.is_dir():
        note(f"wiremap start: there is no folder {folder.as_posix()}")
        return UNREAD
    if talk.answers:
        say(f"going on with what is kept in {talk.path.as_posix()}")
    say(KEYS)
    try:
        return _talked(talk, folder)
    except Stopped:
        say()
        _tell_kept(talk, args.folder)
        return OK
    except NotKept as lost:
        return unread("start", [lost.finding], as_json=False, mend="mend: ")


def _tell_kept(talk: Talk, folder: str) -> None:
    """Where the answers are, and how to go on."""
    if talk.answers:
        say(f"kept in {talk.path.as_posix()}")
    where = "" if folder == "." else f" --folder {shown_path(folder)}"
    tell_next(f"go on where you stopped: wiremap start{where}")


def _talked(talk: Talk, folder: Path) -> int:
    while True:
        try:
            old, new = _side(talk, folder, "old"), _side(talk, folder, "new")
            way = talk.choose(
                "way",
                "Is the old plug cut off and the new one spliced on, or goes an adapter between?",
                (SPLICE, ADAPTER),
                note=" (both are sketched)",
            )
            volts = _volts(talk)
            fed = {plug.name: _fed(talk, plug) for plug in old}
            jobs = write_all(folder, GuidedAnswers(old=old, new=new, way=way, volts=volts, fed=fed))
            talk.end()
            tell_next(after_start(jobs))
            return OK
        except GoBack:
            talk.forget_last()


def _side(talk: Talk, folder: Path, age: str) -> list[Plug]:
    """The plugs of one side, one after another."""
    plugs: list[Plug] = []
    while len(plugs) < MOST_PLUGS:
        name = age if not plugs else f"{age}{len(plugs) + 1}"
        plugs.append(_plug(talk, folder, name, CALLED[age]))
        more = talk.choose(f"{name}.more", MORE[age], YES_NO, note=" (no more)")
        if more != "yes":
            break
    return plugs


def _plug(talk: Talk, folder: Path, name: str, called: str) -> Plug:
    """One plug: its papers, its shell, its letters where they are in doubt."""
    while True:
        source = talk.ask(
            f"{name}.papers",
            f"{name}, {called}: where is its pin table?",
            f"{_files(folder)}, {PASTE} (a table), {HAND} (cavity by cavity), d (as far as known)",
            readable(folder),
        )
        source = told_how(folder, source)
        told = PlugTable(folder, name, source, asked_rows(talk, name, source))
        told = replace(told, shell=asked_shell(talk, told))
        paper = in_letters(talk, name, told)
        if paper.pinout is not None:
            _show(talk, name, paper, paper.pinout)
            file = file_of(folder, source) if told.is_pinout else None
            return Plug(name=name, paper=paper, pinout=paper.pinout, file=file)
        tell_faults(paper.findings)
        talk.forget(*(f"{name}.{part}" for part in TABLE_PARTS))


def _files(folder: Path) -> str:
    """The hint for a file: those that are there."""
    found = tables_in(folder)
    return f"a file's name ({found})" if found else "a file's name"


def _volts(talk: Talk) -> float | None:
    said = talk.ask("volts", "How many volts has the machine?", "12, 24, d", volts_fault)
    return None if said == DONT_KNOW else volts_of(said)


def _fed(talk: Talk, plug: Plug) -> dict[str, Fed]:
    """What lies before each supply of a machine's plug."""
    found = {}
    for cavity in supplies(plug.pinout):
        signal = plug.pinout.cavities[cavity].signal
        said = talk.ask(
            f"{plug.name}.fed.{cavity}",
            f"{plug.name}.{cavity} ({signal}): which fuse feeds it, and how many amps has it?",
            f"F7 10 (its name and its amps), 10 (amps alone), {NO_FUSE}, d",
            lambda said: "" if fed_by("1", said) else "that is no fuse and no amps",
        )
        fed = None if said == DONT_KNOW else fed_by(cavity, said)
        if fed is not None:
            found[cavity] = fed
    return found


def _show(talk: Talk, name: str, paper: ToldPinout, pinout: Pinout) -> None:
    """What each wording was read as, when it has just been told."""
    if not talk.asked.startswith(f"{name}."):
        return
    say()
    lines = wordings(pinout).splitlines()
    for line in lines[:MOST_WORDINGS]:
        say(line)
    left = len(lines) - MOST_WORDINGS
    if left > 0:
        say(f"  and {left} more lines; all of it: wiremap check {name}.yaml, once it is written")
    for assumed in paper.assumed:
        say(f"  assumed: {assumed}")
