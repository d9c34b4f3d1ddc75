"""What all lines of readings share, whatever they tell of: commas, places, phrases, near names."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path

from wiremap.base import Finding, Place, fault
from wiremap.entries.numbers import DASH
from wiremap.files.source import read_plain

BETWEEN = re.compile(r"(?<!\d),|,(?!\d)")  # a comma between digits is a decimal comma
LONGEST = 1000  # characters of one reading
MOST_BYTES = 2**20  # of a file of readings
MOST_FAULTS = 50  # worked out in one file; what follows is not read
IGNITION = re.compile(r"(?<!\S)(?:(?:key|ignition)[:\s]\s*)?(on|off)(?!\S)", re.IGNORECASE)
ROW_MARKS = re.compile(r"[):;]+(?=\s|$)|(?<!\S)\(")  # as in `loom.1 to chassis (key off):`
MINUS_SIGN = re.compile(rf"(?<!\S){DASH}(?=[\d.])")
PLUS, MINUS = POSTS = ("battery plus", "battery minus")  # places outside the job's own metal
_TO = re.compile(rf"{DASH}|to", re.IGNORECASE)
_TIGHT = re.compile(rf"{DASH}(?=[^\s\d])")
_TOGETHER = re.compile(r"\s+\+\s+")


@dataclass(frozen=True, slots=True)
class Probes:
    """What a line begins with: what stands under the red probe and under the black one, and the
    words after them; no black one where none is named.
    """

    red: str
    black: str | None
    rest: tuple[str, ...]
    lacks_black: bool = False  # a `to` with nothing behind it


def probes(line: str) -> Probes:
    """The points of a line, `to` or a dash between two, and what is clipped together by `+`."""
    words = (_TOGETHER.sub("+", line) if "+" in line else line).split()
    red, rest = _post(words) if words else ("", [])
    match rest:
        case [to] if _TO.fullmatch(to):
            return Probes(red, None, (), lacks_black=True)
        case [to, *beyond] if _TO.fullmatch(to):
            black, rest = _post(beyond)
            return Probes(red, black, tuple(rest))
    tight = _tight(red)
    if tight is not None:
        return Probes(*tight, tuple(rest))
    return Probes(red, None, tuple(rest))


def _post(words: list[str]) -> tuple[str, list[str]]:
    """The point that words begin with, a post of the battery in small letters, and the rest."""
    match words:
        case [one, other, *rest] if f"{one} {other}".casefold() in POSTS:
            return f"{one} {other}".casefold(), rest
    first, *rest = words
    return first, rest


def _tight(word: str) -> tuple[str, str] | None:
    """Two points with nothing but a dash between them; a dash before a digit belongs to a name."""
    for dash in _TIGHT.finditer(word):
        left = word[: dash.start()]
        owner, dot, cavity = left.partition(".")
        if owner and dot and cavity:
            return left, word[dash.end() :]
    return None


def pieces(text: str, shown: str) -> Iterator[tuple[Place, str]]:
    """Each reading, parted by commas or line ends, and where it begins; `#` begins a remark."""
    for number, line in enumerate(text.splitlines(), 1):
        start = 0
        said = line.partition("#")[0]
        for piece in BETWEEN.split(said) if "," in said else (said,):
            if piece.strip():
                indent = len(piece) - len(piece.lstrip())
                yield Place(shown, number, start + 1 + indent), piece.strip()
            start += len(piece) + 1


def too_many_faults(findings: list[Finding], place: Place | None) -> bool:
    """Whether so many faults were found that the rest is not read; if so one more is added that
    says it.
    """
    if len(findings) < MOST_FAULTS:
        return False
    words = f"{MOST_FAULTS} readings could not be read; what follows was not looked at"
    findings.append(fault("over-limit", words, place, fix="Mend these first."))
    return True


def taken_out(pattern: re.Pattern[str], text: str) -> tuple[list[re.Match[str]], str]:
    """What a pattern finds in a text, and the text with a blank in place of each."""
    return list(pattern.finditer(text)), pattern.sub(" ", text)


def phrases_out(phrases: Collection[str], text: str) -> tuple[list[str], str]:
    """Which phrases stand in a text, in whatever capitals, and the words without them."""
    if not phrases:
        return [], text
    longest_first = sorted(phrases, key=lambda phrase: (-len(phrase), phrase))
    either = "|".join(re.escape(phrase) for phrase in longest_first)
    found, rest = taken_out(re.compile(rf"(?<!\S)(?:{either})(?!\S)", re.IGNORECASE), text)
    as_listed = {phrase.casefold(): phrase for phrase in phrases}
    return [as_listed.get(match.group().casefold(), match.group()) for match in found], rest


def text_of(path: Path | str) -> str | Finding:
    """The text of a file of lines, or why it could not be read; a pipe is waited for a while."""
    shown = Path(path).as_posix()
    text, faults = read_plain(Path(path), shown, MOST_BYTES)
    return faults[0] if text is None else text
