"""A job with everything it names in one zip: equal input gives equal bytes."""

from __future__ import annotations

import hashlib
import io
import json
import re
import tempfile
import zipfile
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from datetime import date as calendar_day
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from types import MappingProxyType
from typing import Any

from wiremap.base import Finding, fault
from wiremap.check import Checked, check_job
from wiremap.files import load_job
from wiremap.files.strict import read
from wiremap.model import Job, withdrawals
from wiremap.share.built import built, report
from wiremap.share.canonical import content_hash, plain_job
from wiremap.share.manifest import MANIFEST, VERSION
from wiremap.share.members import members
from wiremap.share.opening import open_bytes

EPOCH = (1980, 1, 1, 0, 0, 0)
PLAIN_FILE = 0o100644 << 16  # readable by all, as zip directories of Unix carry it
SPDX = re.compile(r"[A-Za-z0-9][A-Za-z0-9.+-]*(?: (?:AND|OR|WITH) [A-Za-z0-9][A-Za-z0-9.+-]*)*")
USUAL_LICENCES = ("CC0-1.0", "CC-BY-4.0", "CC-BY-SA-4.0", "MIT", "ODC-By-1.0", "PDDL-1.0")
DATE = re.compile(r"\d{4}-\d{2}-\d{2}")


@dataclass(frozen=True, slots=True)
class Packed:
    """A pack's bytes and its manifest, or the faults that kept it from being made."""

    data: bytes | None
    manifest: Mapping[str, Any]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Stated:
    """What the giver says of a pack."""

    author: str
    licence: str
    date: str


def pack(
    job: Path | str,
    *,
    author: str,
    licence: str,
    date: str,
    gather: bool = False,
    beside: Mapping[str, bytes] = MappingProxyType({}),
) -> Packed:
    """Pack a job with what lies `beside` it (a sheet, say).

    Files outside its folder tree are refused unless `gather` is set, which copies them in and
    points the copy to them.
    """
    job = Path(job)
    stated = Stated(author, licence, date)
    wrong = _wrong(stated)
    if wrong:
        return Packed(None, {}, tuple(wrong))
    head = read(job)
    if head.root is None:
        return Packed(None, {}, head.faults)
    found = members(job, gather=gather)
    if found.faults:
        return Packed(None, {}, tuple(found.faults))
    with tempfile.TemporaryDirectory() as folder:
        for name, data in found.files.items():
            target = Path(folder) / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)
        return _built(Path(folder) / job.name, job, stated, {**found.files, **beside})


def _built(copy: Path, job: Path, stated: Stated, files: Mapping[str, bytes]) -> Packed:
    """Check the copies exactly as an unpacker will find them, then write the zip."""
    loaded = load_job(copy)
    if loaded.value is None:
        shown = [_renamed(found, copy.parent, job.parent) for found in loaded.findings]
        return Packed(None, {}, tuple(shown))
    checked = check_job(loaded.value, read=loaded.findings)
    manifest = _manifest(loaded.value, job.name, checked, stated, files)
    text = json.dumps(manifest, indent=2, ensure_ascii=True) + "\n"
    data = _zipped({MANIFEST: text.encode(), **files})
    opened = open_bytes(data, job.as_posix())  # what a reader would refuse is not given away
    if opened.findings:
        return Packed(None, {}, opened.findings)
    return Packed(data, manifest, loaded.findings)


def _manifest(
    job: Job, name: str, checked: Checked, stated: Stated, files: Mapping[str, bytes]
) -> dict[str, Any]:
    return {
        "wiremap": VERSION,
        "tool": _tool(),
        "job": name,
        "content": content_hash(plain_job(job)),
        **asdict(stated),
        "verdict": checked.verdict,
        "boxes": {"surveyed": list(checked.surveyed), "rung_out": list(checked.rung_out)},
        "withdrawn": _withdrawn(job),
        "built": [report(entry) for entry in built(job)],
        "files": [_listed(path, data) for path, data in sorted(files.items())],
    }


def _tool() -> str:
    try:
        return version("wiremap")
    except PackageNotFoundError:
        return "unknown"


def _listed(path: str, data: bytes) -> dict[str, Any]:
    return {"path": path, "size": len(data), "sha256": hashlib.sha256(data).hexdigest()}


def _withdrawn(job: Job) -> str | None:
    """Why the job, or a pinout that it rests on, has been withdrawn."""
    told = []
    for paper in withdrawals(job):
        name = "" if paper is job else f"{Path(paper.path).name}: "
        told.append(f"{name}{paper.withdrawn}")
    return "; ".join(told) or None


def _renamed(finding: Finding, copy: Path, real: Path) -> Finding:
    """A finding in a copy, told of the file that was copied."""
    if finding.place is None:
        return finding
    path = finding.place.path.replace(copy.as_posix(), real.as_posix(), 1)
    return replace(finding, place=finding.place._replace(path=path))


def _wrong(stated: Stated) -> list[Finding]:
    found = []
    if not stated.author.strip() or len(stated.author) > 200:
        words = "a pack names its author: a person or workshop"
        found.append(fault("pack-author", words, fix='--author "RK, workshop"'))
    if not SPDX.fullmatch(stated.licence):
        words = f"`{stated.licence[:60]}` is no SPDX licence id"
        usual = f"For example {', '.join(USUAL_LICENCES)}."
        found.append(fault("pack-licence", words, fix=usual))
    if not _is_day(stated.date):
        words = f"`{stated.date[:40]}` is no date"
        found.append(fault("pack-date", words, fix="Write it as 2026-03-02."))
    return found


def _is_day(text: str) -> bool:
    if not DATE.fullmatch(text):
        return False
    try:
        calendar_day.fromisoformat(text)
    except ValueError:
        return False
    return True


def _zipped(files: Mapping[str, bytes]) -> bytes:
    """A zip of stored members with fixed times, the manifest first."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        for name in (MANIFEST, *sorted(files.keys() - {MANIFEST})):
            info = zipfile.ZipInfo(name, EPOCH)
            info.create_system, info.external_attr = 3, PLAIN_FILE
            archive.writestr(info, files[name])
    return out.getvalue()
