"""Why the guided start asks what it asks, for who types `?`."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

WHY: Mapping[str, str] = MappingProxyType(  # by a part of the question's key
    {
        "papers": "what goes with what is proposed from both pin tables",
        "shell": "a way that no row tells is a cavity to blank; a sealed one takes a plug",
        "letters": "BR is brown to one paper and may be black-red to another",
        "unusual": "a slip of the finger in a size or in amps makes a wire burn",
        "columns": "a wire taken for a signal, or a size for a cavity, makes another plug",
        "more": "contacts of a plug that is left out find no partner",
        "way": "a splice cuts the old plug off; an adapter leaves all as it is and costs contacts",
        "volts": "24 V into a 12 V unit destroys it",
        "fed": "a fuse too large lets the thin wire burn",
        "module": "what sits in the pair is fed, grounded and terminated too",
        "leads": "a contact that is crimped by hand needs a wire to crimp",
        "cut": "it works only in the pair that is cut for it",
        "unit": "it works only in the pair that is cut for it",
        "port": "the wrong way round it passes what it should hold back",
        "feed": "it takes its supply from somewhere, through a fuse of its own",
        "contact": "it takes its supply from somewhere, through a fuse of its own",
        "amps": "wire, fuse and drop rest on it",
        "fuse": "its thin wires need a fuse smaller than the one they hang on",
        "ground": "a poor ground makes a bus err now and then",
        "resistor": "a bus wants 120 ohm at each of its two ends, not one more and not one less",
    }
)
WIRE = "the thinnest wire decides the fuse, the length the drop"


def why_asked(key: str) -> str:
    """Why a question is asked, by its key; empty for rows of a table."""
    parts = key.split(".")
    if parts[-1].startswith(("to_", "from_")):
        return WIRE
    return next((WHY[part] for part in reversed(parts) if part in WHY), "")
