"""One plug as the guided start asks for it: its papers, its feeds, how its wordings were read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from wiremap.base import plural
from wiremap.cli.common import say
from wiremap.cli.guided_answers import (
    HAND,
    PASTE,
    file_of,
    readable,
    tables_in,
    told_how,
    unusual_feed,
    way_of_row,
)
from wiremap.cli.guided_files import Plug
from wiremap.cli.guided_paper import (
    YES_NO,
    PlugTable,
    asked_rows,
    asked_shell,
    paper_in_letters,
    tell_faults,
)
from wiremap.cli.talk import DONT_KNOW, Talk
from wiremap.evidence.unusual import unusual_in
from wiremap.model import Fed, Pinout
from wiremap.propose.inline import MODULE
from wiremap.reports.text import wordings
from wiremap.share.beginning import NO_FUSE, ToldPinout, fed_by, supplies

MOST_UNUSUAL = 4  # figures of one table that are asked back
MOST_WORDINGS = 20  # of one paper, so that they fit a screen with the next question
# asked again if the table cannot be read
TABLE_PARTS = ("papers", "rows", "rows.all", "columns", "letters")


def asked_plug(talk: Talk, folder: Path, name: str, called: str) -> Plug:
    """One plug: its papers, its shell, its letters where they are in doubt."""
    unknown = "nobody has it" if name == MODULE else "as far as known"
    while True:
        source = talk.ask(
            f"{name}.papers",
            f"{name}, {called}: where is its pin table?",
            f"{_files_hint(folder)}, {PASTE} (a table), {HAND} (cavity by cavity), d ({unknown})",
            readable(folder),
            table=way_of_row,
        )
        source = told_how(folder, source)
        table = PlugTable(folder, name, source)
        table = replace(table, rows=asked_rows(talk, table))
        table = replace(table, shell=asked_shell(talk, table))
        paper = paper_in_letters(talk, name, table)
        if paper.pinout is not None:
            _show_readings(talk, name, paper, paper.pinout)
            if not _figures_stand(talk, name, paper.pinout):
                talk.forget(*(f"{name}.{part}" for part in (*TABLE_PARTS, "unusual")))
                continue
            file = file_of(folder, source) if table.is_pinout else None
            return Plug(name=name, paper=paper, pinout=paper.pinout, file=file)
        tell_faults(paper.findings)
        talk.forget(*(f"{name}.{part}" for part in TABLE_PARTS))


def _files_hint(folder: Path) -> str:
    """The hint for a file: those that are there."""
    names = tables_in(folder)
    return f"a file's name ({names})" if names else "a file's name"


def asked_feeds(talk: Talk, plug: Plug, cavities: Sequence[str] = ()) -> dict[str, Fed]:
    """What lies before contacts of a machine's plug, by default each of its supplies."""
    feeds = {}
    for cavity in cavities or supplies(plug.pinout):
        signal = plug.pinout.cavities[cavity].signal
        answer = talk.ask(
            f"{plug.name}.fed.{cavity}",
            f"{plug.name}.{cavity} ({signal}): which fuse feeds it, and how many amps has it?",
            f"F7 10 (its name and its amps), 10 (amps alone), {NO_FUSE}, d",
            lambda answer: "" if fed_by("1", answer) else "that is no fuse and no amps",
            unusual_feed,
        )
        fed = None if answer == DONT_KNOW else fed_by(cavity, answer)
        if fed is not None:
            feeds[cavity] = fed
    return feeds


def _figures_stand(talk: Talk, name: str, pinout: Pinout) -> bool:
    """Whether a person stands to the figures of a table that are far from what is usual."""
    strange = [(at, why) for at, cavity in pinout.cavities.items() for why in unusual_in(cavity)]
    if not strange:
        return True
    if f"{name}.unusual" not in talk.answers:
        say()
        for at, why in strange[:MOST_UNUSUAL]:
            say(f"  {at}: {why}")
    return talk.choose(f"{name}.unusual", f"{name}: are these figures right?", YES_NO) != "no"


def _show_readings(talk: Talk, name: str, paper: ToldPinout, pinout: Pinout) -> None:
    """What each wording was read as, when it has just been told."""
    if not talk.last_asked.startswith(f"{name}."):
        return
    say()
    lines = wordings(pinout).splitlines()
    for line in lines[:MOST_WORDINGS]:
        say(line)
    left = lines[MOST_WORDINGS:]
    if left:
        more = plural(len(left), "more line")
        say(f"  and {more}; all of it: wiremap check {name}.yaml, once it is written")
    for assumed in paper.assumed:
        say(f"  assumed: {assumed}")
