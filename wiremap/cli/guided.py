"""`wiremap start` by itself: from papers to a proposed job, one question at a time."""

from __future__ import annotations

import argparse
from pathlib import Path

from wiremap.cli.common import OK, UNREAD, note, say, unread
from wiremap.cli.guided_answers import unusual_volts, volts_fault, volts_of
from wiremap.cli.guided_files import ADAPTER, SPLICE, GuidedAnswers, Plug, write_all
from wiremap.cli.guided_module import asked_module
from wiremap.cli.guided_paper import YES_NO
from wiremap.cli.guided_plug import asked_feeds, asked_plug
from wiremap.cli.next_line import tell_next
from wiremap.cli.talk import DONT_KNOW, KEYS, GoBack, NotKept, Stopped, Talk
from wiremap.content.next_begun import after_start
from wiremap.content.next_papers import shown_path

MOST_PLUGS = 9
CALLED = {"old": "the machine's plug", "new": "the new unit's plug"}
ONE_MORE = {
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
            old, new = _asked_side(talk, folder, "old"), _asked_side(talk, folder, "new")
            way = talk.choose(
                "way",
                "Is the old plug cut off and the new one spliced on, or goes an adapter between?",
                (SPLICE, ADAPTER),
                if_unknown=" (both are sketched)",
            )
            volts = _asked_volts(talk)
            fed = {plug.name: asked_feeds(talk, plug) for plug in old}
            module = asked_module(talk, folder, old, new)
            answers = GuidedAnswers(old=old, new=new, way=way, volts=volts, fed=fed, module=module)
            jobs = write_all(folder, answers)
            talk.end()
            tell_next(after_start(jobs))
            return OK
        except GoBack:
            talk.forget_last()


def _asked_side(talk: Talk, folder: Path, age: str) -> list[Plug]:
    """The plugs of one side, one after another."""
    plugs: list[Plug] = []
    while True:
        name = age if not plugs else f"{age}{len(plugs) + 1}"
        plugs.append(asked_plug(talk, folder, name, CALLED[age]))
        if len(plugs) == MOST_PLUGS:
            return plugs
        more = talk.choose(f"{name}.more", ONE_MORE[age], YES_NO, if_unknown=" (no more)")
        if more != "yes":
            return plugs


def _asked_volts(talk: Talk) -> float | None:
    answer = talk.ask(
        "volts", "How many volts has the machine?", "12, 24, d", volts_fault, unusual_volts
    )
    return None if answer == DONT_KNOW else volts_of(answer)
