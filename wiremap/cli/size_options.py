"""What `wiremap size` takes: options from `size.toml`, typed values as numbers in SI or mm."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from pkgutil import get_data
from typing import Any

import tomli

from wiremap.sizing import units
from wiremap.sizing.sized import OutOfRange


def things() -> Mapping[str, Any]:
    """What can be sized: its help and its options as argparse takes them, by name."""
    data = get_data("wiremap.cli", "size.toml")
    assert data is not None
    tables = tomli.loads(data.decode())
    for thing in tables["things"].values():
        options = thing.setdefault("options", {})
        for name, option in options.items():
            if option is True:
                options[name] = tables["shared"][name]
    by_name: Mapping[str, Any] = tables["things"]
    return by_name


class SizeOptions:
    """The options of one call; everything raises OutOfRange for what cannot be read."""

    def __init__(self, args: argparse.Namespace) -> None:
        self.args = args

    def text(self, name: str) -> str:
        """An option as typed; empty if it was not given."""
        return str(getattr(self.args, name) or "")

    def texts(self, name: str) -> list[str]:
        """An option that may be given several times."""
        return list(getattr(self.args, name) or ())

    def several(self, name: str, wanted: str, least: int = 1) -> list[str]:
        """An option that must be given so many times or more; `wanted` says how, if it was not."""
        texts = self.texts(name)
        if len(texts) < least:
            raise OutOfRange(f"{_flag(name)} is needed {wanted}")
        return texts

    def given(self, name: str) -> bool:
        """Whether a switch was set."""
        return bool(getattr(self.args, name))

    def number(self, name: str, unit: str = "") -> float | None:
        """A number in a unit; None if it was not given."""
        text = getattr(self.args, name)
        return None if text is None else units.number(text, _flag(name), unit)

    def needed(self, name: str, unit: str) -> float:
        """A number that must be given."""
        value = self.number(name, unit)
        if value is None:
            raise OutOfRange(f"{_flag(name)} is needed: a number in {unit}")
        return value

    def ohms(self, name: str) -> float | None:
        """A resistance that is typed in milliohm."""
        value = self.number(name, "mohm")
        return None if value is None else value / 1000

    def whole(self, name: str) -> int:
        """A whole number."""
        text = getattr(self.args, name)
        value = units.number(text, _flag(name))
        if value != int(value):
            raise OutOfRange(f"{_flag(name)} must be a whole number; got {text!r}")
        return int(value)

    def mm(self, name: str, default: str = "mm") -> float | None:
        """A length in mm; a bare number is in the default unit."""
        text = getattr(self.args, name)
        return None if text is None else units.length_mm(text, _flag(name), default)

    def mm_needed(self, name: str, default: str = "mm") -> float:
        """A length that must be given."""
        value = self.mm(name, default)
        if value is None:
            raise OutOfRange(f"{_flag(name)} is needed: a length in m, mm, ft or in")
        return value

    def csa(self) -> str:
        """The cross-section, as typed."""
        if self.args.csa is None:
            raise OutOfRange('--csa is needed: a cross-section in mm2 (0.5) or AWG ("20 AWG")')
        return str(self.args.csa)


def _flag(name: str) -> str:
    return "--" + name.strip("_").replace("_", "-")
