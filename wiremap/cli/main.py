"""The command line: finds the command, hands over, turns what goes wrong into an exit code."""

from __future__ import annotations

import argparse
import importlib
import os
import sys
from collections.abc import Callable, Sequence
from typing import NoReturn

from wiremap.cli.common import HOLDS, INTERRUPTED, OUR_BUG, UNREAD, emit_json, note

COMMANDS = {
    "demo": "run the main job on the salt spreader and say what to look at",
    "start": "write a commented blank to fill in",
    "next": "ask the one question that settles the most harm",
    "intake": "read a table of pins or a from/to list",
    "propose": "propose the pin mapping between two generations",
    "check": "check jobs and pinouts against the rule book",
    "size": "size wire, fuse, sleeve, joint, bundle",
    "slips": "tell what one slip of the hand would do",
    "survey": "plan and judge the readings before the cut",
    "ringout": "plan, judge and diagnose the continuity test",
    "sheet": "print the splice sheet",
    "compare": "tell two revisions apart by what they mean",
    "pack": "put a job and all it names into one file",
    "unpack": "verify a pack and lay it out",
    "explain": "explain a rule, or all of them",
}

EXAMPLES = """examples:
  wiremap demo
  wiremap start pinout --cavities 14 --rows 2 -o old.yaml
  wiremap propose old.yaml new.yaml -o job.yaml
  wiremap check job.yaml
  wiremap sheet job.yaml -o sheet.pdf
"""

CAUTION = (
    "Low voltage only. wiremap proves wiring on paper; it does not replace the maker's instructions, local codes or a "
    "licensed person's judgement."
)


class _Parser(argparse.ArgumentParser):
    """Says a wrong call in one line, with where to look; with `--json` as a finding."""

    asked: str | None = None

    def error(self, message: str) -> NoReturn:
        if "--json" in sys.argv:
            from wiremap.base import fault

            wrong = fault("call", message, fix=f"see {self.prog} --help")
            emit_json(
                self.asked or [*self.prog.split(), "wiremap"][1], {"findings": [wrong.as_dict()]}
            )
        note(f"{self.prog}: {message}\nsee: {self.prog} --help")
        raise SystemExit(UNREAD)


def parser_for(command: str | None) -> argparse.ArgumentParser:
    """The parser with the asked command filled in, or with every command's name for the help page."""
    top = _Parser(
        prog="wiremap",
        description="Designs low-voltage harness adapters and splices.\n" + CAUTION,
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    top.asked = command
    top.add_argument("--version", action="store_true", help="print the version")
    commands = top.add_subparsers(metavar="COMMAND", dest="command", parser_class=_Parser)
    for name, text in COMMANDS.items():
        if name == command:
            importlib.import_module(f"wiremap.cli.{name}").add(commands)
        else:
            commands.add_parser(name, help=text, add_help=False)
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; returns its exit code (0 nothing holds, 1 something holds, 2 unread, 70 our bug, 130 interrupted)."""
    words = list(sys.argv[1:] if argv is None else argv)
    command = next((w for w in words if not w.startswith("-")), None)
    if command in COMMANDS and words[0] == command:
        args = parser_for(command).parse_args(words)
        return _guarded(lambda: int(args.run(args)))
    if "--version" in words:
        from importlib.metadata import version

        print(f"wiremap {version('wiremap')}")
        return 0
    top = parser_for(None)
    if not words or words[0] in ("-h", "--help"):
        top.print_help()
        return 0 if words else UNREAD
    import difflib

    near = difflib.get_close_matches(words[0], COMMANDS, n=1)
    hint = f"; did you mean `{near[0]}`?" if near else ""
    return top.error(f"no command `{words[0]}`{hint}")


def _guarded(run: Callable[[], int]) -> int:
    try:
        code = run()
        sys.stdout.flush()
        return code
    except KeyboardInterrupt:
        note("interrupted; what was saved before stays")
        return INTERRUPTED
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return HOLDS
    except Exception as bug:
        if os.environ.get("WIREMAP_TRACE"):
            raise
        note(
            f"wiremap: a fault of our own: {type(bug).__name__}: {bug}\n"
            "your files are untouched; set WIREMAP_TRACE=1 to see where it happened and report it with the input"
        )
        return OUR_BUG


if __name__ == "__main__":
    sys.exit(main())
