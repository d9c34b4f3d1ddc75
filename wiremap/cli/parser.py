"""How a command line is parsed: help on one screen, examples first; wrong calls told plainly."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Iterator, Sequence

ALIKE = 0.5  # how much of a misspelt option is right
TYPE_CHECKING = False  # as `typing` has it, whose import is a sixth of the help page's time
if TYPE_CHECKING:
    from typing import Any, NoReturn

    from _typeshed import SupportsWrite

WIDTH = 79
NAMES = 27  # columns that the names of options take


class WrongCall(Exception):
    """A call that says nothing: which command line (`prog`) it was, and what is wrong with it."""

    def __init__(self, prog: str, message: str) -> None:
        super().__init__(message)
        self.prog = prog
        self.message = message


class Parser(argparse.ArgumentParser):
    """Raises a wrong call instead of ending the process, and a full output instead of hiding it."""

    def print_help(self, file: SupportsWrite[str] | None = None) -> None:
        print(self.format_help(), end="", file=file)

    def error(self, message: str) -> NoReturn:
        raise WrongCall(self.prog, message)

    def format_help(self) -> str:
        """What it does, examples, then the options, within 80 columns whatever the terminal."""
        shape = self._get_formatter()
        for group in self._action_groups:
            shape.start_section(group.title)
            shape.add_arguments(group._group_actions)
            shape.end_section()
        head = [f"usage: {self._takes()}"]
        for text in (self.description, self.epilog):
            if text:
                head += ["", *_wrapped(text)]
        return "\n".join([*head, "", shape.format_help()])

    def _get_formatter(self) -> argparse.HelpFormatter:
        """One of a stated width: argparse's own asks the terminal, which takes a module more."""
        return argparse.HelpFormatter(self.prog, max_help_position=NAMES, width=WIDTH)

    def _takes(self) -> str:
        """The command with the names of what it takes, its options in one word."""
        words = [self.prog]
        for action in self._actions:
            if not action.option_strings:
                words.append(str(action.metavar or action.dest))
        return " ".join([*words, "[options]"])

    def parse_known_args(self, *args: Any, **keywords: Any) -> Any:
        """The arguments; an option that nobody knows is told with the one that looks like it."""
        typed = args[0] if args else keywords.get("args")
        if typed is not None and self._subparsers is None:
            self._refuse_unknown(typed)
        return super().parse_known_args(*args, **keywords)

    def _refuse_unknown(self, words: Sequence[str]) -> None:
        """Raise WrongCall for the first word that looks like an option and is none."""
        known = list(self._option_string_actions)
        for word in words:
            if word == "--":
                return
            name, *_ = word.partition("=")
            if name.startswith("--") and not any(option.startswith(name) for option in known):
                raise WrongCall(self.prog, f"there is no option {name}{_nearest(name, known)}")


def _nearest(name: str, known: Sequence[str]) -> str:
    """What was likely meant, as the end of a sentence; empty where nothing looks like it."""
    import difflib  # only a misspelt call needs it

    near = difflib.get_close_matches(name, known, cutoff=ALIKE)
    return f"; did you mean {near[0]}?" if near else ""


def _wrapped(text: str) -> Iterator[str]:
    """Lines as they are, those that are too long wrapped below their own indent."""
    for line in text.rstrip("\n").splitlines():
        indent = " " * (len(line) - len(line.lstrip()))
        more = indent and f"{indent}    "
        wrap = textwrap.TextWrapper(WIDTH, subsequent_indent=more, break_on_hyphens=False)
        yield from wrap.wrap(line) or [""]
