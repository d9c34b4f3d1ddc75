"""The command line: finds the command, hands over, turns what goes wrong into an exit code."""

from __future__ import annotations

import atexit
import gc
import importlib
import sys
from collections.abc import Sequence

from wiremap.cli.guard import guarded
from wiremap.cli.parser import Parser, WrongCall

COMMANDS = {
    "demo": "run the main job on the salt spreader and say what to look at",
    "start": "begin a job: one question at a time, or a blank to fill in",
    "next": "ask what is open, one question at a time",
    "intake": "read a table of pins or a from/to list",
    "propose": "propose the pin mapping between two generations",
    "check": "check jobs and pinouts against the rule book",
    "sign": "sign what may be signed, one thing at a time",
    "size": "size wire, fuse, sleeve, joint, bundle",
    "slips": "tell what one slip of the hand would do",
    "survey": "plan and judge the readings before the cut",
    "ringout": "plan, judge and diagnose the continuity test",
    "sheet": "print the splice sheet",
    "page": "lead through the whole job in a browser, here or on a phone",
    "compare": "tell two revisions apart, or a splice from an adapter",
    "pack": "put a job and all it names into one file",
    "unpack": "verify a pack and lay it out",
    "explain": "explain a rule, or all of them",
}

EXAMPLES = """examples:
  wiremap demo                                    # a finished job
  wiremap start                                   # your own, by questions
  wiremap propose old.yaml new.yaml -o job.yaml   # or from two pinouts
  wiremap check job.yaml                          # ends with what comes next
"""

CAUTION = (
    "Low voltage only. wiremap proves wiring on paper; it does not replace the maker's "
    "instructions, local codes or a licensed person's judgement."
)


OBJECTS_BETWEEN_SWEEPS = 200_000
"""New objects between two runs of the garbage collector: most of a short run's objects last to its
end, and searching among them at the usual 700 costs a fifth of the time.
"""


def parser_for(command: str | None) -> Parser:
    """The parser of the asked command, or one with all names for the help page."""
    top = Parser(
        prog="wiremap",
        description="Designs low-voltage harness adapters and splices.\n" + CAUTION,
        epilog=EXAMPLES,
    )
    top.add_argument("--version", action="store_true", help="print the version")
    commands = top.add_subparsers(metavar="COMMAND", dest="command", parser_class=Parser)
    if command is not None:
        importlib.import_module(f"wiremap.cli.{command}").add(commands)
        return top
    for name, text in COMMANDS.items():
        commands.add_parser(name, help=text, add_help=False)
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; gives its exit code.

    0 nothing holds, 1 something holds, 2 unread, 70 our own bug, 130 interrupted, 141 nobody reads.
    """
    if argv is None:  # a program of its own, which ends without a last run of the collector
        argv = sys.argv[1:]
        atexit.register(gc.freeze)
    words = list(argv)
    gc.set_threshold(OBJECTS_BETWEEN_SWEEPS)
    return guarded(lambda: _command(words))


def _command(words: Sequence[str]) -> int:
    """Find the command and hand over to it."""
    command = words[0] if words and words[0] in COMMANDS else None
    try:
        _refuse_no_text(words)
        if command is None:
            return _without_command(words)
        args = parser_for(command).parse_args(words)
    except WrongCall as wrong:
        return _wrong_call(wrong, command or "wiremap", as_json="--json" in words)
    return int(args.run(args))


def _refuse_no_text(words: Sequence[str]) -> None:
    """Raise WrongCall for a word that cannot be written as text: a name of stray bytes."""
    for word in words:
        try:
            word.encode()
        except UnicodeEncodeError:
            raise WrongCall("wiremap", f"`{word}` is no text: give the file another name") from None


def _without_command(words: Sequence[str]) -> int:
    """Help, the version, or what is wrong with a call that names no command."""
    if "--version" in words:
        from importlib.metadata import version  # a tenth of the start, and asked for once in a year

        print(f"wiremap {version('wiremap')}")
        return 0
    if not words or words[0] in ("-h", "--help"):
        parser_for(None).print_help()
        return 0 if words else 2
    import difflib  # only a misspelt command needs it

    near = difflib.get_close_matches(words[0], COMMANDS)
    hint = f"; did you mean `{near[0]}`?" if near else ""
    raise WrongCall("wiremap", f"no command `{words[0]}`{hint}")


def _wrong_call(wrong: WrongCall, command: str, *, as_json: bool) -> int:
    """Say a wrong call in one line, with where to look; with `--json` as a finding."""
    from wiremap.base import fault  # not needed for the help page, which should come at once
    from wiremap.cli.common import UNREAD, emit_json, note

    prog = wrong.prog if command in wrong.prog else f"{wrong.prog} {command}"
    see = f"see {prog} --help"
    if as_json:
        emit_json(command, {"findings": [fault("call", wrong.message, fix=see).as_dict()]})
    note(f"{prog}: {wrong.message}")
    note(f"see: {prog} --help")
    return UNREAD


if __name__ == "__main__":
    sys.exit(main())
