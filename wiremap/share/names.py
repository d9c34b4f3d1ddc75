"""Which names may stand in a pack: plain relative paths that mean the same on every system."""

from __future__ import annotations

import unicodedata

RESERVED = frozenset(
    {"con", "prn", "aux", "nul", *(f"{d}{i}" for d in ("com", "lpt") for i in range(1, 10))}
)
FORBIDDEN = frozenset('<>:"|?*')
MAX_PART, MAX_NAME = 120, 240


def name_fault(name: str) -> str:
    """Why a member's name is refused, or nothing."""
    if not name or len(name) > MAX_NAME:
        return f"is empty or longer than {MAX_NAME} characters"
    if "\\" in name:
        return "holds a backslash"
    if name.startswith("/") or (len(name) > 1 and name[1] == ":"):
        return "is an absolute path"
    if any(unicodedata.category(c) in ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp") for c in name):
        return "holds a control or invisible character"
    if unicodedata.normalize("NFC", name) != name:
        return "is not in composed Unicode form (NFC)"
    if name.endswith("/"):
        return "is a folder"
    for part in name.split("/"):
        if part in ("", ".", ".."):
            return "climbs out of its folder or has an empty part"
        if len(part) > MAX_PART:
            return f"has a part longer than {MAX_PART} characters"
        if FORBIDDEN & set(part):
            return "holds a character that some systems forbid"
        if part != part.rstrip(". ") or part != part.lstrip(" "):
            return "has a part that begins or ends with a space or ends with a dot"
        if part.split(".")[0].casefold() in RESERVED:
            return "is a device name on some systems"
    return ""
