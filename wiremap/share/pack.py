"""A job with everything it names in one zip: stored, sorted, with fixed times, so that equal input gives equal bytes."""

from __future__ import annotations

import hashlib
import io
import json
import re
import tempfile
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date as calendar_day
from pathlib import Path
from types import MappingProxyType
from typing import Any

from wiremap.base import Finding, Place, fault
from wiremap.files.strict import Map, Node, Scalar, Seq, read
from wiremap.model import Entry, Job, withdrawals
from wiremap.share.canonical import content_hash, plain_job
from wiremap.share.limits import MAX_MEMBER
from wiremap.share.names import name_fault

MANIFEST = "manifest.json"
VERSION = "pack/1"
EPOCH = (1980, 1, 1, 0, 0, 0)
SPDX = re.compile(r"[A-Za-z0-9][A-Za-z0-9.+-]*(?: (?:AND|OR|WITH) [A-Za-z0-9][A-Za-z0-9.+-]*)*")
USUAL_LICENCES = ("CC0-1.0", "CC-BY-4.0", "CC-BY-SA-4.0", "MIT", "ODC-By-1.0", "PDDL-1.0")
DATE = re.compile(r"\d{4}-\d{2}-\d{2}")


@dataclass(frozen=True, slots=True)
class Packed:
    """A pack's bytes and its manifest, or the faults that kept it from being made."""

    data: bytes | None
    manifest: Mapping[str, Any]
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Reference:
    """One place in a job file that names another file."""

    node: Scalar
    text: str


def references(job: Path) -> list[Reference]:
    """Every file that a job names: pinouts of its ends, notebooks."""
    root = read(job).root
    found: list[Reference] = []
    if not isinstance(root, Map):
        return found
    ends = root.entries.get("ends", (None, None))[1]
    for _, value in ends.entries.values() if isinstance(ends, Map) else ():
        node: Node | None = (
            value.entries.get("pinout", (None, None))[1] if isinstance(value, Map) else value
        )
        if isinstance(node, Scalar):
            found.append(Reference(node, node.text))
    readings = root.entries.get("readings", (None, None))[1]
    items = (
        readings.items
        if isinstance(readings, Seq)
        else [readings]
        if isinstance(readings, Scalar)
        else []
    )
    found += [Reference(node, node.text) for node in items if isinstance(node, Scalar)]
    return found


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

    Files outside its folder tree are refused unless `gather` is set, which copies them in and points the copy to them.
    """
    job = Path(job)
    wrong = _stated(author, licence, date)
    if wrong:
        return Packed(None, {}, tuple(wrong))
    head = read(job)
    if head.root is None:
        return Packed(None, {}, head.faults)
    members, faults = _members(job, gather)
    if faults:
        return Packed(None, {}, tuple(faults))
    with tempfile.TemporaryDirectory() as folder:
        for name, data in members.items():
            target = Path(folder) / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)
        return _built(
            Path(folder) / job.name,
            job,
            members,
            {"author": author, "licence": licence, "date": date},
            beside,
        )


def _built(
    copy: Path,
    job: Path,
    members: dict[str, bytes],
    stated: Mapping[str, str],
    beside: Mapping[str, bytes],
) -> Packed:
    """Check the copies exactly as an unpacker will find them, then write the zip."""
    from wiremap.check import check_job
    from wiremap.files import load_job

    loaded = load_job(copy)
    if loaded.value is None:
        shown = tuple(_renamed(f, copy.parent, job.parent) for f in loaded.findings)
        return Packed(None, {}, shown)
    checked = check_job(loaded.value, read=loaded.findings)
    members = {**members, **beside}
    from importlib.metadata import PackageNotFoundError, version

    try:
        tool = version("wiremap")
    except PackageNotFoundError:
        tool = "unknown"
    files = [
        {"path": n, "size": len(d), "sha256": hashlib.sha256(d).hexdigest()}
        for n, d in sorted(members.items())
    ]
    manifest = {
        "wiremap": VERSION,
        "tool": tool,
        "job": job.name,
        "content": content_hash(plain_job(loaded.value)),
        **stated,
        "verdict": checked.verdict,
        "boxes": {"surveyed": list(checked.surveyed), "rung_out": list(checked.rung_out)},
        "withdrawn": _withdrawn(loaded.value),
        "built": [report(e) for e in built(loaded.value)],
        "files": files,
    }
    text = json.dumps(manifest, indent=2, ensure_ascii=True) + "\n"
    data = _zipped({MANIFEST: text.encode(), **members})
    from wiremap.share.unpack import open_bytes

    opened = open_bytes(data, job.as_posix())  # what a reader would refuse is not given away
    return (
        Packed(None, {}, opened.findings)
        if opened.findings
        else Packed(data, manifest, loaded.findings)
    )


def report(entry: Entry) -> dict[str, Any]:
    """A build report as manifests and results carry it."""
    return {
        "pieces": entry.pieces,
        "revision": entry.revision,
        "by": entry.by,
        "date": entry.date,
        "how": entry.how,
    }


def built(job: Job) -> tuple[Entry, ...]:
    """What the notebooks of a job say of pieces built to it, in the order written."""
    return tuple(e for notebook in job.notebooks for e in notebook.entries if e.kind == "built")


def _withdrawn(job: Job) -> str | None:
    """Why the job, or a pinout that it rests on, has been withdrawn."""
    told = [
        one.withdrawn if one is job else f"{Path(one.path).name}: {one.withdrawn}"
        for one in withdrawals(job)
    ]
    return "; ".join(map(str, told)) if told else None


def _renamed(finding: Finding, copy: Path, real: Path) -> Finding:
    from dataclasses import replace

    if finding.place is None:
        return finding
    path = finding.place.path.replace(copy.as_posix(), real.as_posix(), 1)
    return replace(finding, place=replace(finding.place, path=path))


def _is_day(text: str) -> bool:
    if not DATE.fullmatch(text):
        return False
    try:
        calendar_day.fromisoformat(text)
    except ValueError:
        return False
    return True


def _stated(author: str, licence: str, date: str) -> list[Finding]:
    found = []
    if not author.strip() or len(author) > 200:
        found.append(
            fault(
                "pack-author",
                "a pack names its author: a person or workshop",
                fix='--author "RK, workshop"',
            )
        )
    if not SPDX.fullmatch(licence):
        found.append(
            fault(
                "pack-licence",
                f"`{licence[:60]}` is no SPDX licence id",
                fix=f"For example {', '.join(USUAL_LICENCES)}.",
            )
        )
    if not _is_day(date):
        found.append(fault("pack-date", f"`{date[:40]}` is no date", fix="Write it as 2026-03-02."))
    return found


def _members(job: Path, gather: bool) -> tuple[dict[str, bytes], list[Finding]]:
    base, text = job.parent.resolve(), job.read_bytes()
    members: dict[str, bytes] = {}
    faults: list[Finding] = []
    moved: list[tuple[Scalar, str]] = []
    for ref in references(job):
        place = Place(job.as_posix(), ref.node.line, ref.node.col)
        path = job.parent / ref.text
        try:
            inside = (
                path.resolve().is_relative_to(base)
                and not Path(ref.text).is_absolute()
                and not path.is_symlink()
            )
            data = _read_member(path)
        except OverflowError:
            faults.append(
                fault(
                    "over-limit",
                    f"`{ref.text}` is larger than {MAX_MEMBER // 2**20} MiB",
                    place,
                    fix="Share a smaller file.",
                )
            )
            continue
        except (OSError, ValueError):
            faults.append(
                fault(
                    "no-such-file",
                    f"{ref.text}: there is no such file to be read",
                    place,
                    fix="Check the name in the job.",
                )
            )
            continue
        name = path.resolve().relative_to(base).as_posix() if inside else ""
        if not inside and not gather:
            faults.append(
                fault(
                    "outside-folder",
                    f"`{ref.text}` is outside the job's own folder",
                    place,
                    fix="Copy it beside the job, or pack with --gather to put a copy into the pack.",
                )
            )
            continue
        if not inside:
            name = _free(f"gathered/{path.name}", members, data)
            moved.append((ref.node, name))
        if bad := name_fault(name):
            faults.append(
                fault(
                    "pack-name",
                    f"`{name}` cannot stand in a pack: it {bad}",
                    place,
                    fix="Rename the file.",
                )
            )
            continue
        members[name] = data
    if bad := name_fault(job.name):
        faults.append(
            fault(
                "pack-name", f"`{job.name}` cannot stand in a pack: it {bad}", Place(job.as_posix())
            )
        )
    if clash := _clash([*members, job.name, MANIFEST, "sheet.pdf"]):
        faults.append(
            fault(
                "pack-name",
                f"`{clash}` would stand twice in the pack, but for case",
                Place(job.as_posix()),
            )
        )
    members[job.name] = _pointed(text, moved)
    return members, faults


def _read_member(path: Path) -> bytes:
    """A plain file's bytes; raises OSError for pipes and devices, OverflowError beyond what a pack may hold."""
    if not path.is_file():
        raise FileNotFoundError(str(path))
    with open(path, "rb") as file:
        data = file.read(MAX_MEMBER + 1)
    if len(data) > MAX_MEMBER:
        raise OverflowError(str(path))
    return data


def _free(name: str, members: Mapping[str, bytes], data: bytes) -> str:
    stem, dot, ending = name.rpartition(".")
    tried, i = name, 2
    while tried in members and members[tried] != data:
        tried, i = f"{stem}-{i}{dot}{ending}", i + 1
    return tried


def _clash(names: list[str]) -> str:
    seen: set[str] = set()
    for name in names:
        if name.casefold() in seen:
            return name
        seen.add(name.casefold())
    return ""


def _pointed(text: bytes, moved: list[tuple[Scalar, str]]) -> bytes:
    """The job's text with references changed at their exact spots, last first."""
    lines = text.decode("utf-8-sig").splitlines(keepends=True)
    for node, name in sorted(moved, key=lambda m: (m[0].line, m[0].col), reverse=True):
        line = lines[node.line - 1]
        start = node.col - 1
        rest = line[start:]
        quote = rest[0] if rest[0] in "\"'" else ""
        length = rest.index(quote, 1) + 1 if quote else len(node.text)
        lines[node.line - 1] = f'{line[:start]}"{name}"{rest[length:]}'
    return "".join(lines).encode()


def _zipped(members: Mapping[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        for name in sorted(members, key=lambda n: (n != MANIFEST, n)):
            info = zipfile.ZipInfo(name, EPOCH)
            info.create_system, info.external_attr = 3, 0o100644 << 16
            archive.writestr(info, members[name])
    return out.getvalue()
