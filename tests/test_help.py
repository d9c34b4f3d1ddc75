"""Help fits a screen, examples come first, and every option that is named anywhere exists."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest
from demo_jobs import ROOT

import wiremap
from wiremap.cli.main import COMMANDS, main, parser_for
from wiremap.cli.size_options import things

PACKAGE = Path(wiremap.__file__).parent
SCREEN, WIDE = 40, 80
STARTED = ("pinout", "job", "schemas")
CALLS = (
    *((command,) for command in COMMANDS),
    *(("size", thing) for thing in things()),
    *(("start", kind) for kind in STARTED),
)
OPTION = re.compile(r"(?<![\w-])--[a-z][a-z-]+")
OTHERS = {"--help", "--version", "--e", "--extra"}  # of the program itself, of tools in a recipe


def help_of(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """What `--help` prints."""
    with pytest.raises(SystemExit):
        main([*words, "--help"])
    return capsys.readouterr().out


@pytest.fixture
def options(capsys: pytest.CaptureFixture[str]) -> dict[str, set[str]]:
    """The options of each command, those of what it sizes or starts included."""
    known: dict[str, set[str]] = {}
    for words in CALLS:
        told = help_of(capsys, *words).partition("\noptions:")[2]
        known.setdefault(words[0], set()).update(OPTION.findall(told))
    return known


@pytest.mark.parametrize("words", CALLS, ids=[" ".join(words) for words in CALLS])
def test_help_fits_a_screen(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    """Forty lines of eighty columns, whatever the terminal says of itself."""
    monkeypatch.setenv("COLUMNS", "200")
    lines = help_of(capsys, *words).splitlines()
    assert len(lines) <= SCREEN
    assert max(map(len, lines)) <= WIDE


@pytest.mark.parametrize("command", [c for c in COMMANDS if c not in ("demo", "unpack", "compare")])
def test_examples_come_before_the_options(capsys: pytest.CaptureFixture[str], command: str) -> None:
    """Each is a call of that command."""
    told = help_of(capsys, command)
    assert 0 < told.index(f"  wiremap {command}") < told.index("\noptions:")


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        (("ringout", "job.yaml", "--readngs", "x"), "--readings"),
        (("size", "fuse", "--laod", "3"), "--load"),
        (("start", "pinout", "--cavitys", "3"), "--cavities"),
        (("check", "a.yaml", "--ful"), ""),  # begins like --full, and is taken for it
    ],
)
def test_an_unknown_option_is_told_with_the_nearest(
    capsys: pytest.CaptureFixture[str], words: tuple[str, ...], meant: str
) -> None:
    """Before anything that is missing is asked for."""
    assert main(words) == 2
    said = capsys.readouterr().err
    assert ("there is no option" in said) == bool(meant)
    assert not meant or f"did you mean {meant}?" in said


def test_every_option_that_is_named_exists(options: dict[str, set[str]]) -> None:
    """In any text of the program and in the README; behind a command, one of that command."""
    every = set().union(*options.values()) | OTHERS
    for place, text in named_texts():
        assert exist(OPTION.findall(text), every), place
        for command, rest in re.findall(r"\bwiremap ([a-z]+)\b([^\n`;]*)", text):
            if command in options:
                behind = rest.partition("wiremap")[0].partition("&&")[0]
                assert exist(OPTION.findall(behind), options[command] | OTHERS), place


def exist(named: list[str], known: set[str]) -> bool:
    """Whether each is an option; where a text goes on with a word put in, the start of one."""
    return all(
        any(option.startswith(each) if each.endswith("-") else option == each for option in known)
        for each in named
    )


def named_texts() -> list[tuple[str, str]]:
    """The README, and every text in the code that is no docstring."""
    found = [("README.md", readme_calls())]
    for path in sorted(PACKAGE.rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        docs = {id(n.value) for n in ast.walk(tree) if isinstance(n, ast.Expr)}
        for node in ast.walk(tree):
            text = node.value if isinstance(node, ast.Constant) else None
            if isinstance(text, str) and id(node) not in docs:
                found.append((f"{path.name}:{node.lineno}", text))
    return found


def readme_calls() -> str:
    """What the README says between backquotes and in code, of wiremap alone."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if "wiremap" in line and "pytest" not in line]
    return "\n".join(lines)


def test_the_parser_of_every_command_is_ours() -> None:
    """So that what is promised here holds for each."""
    assert all(type(parser_for(command)).__module__ == "wiremap.cli.parser" for command in COMMANDS)
