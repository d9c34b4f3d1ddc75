"""Opening a pack that came from somebody else: everything is verified, nothing is written."""

from __future__ import annotations

import hashlib
import io
import stat
import zipfile
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import accumulate
from pathlib import Path
from typing import Any

from wiremap.base import Finding, Place, fault
from wiremap.files.filebytes import read_bytes
from wiremap.share.limits import BROKEN_ZIP, MAX_FILE, MAX_MEMBER, MAX_MEMBERS, MAX_RATIO, MAX_TOTAL
from wiremap.share.manifest import MANIFEST, Unfit, read_manifest
from wiremap.share.names import name_fault

CHUNK = 65536
SHOWN = 80  # characters of a name in a refusal
MIB = 2**20
SMALLEST = 100  # bytes; a member that is packed smaller may expand as one of this size
PACKED_HEADS = (b"PK\x03\x04", b"PK\x05\x06")
PACKED_ENDINGS = (".zip", ".xlsx", ".jar")
METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)  # how a member may be compressed
ENCRYPTED = 0x1  # the flag of a member that is locked with a password


@dataclass(frozen=True, slots=True)
class Opened:
    """A verified pack: its manifest and its files by name; or the faults that make it unfit.

    The manifest itself is not among the files.
    """

    manifest: Mapping[str, Any]
    files: Mapping[str, bytes]
    findings: tuple[Finding, ...] = ()


def open_pack(path: Path | str) -> Opened:
    """Verify a pack."""
    shown = Path(path).as_posix()
    data, faults = read_bytes(Path(path), shown, MAX_FILE, pipes=True)
    if data is None:
        return Opened({}, {}, faults)
    return open_bytes(data, shown)


def open_bytes(data: bytes, shown: str) -> Opened:
    """Verify the bytes of a pack; `shown` is what findings call it."""
    try:
        files = _expanded(data)
        manifest = read_manifest(files.pop(MANIFEST))
        _check_sums(manifest, files)
    except Unfit as unfit:
        return _refused(unfit, shown)
    return Opened(manifest, files)


def _refused(unfit: Unfit, shown: str) -> Opened:
    finding = fault(
        "unfit-pack",
        f"this pack is refused: {unfit}",
        Place(shown),
        why="A pack may come from anybody; one that is not exactly as it should be is not opened.",
        fix="Ask the sender for a fresh one made with `wiremap pack`.",
    )
    return Opened({}, {}, (finding,))


def _expanded(data: bytes) -> dict[str, bytes]:
    """The files of a zip by name; raises Unfit."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            infos = archive.infolist()
            _check_directory(infos)
            return _read(archive, infos)
    except Unfit:
        raise
    except BROKEN_ZIP:
        raise Unfit("it is no sound zip file") from None


def _check_directory(infos: list[zipfile.ZipInfo]) -> None:
    """Raise Unfit for what the zip's directory tells, before a byte is expanded."""
    if len(infos) > MAX_MEMBERS:
        raise Unfit(f"it holds more than {MAX_MEMBERS} files")
    seen: dict[str, str] = {}
    for info in infos:
        _check_name(info, seen)
        _check_kind(info)
    for name in seen.values():
        _check_above(name, seen)
    if MANIFEST not in seen.values():
        raise Unfit(f"it has no {MANIFEST}")


def _check_name(info: zipfile.ZipInfo, seen: dict[str, str]) -> None:
    """Note a member's name among those seen, by its folded form; raises Unfit for a bad one."""
    name = info.orig_filename
    shown = repr(name[:SHOWN])
    bad = name_fault(name)
    if bad:
        raise Unfit(f"the name {shown} {bad}")
    if name != info.filename:
        raise Unfit(f"the name {shown} is read in two ways")
    folded = name.casefold()
    if folded in seen:
        but = "" if seen[folded] == name else ", but for case"
        raise Unfit(f"{shown} stands twice{but}")
    seen[folded] = name


def _check_kind(info: zipfile.ZipInfo) -> None:
    """Raise Unfit for a member that is no plain file."""
    shown = repr(info.orig_filename[:SHOWN])
    kind = stat.S_IFMT(info.external_attr >> 16)
    if info.is_dir() or kind not in (0, stat.S_IFREG):
        raise Unfit(f"{shown} is a link, folder or device")
    if info.flag_bits & ENCRYPTED:
        raise Unfit(f"{shown} is locked with a password")
    if info.compress_type not in METHODS:
        raise Unfit(f"{shown} is compressed in a way that is not used here")


def _check_above(name: str, seen: Mapping[str, str]) -> None:
    """Raise Unfit where a folder of a member's name is a file of the pack (`seen` has them all)."""
    *above, _ = accumulate(name.split("/"), lambda folder, part: f"{folder}/{part}")
    if any(folder.casefold() in seen for folder in above):
        raise Unfit(f"{name[:SHOWN]!r} lies below a file")


def _read(archive: zipfile.ZipFile, infos: Iterable[zipfile.ZipInfo]) -> dict[str, bytes]:
    """The files, counted while they expand: what a header claims is not believed."""
    files: dict[str, bytes] = {}
    left = MAX_TOTAL
    for info in infos:
        data = _member(archive, info, left)
        left -= len(data)
        files[info.filename] = data
    return files


def _member(archive: zipfile.ZipFile, info: zipfile.ZipInfo, left: int) -> bytes:
    """One file of at most `left` bytes."""
    shown = repr(info.filename[:SHOWN])
    parts = []
    size = 0
    with archive.open(info) as member:
        while chunk := member.read(CHUNK):
            size += len(chunk)
            if size > MAX_MEMBER:
                raise Unfit(f"{shown} is larger than {MAX_MEMBER // MIB} MiB")
            if size > left:
                raise Unfit(f"it expands to more than {MAX_TOTAL // MIB} MiB")
            if size > MAX_RATIO * max(info.compress_size, SMALLEST):
                raise Unfit(f"{shown} expands more than {MAX_RATIO} times")
            parts.append(chunk)
    data = b"".join(parts)
    if data.startswith(PACKED_HEADS) or info.filename.casefold().endswith(PACKED_ENDINGS):
        raise Unfit(f"{shown} is itself a pack")
    return data


def _check_sums(manifest: Mapping[str, Any], files: Mapping[str, bytes]) -> None:
    """Raise Unfit unless the files are exactly those that the manifest names."""
    entries = {entry["path"]: entry for entry in manifest["files"]}
    if len(entries) != len(manifest["files"]):
        raise Unfit("its manifest names a file twice")
    for name in files:
        if name not in entries:
            raise Unfit(f"{name[:SHOWN]!r} is a stranger: the manifest does not name it")
    for name, entry in entries.items():
        if name not in files:
            raise Unfit(f"{name[:SHOWN]!r} is named by the manifest but missing")
        data = files[name]
        if (len(data), hashlib.sha256(data).hexdigest()) != (entry["size"], entry["sha256"]):
            raise Unfit(f"{name[:SHOWN]!r} is not as the manifest says: its sum differs")
    if manifest["job"] not in files:
        raise Unfit("the job that its manifest names is missing")
