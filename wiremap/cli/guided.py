"""`wiremap start` by itself: from papers to a proposed job, one question at a time."""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from pathlib import Path
from typing import cast, get_args

from wiremap.base import Finding
from wiremap.cli.common import OK, UNREAD, note, say
from wiremap.cli.guided_answers import HAND, PASTE, one_of, readable, row_fault, volts_fault
from wiremap.cli.guided_files import ADAPTER, SPLICE, GuidedAnswers, Plug, write_all
from wiremap.cli.next_line import tell_next
from wiremap.cli.talk import DONT_KNOW, KEYS, GoBack, NotKept, Stopped, Talk
from wiremap.content.next_begun import after_start
from wiremap.content.next_step import shown_path
from wiremap.model import Fed, Pinout
from wiremap.reports.text import wordings
from wiremap.share.beginning import (
    NO_FUSE,
    YAML,
    ToldPinout,
    fed_by,
    paper_of_file,
    paper_of_rows,
    paper_of_table,
    supplies,
)
from wiremap.trade.colours import Letters

YES_NO = ("yes", "no")
MOST_PLUGS = 9
TABLE_PARTS = ("papers", "rows", "rows.all", "letters")  # asked again if it cannot be read
ROWS_AS = "1: +12 always, red   5: ?   14: - (nothing there)"
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
        note(f"{lost.finding.place}: {lost.finding.message}")
        return UNREAD


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
            way = talk.ask(
                "way",
                "Is the old plug cut off and the new one spliced on, or goes an adapter between?",
                f"{SPLICE}, {ADAPTER}, ? (both are sketched)",
                one_of(SPLICE, ADAPTER),
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
        more = talk.ask(
            f"{name}.more",
            MORE[age],
            "yes, no",
            one_of(*YES_NO),
        )
        if more != "yes":
            break
    return plugs


def _plug(talk: Talk, folder: Path, name: str, called: str) -> Plug:
    """One plug: its papers, its shell, its letters where they are in doubt."""
    while True:
        source = talk.ask(
            f"{name}.papers",
            f"{name}, {called}: where is its pin table?",
            f"a file's name, {PASTE} (a table), {HAND} (cavity by cavity), ? (as far as known)",
            readable(folder),
        )
        rows = _rows(talk, name, source)
        shell = ""
        if Path(source).suffix.casefold() not in YAML:
            shell = talk.ask(f"{name}.shell", f"{name}: which shell is it?", "14-way sealed, ?")
        told = _Source(folder, name, source, rows, "" if shell == DONT_KNOW else shell)
        paper = _in_letters(talk, name, told)
        if paper.pinout is not None:
            _show(talk, name, paper, paper.pinout)
            file = folder / source if Path(source).suffix.casefold() in YAML else None
            return Plug(name=name, paper=paper, pinout=paper.pinout, file=file)
        _tell_faults(paper.findings)
        talk.forget(*(f"{name}.{part}" for part in TABLE_PARTS))


@dataclass(frozen=True)
class _Source:
    """Where a plug's table comes from, and its shell."""

    folder: Path
    name: str
    source: str
    rows: list[str]
    shell: str

    def paper(self, letters: Letters | None) -> ToldPinout:
        """The pinout that it comes to."""
        if self.source == PASTE:
            return paper_of_table(self.rows, title=self.name, shell=self.shell, letters=letters)
        if self.source in (HAND, DONT_KNOW):
            return paper_of_rows(self.rows, title=self.name, shell=self.shell, letters=letters)
        path = self.folder / self.source
        return paper_of_file(path, title=self.name, shell=self.shell, letters=letters)


def _in_letters(talk: Talk, name: str, told: _Source) -> ToldPinout:
    """The paper, with its colour letters asked for where they are in doubt."""
    letters = talk.answers.get(f"{name}.letters")
    if isinstance(letters, str) and letters != DONT_KNOW:
        return told.paper(cast(Letters, letters))
    paper = told.paper(None)
    doubtful = paper.unsure or [found for found in paper.findings if "letters" in found.fix]
    if not doubtful or letters == DONT_KNOW:
        return paper
    if paper.unsure:
        say(f"  papers read these colours differently: {', '.join(paper.unsure)}")
    _tell_faults(paper.findings)
    asked = talk.ask(
        f"{name}.letters",
        f"{name}: whose colour letters are these?",
        f"{', '.join(get_args(Letters))}, ? (write the colours as words)",
        one_of(*get_args(Letters)),
    )
    return paper if asked == DONT_KNOW else told.paper(cast(Letters, asked))


def _rows(talk: Talk, name: str, source: str) -> list[str]:
    if source == PASTE:
        question = f"{name}: paste the table, with its headings"
        return talk.rows(f"{name}.rows", question, "columns parted by tabs, ; or ,")
    if source in (HAND, DONT_KNOW):
        question = f"{name}: cavity by cavity, as the paper or the plug says"
        return talk.rows(f"{name}.rows", question, ROWS_AS, row_fault)
    return []


def _volts(talk: Talk) -> float | None:
    said = talk.ask("volts", "How many volts has the machine?", "12, 24, ?", volts_fault)
    return None if said == DONT_KNOW else float(said)


def _fed(talk: Talk, plug: Plug) -> dict[str, Fed]:
    """What lies before each supply of a machine's plug."""
    found = {}
    for cavity in supplies(plug.pinout):
        signal = plug.pinout.cavities[cavity].signal
        said = talk.ask(
            f"{plug.name}.fed.{cavity}",
            f"{plug.name}.{cavity} ({signal}): which fuse feeds it, and how many amps has it?",
            f"F7 10, 10, {NO_FUSE}, ?",
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
    for line in wordings(pinout).splitlines():
        say(line)
    for assumed in paper.assumed:
        say(f"  assumed: {assumed}")


def _tell_faults(findings: tuple[Finding, ...]) -> None:
    for found in findings:
        say(f"  {found.message}")
        if found.fix:
            say(f"    mend: {found.fix}")
