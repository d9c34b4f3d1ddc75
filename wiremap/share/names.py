"""Which names may stand in a pack: plain relative paths that mean the same on every system."""

from __future__ import annotations

import re
import unicodedata

from wiremap.base import STEERING

DRIVE = re.compile(r".:", re.DOTALL)  # how a path with a drive begins
RESERVED = frozenset(
    {"con", "prn", "aux", "nul", "conin$", "conout$"}
    | {f"{port}{digit}" for port in ("com", "lpt") for digit in "123456789\u00b9\u00b2\u00b3"}
)
FORBIDDEN = frozenset('<>:"|?*')
MAX_PART, MAX_NAME = 120, 240


def name_fault(name: str) -> str:
    """Why a member's name is refused, or nothing."""
    whole = {
        f"is empty or longer than {MAX_NAME} characters": not 0 < len(name) <= MAX_NAME,
        "holds a backslash": "\\" in name,
        "is an absolute path": name.startswith("/") or DRIVE.match(name) is not None,
        "holds a control or invisible character": any(map(_steers, name)),
        "is not in composed Unicode form (NFC)": unicodedata.normalize("NFC", name) != name,
        "is a folder": name.endswith("/"),
    }
    for words, wrong in whole.items():
        if wrong:
            return words
    faults = (_part_fault(part) for part in name.split("/"))
    return next(filter(None, faults), "")


def is_device(part: str) -> bool:
    """Whether a system takes a file's name for a device, whatever its ending."""
    return part.split(".")[0].rstrip(" ").casefold() in RESERVED


def file_stem(name: str) -> str:
    """A name that a file may bear on every system."""
    stem = re.sub(r"[^\w.-]+", "-", name).strip("-.") or "table"
    return f"table-{stem}" if is_device(stem) else stem


def _part_fault(part: str) -> str:
    """Why a part of a path is refused, or nothing."""
    wrong = {
        "climbs out of its folder or has an empty part": part in ("", ".", ".."),
        f"has a part longer than {MAX_PART} characters": len(part) > MAX_PART,
        "holds a character that some systems forbid": bool(FORBIDDEN & set(part)),
        "has a part that begins or ends with a space or ends with a dot": part
        != part.rstrip(". ").lstrip(" "),
        "is a device name on some systems": is_device(part),
    }
    return next((words for words, is_so in wrong.items() if is_so), "")


def _steers(character: str) -> bool:
    return unicodedata.category(character) in STEERING
