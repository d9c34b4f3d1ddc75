"""A folder that a command fills: it knows its own files by their sums and touches no other."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from enum import StrEnum
from pathlib import Path

from wiremap.base import Finding, Place, fault
from wiremap.files.filebytes import MOST_OWN_BYTES, read_bytes, read_own_json
from wiremap.files.write_several import write_several

LEDGER = ".wiremap-written.json"


class Owner(StrEnum):
    """Whose a file is that stands where one is to be written."""

    NOBODY = "nobody"  # there is none
    US = "us"  # written by us and unchanged since, or already as it would be written
    SOMEBODY = "somebody"


class OwnFolder:
    """Writes files below a folder; its ledger holds the sum of each."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.sums = _read_ledger(path / LEDGER)

    def owner(self, name: str, data: bytes | None = None) -> Owner:
        """Whose the file is that bears a name now; one whose bytes are `data` counts as ours.

        A link, a pipe, a device and a file larger than any of ours are somebody's.
        """
        path = self.path / name
        if path.is_symlink():
            return Owner.SOMEBODY
        there, faults = read_bytes(path, path.as_posix(), MOST_OWN_BYTES)
        if there is None:
            missing = [found.rule for found in faults] == ["no-such-file"]
            return Owner.NOBODY if missing else Owner.SOMEBODY
        ours = there == data or self.sums.get(name) == _sum(there)
        return Owner.US if ours else Owner.SOMEBODY

    def write(self, files: Mapping[str, bytes]) -> Finding | None:
        """Write files by their names below the folder, all or none; why not, if not."""
        for name, data in files.items():
            if self.owner(name, data) is Owner.SOMEBODY:
                return fault(
                    "file-exists",
                    "this file is not the command's own, or was changed since, and is kept",
                    Place((self.path / name).as_posix()),
                    fix="Name another folder, or move the file away.",
                )
        sums = {**self.sums, **{name: _sum(data) for name, data in files.items()}}
        ledger = json.dumps(sums, indent=1, sort_keys=True) + "\n"
        targets = {self.path / name: data for name, data in files.items()}
        targets[self.path / LEDGER] = ledger.encode()
        wrong = write_several(targets, below=self.path, replace=targets)
        if wrong is None:
            self.sums = sums
        return wrong


def _sum(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _read_ledger(path: Path) -> dict[str, str]:
    """The sums of an earlier run, by file name; none where there is no ledger or it is damaged."""
    ledger = read_own_json(path)
    return {name: each for name, each in ledger.items() if isinstance(each, str)}
