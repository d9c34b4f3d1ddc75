"""The first files of a job, from what somebody tells: pinouts from rows or a table, then a job."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from wiremap.base import Finding, Place, fault
from wiremap.files import load_pinout
from wiremap.files.dump import quoted, word
from wiremap.files.shell_words import says_sealed
from wiremap.files.values import MAX_NAME
from wiremap.files.yamltext import cell
from wiremap.model import Fed, Job, Pinout, Supply, frozen
from wiremap.propose import NamedPinouts, Proposal, as_job, propose
from wiremap.propose.inline import InlineModule, joined_through, with_inline
from wiremap.share.intake import PASTED, ToldOfTable, intake, intake_pasted
from wiremap.share.taking import Intake, IntakeKind
from wiremap.trade.colours import Letters
from wiremap.trade.functions import FUNCTIONS

ROW = re.compile(r"\s*([^\s:;,\t]{1,40})\s*[:;\t ]\s*(\S.*)")  # `1: +12 always, red`
CAVITIES = re.compile(r"^cavities:$", re.MULTILINE)  # the key of a pinout that we have written
WAYS = re.compile(r"\s*(\d{1,4})(?!\d)")  # `14-way sealed`
FED = re.compile(r"(?:(\S.*?)\s+)?(\d{1,4}(?:[.,]\d{1,3})?)\s*[aA]?")  # `F7 10`, `10 A`
NO_FUSE = "none"
EMPTY_HINT = "(nothing there)"  # behind `unused` in the hint that a talk shows: some type it too
YAML = (".yaml", ".yml")


@dataclass(frozen=True, slots=True)
class ToldPinout:
    """A pinout as told: its YAML text and what that reads as; or, in `findings`, why it is none.

    `assumed` are sentences, `unsure` colours whose letters nobody has told.
    """

    text: str = ""
    pinout: Pinout | None = None
    assumed: tuple[str, ...] = ()
    unsure: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()


def pinout_of_rows(
    rows: Sequence[str], *, title: str, shell: str = "", letters: Letters | None = None
) -> ToldPinout:
    """A pinout from rows as a person types them: `1: +12 always, red`."""
    lines = ["wiremap: pinout/1", f"title: {word(title)}"]
    if letters:
        lines.append(f"letters: {letters}")
    if shell:
        lines += _shell_lines(shell)
    lines.append("cavities:")
    for row in rows:
        name, text = split_row(row)
        lines.append(f"  {cell(name)}: {word(text)}")
    return pinout_of_text("\n".join(lines) + "\n")


def _shell_lines(shell: str) -> list[str]:
    lines = ["connector:", f"  shell: {quoted(shell)}"]
    sealed = says_sealed(shell)
    if sealed is not None:
        lines.append(f"  sealed: {str(sealed).lower()}")
    return lines


def _with_shell(text: str, shell: str) -> str:
    """A pinout's text with its shell above its cavities."""
    match = CAVITIES.search(text)
    if match is None:
        return text
    lines = "".join(f"{line}\n" for line in _shell_lines(shell))
    return text[: match.start()] + lines + text[match.start() :]


def split_row(row: str) -> tuple[str, str]:
    """A row's cavity and what is said of it; both empty where it is no such row.

    Quotes are left out: who has seen our files may type them.
    """
    match = ROW.fullmatch(row.replace('"', "").strip())
    if match is None:
        return "", ""
    text = match[2].strip()
    return match[1], text.removesuffix(EMPTY_HINT).strip() or text


def ways_of(shell: str) -> int | None:
    """How many cavities a shell's words begin with (`14-way sealed`); None if with no number."""
    match = WAYS.match(shell)
    return int(match[1]) if match else None


def pinout_of_file(path: Path, *, title: str, shell: str, letters: Letters | None) -> ToldPinout:
    """A pinout from a file: one of ours as it is, a table taken in."""
    if path.suffix.casefold() in YAML:
        return _pinout_of_yaml(path)
    taken = intake(path, letters=letters, title=title, in_talk=True)
    return _taken_in(taken, path.as_posix(), shell)


def pinout_of_table(
    rows: Sequence[str], *, title: str, shell: str = "", letters: Letters | None = None
) -> ToldPinout:
    """A pinout from the lines of a table that was pasted."""
    told_of_table = ToldOfTable(letters=letters, title=title, in_talk=True)
    return _taken_in(intake_pasted("\n".join(rows) + "\n", told_of_table), PASTED, shell)


def _taken_in(taken: Intake, shown: str, shell: str) -> ToldPinout:
    """The one pinout of a table, with the shell that was told."""
    if taken.findings:
        return ToldPinout(findings=taken.findings)
    if taken.kind is not IntakeKind.PINOUT or len(taken.files) != 1:
        words = "this is no pin table of one connector"
        fix = "Take it in first (wiremap intake), and name the pinout of the one that is meant."
        return ToldPinout(findings=(fault("wrong-kind", words, Place(shown), fix=fix),))
    (text,) = taken.files.values()
    if shell:  # put in as text: what has no field of its own joined_through there as a remark
        text = _with_shell(text, shell)
    return replace(
        pinout_of_text(text),
        assumed=taken.assumed,
        unsure=taken.unsure,
    )


def _pinout_of_yaml(path: Path) -> ToldPinout:
    loaded = load_pinout(path)
    faults = tuple(found for found in loaded.findings if found.fault)
    if loaded.value is None or faults:
        return ToldPinout(findings=faults)
    return ToldPinout(text=path.read_text("utf-8"), pinout=loaded.value)


def pinout_of_text(text: str) -> ToldPinout:
    """The pinout that a text holds; read from a file, as its bytes and limits are judged there."""
    with tempfile.TemporaryDirectory() as scratch:
        draft = Path(scratch) / "typed.yaml"
        draft.write_text(text, "utf-8")
        loaded = load_pinout(draft)
    faults = tuple(found for found in loaded.findings if found.fault)
    if loaded.value is None or faults:
        return ToldPinout(text=text, findings=faults)
    return ToldPinout(text=text, pinout=loaded.value)


def supplies(pinout: Pinout) -> tuple[str, ...]:
    """The cavities of a machine's plug that bring a supply: something feeds them."""
    names = []
    for name, cavity in pinout.cavities.items():
        if FUNCTIONS[cavity.function].electrical == "supply" and not cavity.unused:
            names.append(name)
    return tuple(names)


def fed_by(cavity: str, answer: str) -> Fed | None:
    """What feeds a contact, in words: `F7 10`, `10 A`, `none`; None where it is no such answer."""
    if answer.casefold() == NO_FUSE:
        return Fed(cavity=cavity, unfused=True)
    match = FED.fullmatch(answer.strip())
    if match is None:
        return None
    return Fed(cavity=cavity, fuse=match[1], found_amps=float(match[2].replace(",", ".")))


def first_job(
    old: NamedPinouts,
    new: NamedPinouts,
    *,
    path: Path,
    volts: float | None,
    fed: Mapping[str, Mapping[str, Fed]],
    adapter: bool,
    module: InlineModule | None,
) -> tuple[Proposal, Job]:
    """The map proposed between two sides, and the job with what was told beside it.

    `volts` are the machine's; `fed` tells what feeds the contacts of each of its ends, by name and
    cavity; `adapter` mates both sides instead of cutting; `module` is one in line.
    """
    proposal = propose(old, new, settled=() if module is None else joined_through(module))
    title = f"{titles(new)} in place of {titles(old)}"[:MAX_NAME]
    job = as_job(proposal, old, new, title=title, path=path.as_posix(), adapter=adapter)
    ends = {}
    for name, end in job.ends.items():
        known = fed.get(name, {}) if end.is_machine else {}
        ends[name] = replace(end, fed=frozen(known))
    supply = job.supply if volts is None else Supply(volts=volts)
    whole = replace(job, ends=frozen(ends), supply=supply)
    return proposal, whole if module is None else with_inline(whole, module)


def titles(side: NamedPinouts) -> str:
    """The papers of a side, as a job's title names them."""
    return " and ".join(pinout.title or name for name, pinout in side)
