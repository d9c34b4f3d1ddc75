"""What the README shows is so: each trap's message stands in it whole, and each command exists."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from demo_jobs import DEMO, ROOT

from wiremap.check import check
from wiremap.cli.main import COMMANDS

README = (ROOT / "README.md").read_text(encoding="utf-8")
WORDS = " ".join(README.split())


def changed(folder: Path, name: str, change: Callable[[str], str]) -> None:
    """Change one file of the demo; the change must change something."""
    path = folder / name
    before = path.read_text(encoding="utf-8")
    after = change(before)
    assert after != before
    path.write_text(after, encoding="utf-8")


def equal_number(folder: Path) -> None:
    changed(
        folder,
        "job.yaml",
        lambda text: text.replace(
            "join: [loom.1, donor.3, donor.4]", "join: [loom.1, donor.1]"
        ).replace("join: [loom.2, donor.1, donor.2]", "join: [loom.2, donor.2]"),
    )


def swapped_pair(folder: Path) -> None:
    def exchange(text: str) -> str:
        lines = text.splitlines(keepends=True)
        for number, line in enumerate(lines):
            if "id: bus-b-hi" in line:
                lines[number] = line.replace("donor.9", "donor.8")
            if "id: bus-b-lo" in line:
                lines[number] = line.replace("donor.8", "donor.9")
        return "".join(lines)

    changed(folder, "job.yaml", exchange)


def terminator(folder: Path) -> None:
    changed(folder, "job.yaml", lambda text: text.replace("TA: on", "TA: off"))
    changed(
        folder,
        "notebook.yaml",
        lambda text: re.sub(r"(about: gateway\.TA, answer: )on", r"\1off", text),
    )


def guard_loop(folder: Path) -> None:
    changed(
        folder,
        "job.yaml",
        lambda text: text.replace(
            "join: [loom.9, donor.15]", "join: [loom.9, donor.15, donor.14]"
        ).replace("  - {id: guard-back, join: [loom.10, donor.14], joint: butt-crimp}\n", ""),
    )


def fuse_as_found(folder: Path) -> None:
    changed(
        folder,
        "job.yaml",
        lambda text: text.replace("found_amps: 10, fuse_amps: 5", "found_amps: 10, fuse_amps: 10"),
    )


TRAPS = (
    (equal_number, "supply-to-ground"),
    (swapped_pair, "bus-legs-crossed"),
    (terminator, "bus-terminators"),
    (guard_loop, "guard-bridged"),
    (fuse_as_found, "fuse-too-large"),
)


@pytest.mark.parametrize(("trap", "rule"), TRAPS, ids=[rule for _, rule in TRAPS])
def test_each_trap_says_what_the_readme_says(
    tmp_path: Path, trap: Callable[[Path], None], rule: str
) -> None:
    """The job holds, and the README quotes the finding word for word."""
    folder = tmp_path / "spreader"
    shutil.copytree(DEMO, folder)
    trap(folder)
    held = [found for found in check([folder / "job.yaml"]).findings if found.holds]
    told = [found.message for found in held]
    assert any(message in WORDS for message in told), told


def test_every_command_of_the_readme_exists() -> None:
    """Each `wiremap WORD` in a code block or between backquotes is a command."""
    named = set(re.findall(r"(?:^|`|&& |\./|\\|/)wiremap ([a-z]+)", README, re.MULTILINE))
    assert named <= set(COMMANDS)


def test_nothing_is_installed_that_is_not_released() -> None:
    """The package is in no registry yet: it is installed from its folder."""
    assert "pip install wiremap" not in README
