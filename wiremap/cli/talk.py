"""A talk at the terminal: one question at a time, each answer kept before the next is asked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from wiremap.base import Finding, only
from wiremap.cli.common import say
from wiremap.cli.guided_why import why_asked
from wiremap.cli.talk_file import Answer, read_answers, write_answers
from wiremap.entries.yes_no import in_english
from wiremap.evidence.allowed import undecided
from wiremap.files.source import HIDDEN
from wiremap.share.headings import is_row_of_plug

KEPT_IN = "wiremap-start.json"
DONT_KNOW = "?"  # as it is kept
BACK, HELP, END = "back", "?", "."
STOP = frozenset({"q", "quit", "stop"})
NOT_KNOWN = frozenset({"d", "don't know", "dont know", "don\u2019t know"})
KEYS = (
    "type an answer; d for don't know, back for the question before, ? for help, q to go on later"
)
ROWS_END = "a line with a dot alone ends them"
MOST_ROWS = 4096
LONGEST = 500  # characters of an answer

Refusal = Callable[[str], str]  # why an answer will not do; empty if it does
Table = Callable[[str], str]  # how a plug's table is told whose row this is
NO_TABLE_HERE = """  that is a pin table, and nothing of it is taken here: where a plug's table is
  asked for, paste it; back goes to the question before this one"""


class Stopped(Exception):
    """The person stops, or there is no more input; everything answered is kept."""


class GoBack(Exception):
    """The person takes the last answer back."""


class NotKept(Exception):
    """An answer could not be saved; `finding` says why."""

    def __init__(self, finding: Finding) -> None:
        super().__init__()
        self.finding = finding


class Talk:
    """Questions by their keys; what was answered before is not asked again."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / KEPT_IN
        self.answers = read_answers(self.path)
        self.last_asked = ""  # the key of the last question that was asked in this sitting
        self.waiting = ""  # a line that was typed for the question after this one

    def ask(
        self,
        key: str,
        question: str,
        hint: str,
        refusal: Refusal | None = None,
        doubt: Refusal | None = None,
        *,
        table: Table | None = None,
        lists: bool = False,
    ) -> str:
        """The answer to a question, that of an earlier sitting if one is kept; raises Stopped or
        GoBack.

        What `refusal` gives words for is not taken.  What `doubt` gives words for is asked back
        once: said again it is kept.  Where `table` is given a row of a plug's table is an answer,
        and the first of the rows that are asked next; elsewhere the whole table is refused, once,
        but where an answer itself `lists` words.
        """
        kept = self.answers.get(key)
        if isinstance(kept, str):
            return kept
        say()
        say(question)
        say(f"  answers: {hint}")
        doubted, table_refused = "", False
        while True:
            answer = self._line(hint, why_asked(key)).strip()
            is_row = is_row_of_plug(answer) and not lists
            if is_row or (table_refused and answer == END):
                if table is not None:
                    self.waiting = answer
                    return self._keep(key, table(answer))
                if not table_refused:
                    say(NO_TABLE_HERE)
                table_refused = True
                continue
            if answer.casefold() in NOT_KNOWN or undecided(answer):
                return self._keep(key, DONT_KNOW)
            why = "" if refusal is None else refusal(answer)
            if not why and doubt is not None and answer != doubted:
                doubted, why = answer, _asked_back(doubt(answer))
            if not why:
                return self._keep(key, answer)
            say(f"  {why}")

    def choose(self, key: str, question: str, words: Sequence[str], *, if_unknown: str = "") -> str:
        """One of a few words, whole or as it begins; raises Stopped or GoBack."""
        hint = f"{', '.join(words)}, d{if_unknown}"

        def refusal(answer: str) -> str:
            return "" if _meant(answer, words) else f"one of: {hint}"

        answer = self.ask(key, question, hint, refusal)
        return answer if answer == DONT_KNOW else _meant(answer, words)

    def rows(
        self,
        key: str,
        question: str,
        hint: str,
        refusal: Refusal | None = None,
        begins_anew: Callable[[str], bool] | None = None,
    ) -> list[str]:
        """Several lines up to a dot, each kept as it comes; raises Stopped or GoBack.

        Where lines are kept from before, a first new one that `begins_anew` takes their place.
        """
        done = f"{key}.all"
        kept = self.answers.get(key)
        rows = list(kept) if isinstance(kept, list) else []
        if done in self.answers:
            return rows
        say()
        say(question)
        say(f"  {hint}")
        say(f"  {ROWS_END}; back takes the last one away")
        before = len(rows)
        for row in rows:
            say(f"  kept: {row}")
        while len(rows) < MOST_ROWS:
            row = self._row(key, rows, hint)
            if row == END and rows:
                break
            why = _why_no_row(row, refusal)
            if why:
                say(f"  {why}")
                continue
            if len(rows) == before and rows and begins_anew is not None and begins_anew(row):
                say(f"  the {len(rows)} lines before this one are dropped: a table begins anew")
                rows.clear()
            rows.append(row)
            self._keep(key, rows)
        self._keep(done, END)
        return rows

    def _row(self, key: str, rows: list[str], hint: str) -> str:
        """One row; back takes the last row away, and with none left goes to the question before."""
        while True:
            try:
                return self._line(f"{hint}; {ROWS_END}")
            except GoBack:
                if not rows:
                    raise
                say(f"  taken back: {rows.pop()}")
                self._keep(key, rows)

    def forget(self, *keys: str) -> None:
        """Take answers back, so that they are asked again."""
        for key in keys:
            self.answers.pop(key, None)
        self._write()

    def forget_last(self) -> None:
        """Take the last answer back; of rows only that they have ended."""
        for key in reversed(list(self.answers)):
            answer = self.answers[key]
            self.forget(key)
            if answer:
                return

    def end(self) -> None:
        """Everything is written: nothing of the talk is needed any more."""
        try:
            self.path.unlink(missing_ok=True)
        except OSError as error:
            why = (error.strerror or str(error)).lower()
            say(f"{self.path.as_posix()} could not be removed ({why}): remove it by hand, or the")
            say("  next start takes these answers again")

    def _line(self, hint: str, why: str = "") -> str:
        """One line that says something; raises Stopped at the end of input.

        Who asks for help is told the keys and what is wanted, and is asked again.
        """
        while True:
            try:
                line = self.waiting or input("> ").rstrip()
            except EOFError as end:
                raise Stopped from end
            self.waiting = ""
            if line.strip().casefold() in STOP:
                raise Stopped
            if line.strip() == BACK:
                raise GoBack
            if len(line) > LONGEST or HIDDEN.search(line):
                say(f"  that is too long or holds a hidden character; {KEYS}")
            elif line.strip() not in ("", HELP):
                return line
            else:
                say(f"  {KEYS}")
                say(f"  wanted here: {hint}")
                if why:
                    say(f"  why: {why}")

    def _keep(self, key: str, answer: Answer) -> str:
        self.answers[key] = answer
        self.last_asked = key
        self._write()
        return answer if isinstance(answer, str) else ""

    def _write(self) -> None:
        wrong = write_answers(self.path, self.answers)
        if wrong is not None:
            raise NotKept(wrong)


def _why_no_row(row: str, refusal: Refusal | None) -> str:
    """Why a row is not taken; empty if it is."""
    if row == END:
        return "there is no row yet"
    return "" if refusal is None else refusal(row)


def _asked_back(doubt: str) -> str:
    return f"{doubt}; the same once more keeps it" if doubt else ""


def _meant(answer: str, words: Sequence[str]) -> str:
    """The word that an answer is, or the one that it begins; empty if none or several do."""
    answer = in_english(answer, words)
    if answer in words:
        return answer
    begun = [word for word in words if word.casefold().startswith(answer.casefold())]
    return only(begun) or ""
