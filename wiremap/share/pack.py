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
from wiremap.share.build_reports import build_report_dict, build_reports
from wiremap.share.canonical import content_hash, plain_job
from wiremap.share.manifest import MANIFEST, VERSION
from wiremap.share.members import members
from wiremap.share.opening import open_bytes

LONGEST_AUTHOR = 200  # characters
EPOCH = (1980, 1, 1, 0, 0, 0)  # the earliest time that a zip can hold
UNIX = 3  # the system that made a member, as zip directories number it
PLAIN_FILE = 0o100644 << 16  # readable by all, as zip directories of Unix carry it
# the form of a licence's SPDX id, or of several joined by the standard's words
SPDX = re.compile(r"[A-Za-z0-9][A-Za-z0-9.+-]*(?: (?:AND|OR|WITH) [A-Za-z0-9][A-Za-z0-9.+-]*)*")
USUAL_LICENCES = ("CC0-1.0", "CC-BY-4.0", "CC-BY-SA-4.0", "MIT", "ODC-By-1.0", "PDDL-1.0")
DAY_FORM = re.compile(r"\d{4}-\d{2}-\d{2}")


@dataclass(frozen=True, slots=True)
class Packed:
    """A pack's bytes and its manifest, or the faults that kept it from being made."""

    data: bytes | None
    manifest: Mapping[str, Any]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Stated:
    """What the giver says of a pack; the licence by its SPDX id, the date as 2026-03-02."""

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
    """Pack a job, all that it names, and the files of `beside` by their name (a sheet, say).

    Files outside its folder tree are refused unless `gather` is set, which copies them in and
    points the copy of the job to them.  It is checked from a copy, exactly as it will be unpacked.
    """
    job = Path(job)
    stated = Stated(author, licence, date)
    faults = _statement_faults(stated)
    if faults:
        return Packed(None, {}, tuple(faults))
    head = read(job)
    if head.root is None:
        return Packed(None, {}, head.faults)
    gathered = members(job, gather=gather)
    if gathered.faults:
        return Packed(None, {}, tuple(gathered.faults))
    with tempfile.TemporaryDirectory() as folder:
        for name, data in gathered.files.items():
            target = Path(folder) / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)
        return _packed_copy(Path(folder) / job.name, job, stated, {**gathered.files, **beside})


def _packed_copy(copy: Path, job: Path, stated: Stated, files: Mapping[str, bytes]) -> Packed:
    """Check the job's `copy` in its scratch folder, then write the zip."""
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
        "withdrawn": _withdrawal_words(job),
        "built": [build_report_dict(entry) for entry in build_reports(job)],
        "files": [_file_entry(path, data) for path, data in sorted(files.items())],
    }


def _tool() -> str:
    try:
        return version("wiremap")
    except PackageNotFoundError:
        return "unknown"


def _file_entry(path: str, data: bytes) -> dict[str, Any]:
    return {"path": path, "size": len(data), "sha256": hashlib.sha256(data).hexdigest()}


def _withdrawal_words(job: Job) -> str | None:
    """Why the job, or a pinout that it rests on, has been withdrawn."""
    reasons = []
    for paper in withdrawals(job):
        name = "" if paper is job else f"{Path(paper.path).name}: "
        reasons.append(f"{name}{paper.withdrawn}")
    return "; ".join(reasons) or None


def _renamed(finding: Finding, copy: Path, real: Path) -> Finding:
    """A finding in a copy, told of the file that was copied."""
    if finding.place is None:
        return finding
    path = finding.place.path.replace(copy.as_posix(), real.as_posix())
    return replace(finding, place=finding.place._replace(path=path))


def _statement_faults(stated: Stated) -> list[Finding]:
    faults = []
    if not stated.author.strip() or len(stated.author) > LONGEST_AUTHOR:
        words = "a pack names its author: a person or workshop"
        faults.append(fault("pack-author", words, fix='--author "RK, workshop"'))
    if not SPDX.fullmatch(stated.licence):
        words = f"`{stated.licence[:60]}` is no SPDX licence id"
        usual = f"For example {', '.join(USUAL_LICENCES)}."
        faults.append(fault("pack-licence", words, fix=usual))
    if not _is_day(stated.date):
        words = f"`{stated.date[:40]}` is no date"
        faults.append(fault("pack-date", words, fix="Write it as 2026-03-02."))
    return faults


def _is_day(text: str) -> bool:
    if not DAY_FORM.fullmatch(text):
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
            info.create_system = UNIX
            info.external_attr = PLAIN_FILE
            archive.writestr(info, files[name])
    return out.getvalue()
