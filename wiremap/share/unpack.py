"""Opening a pack that came from somebody else: everything is verified before anything is written."""

from __future__ import annotations

import hashlib
import io
import json
import os
import shutil
import stat
import tempfile
import unicodedata
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from wiremap.base import Finding, Place, fault
from wiremap.share.limits import MAX_FILE, MAX_MEMBER, MAX_MEMBERS, MAX_RATIO, MAX_TOTAL
from wiremap.share.names import name_fault
from wiremap.share.pack import MANIFEST, VERSION

CHUNK = 65536
STEERING = ("Cc", "Cf", "Cs", "Zl", "Zp")


@dataclass(frozen=True, slots=True)
class Opened:
    """A verified pack: its manifest and its files by name; or the faults that make it unfit."""

    manifest: Mapping[str, Any]
    files: Mapping[str, bytes]
    findings: tuple[Finding, ...] = ()


class _Unfit(Exception):
    """Carries why a pack is refused."""


def open_pack(path: Path | str) -> Opened:
    """Verify a pack without writing anything."""
    path = Path(path)
    try:
        data = _file(path)
    except _Unfit as unfit:
        return _refused(unfit, path.as_posix())
    return open_bytes(data, path.as_posix())


def open_bytes(data: bytes, shown: str) -> Opened:
    """Verify the bytes of a pack; `shown` is what findings call it."""
    try:
        manifest, files = _verified(data)
    except _Unfit as unfit:
        return _refused(unfit, shown)
    return Opened(manifest, files)


def _refused(unfit: _Unfit, shown: str) -> Opened:
    found = fault(
        "unfit-pack",
        f"this pack is refused: {unfit}",
        Place(shown),
        why="A pack may come from anybody; one that is not exactly as it should be is not opened.",
        fix="Ask the sender for a fresh one made with `wiremap pack`.",
    )
    return Opened({}, {}, (found,))


def unpack(path: Path | str, folder: Path | str) -> Opened:
    """Verify a pack, then lay it out in a folder that is new or empty; all of it or nothing."""
    folder = Path(folder)
    opened = open_pack(path)
    if opened.findings:
        return opened
    try:
        if folder.is_symlink() or (
            folder.exists() and (not folder.is_dir() or any(folder.iterdir()))
        ):
            return Opened(
                {},
                {},
                (
                    fault(
                        "output-exists",
                        "this folder holds something already; nothing is overwritten",
                        Place(folder.as_posix()),
                        fix="Name a new or empty folder.",
                    ),
                ),
            )
        folder.parent.mkdir(parents=True, exist_ok=True)
        laid = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
        try:
            for name, data in sorted(opened.files.items()):
                target = laid / name
                target.parent.mkdir(parents=True, exist_ok=True)
                with open(target, "xb") as file:
                    file.write(data)
                    file.flush()
                    os.fsync(file.fileno())
            os.chmod(laid, 0o755)
            if folder.exists():
                folder.rmdir()
            os.rename(laid, folder)
        except BaseException:
            shutil.rmtree(laid, ignore_errors=True)
            raise
    except OSError as error:
        words = (error.strerror or "it cannot be written").lower()
        return Opened(
            {},
            {},
            (
                fault(
                    "not-written",
                    f"nothing was unpacked: {words}",
                    Place(folder.as_posix()),
                    fix="Name a folder that you may write to.",
                ),
            ),
        )
    return opened


def _file(path: Path) -> bytes:
    try:
        mode = os.stat(path).st_mode
        if not stat.S_ISREG(mode):
            raise _Unfit("it is not a file")
        with open(path, "rb") as file:
            data = file.read(MAX_FILE + 1)
    except OSError as error:
        raise _Unfit((error.strerror or "it cannot be read").lower()) from None
    if len(data) > MAX_FILE:
        raise _Unfit(f"it is larger than {MAX_FILE // 2**20} MiB")
    return data


def _verified(data: bytes) -> tuple[dict[str, Any], dict[str, bytes]]:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            infos = archive.infolist()
            _listed(infos)
            files = _read(archive, infos)
    except _Unfit:
        raise
    except (
        zipfile.BadZipFile,
        zlib.error,
        EOFError,
        NotImplementedError,
        RuntimeError,
        ValueError,
        OSError,
        UnicodeError,
    ):
        raise _Unfit("it is no sound zip file") from None
    manifest = _manifest(files.pop(MANIFEST))
    _sums(manifest, files)
    return manifest, files


def _listed(infos: list[zipfile.ZipInfo]) -> None:
    """Everything that the directory of the zip tells, before a byte is expanded."""
    if len(infos) > MAX_MEMBERS:
        raise _Unfit(f"it holds more than {MAX_MEMBERS} files")
    seen: dict[str, str] = {}
    for info in infos:
        name = info.orig_filename
        if bad := name_fault(name):
            raise _Unfit(f"the name {name[:80]!r} {bad}")
        if name != info.filename:
            raise _Unfit(f"the name {name[:80]!r} is read in two ways")
        folded = name.casefold()
        if folded in seen:
            raise _Unfit(
                f"{name[:80]!r} stands twice" + ("" if seen[folded] == name else ", but for case")
            )
        seen[folded] = name
        mode = info.external_attr >> 16
        if info.is_dir() or (stat.S_IFMT(mode) not in (0, stat.S_IFREG)):
            raise _Unfit(f"{name[:80]!r} is a link, folder or device")
        if info.flag_bits & 0x1:
            raise _Unfit(f"{name[:80]!r} is locked with a password")
        if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise _Unfit(f"{name[:80]!r} is compressed in a way that is not used here")
    for name in seen.values():
        parts = name.split("/")
        for i in range(1, len(parts)):
            if "/".join(parts[:i]).casefold() in seen:
                raise _Unfit(f"{name[:80]!r} lies below a file")
    if MANIFEST not in seen.values():
        raise _Unfit(f"it has no {MANIFEST}")


def _read(archive: zipfile.ZipFile, infos: list[zipfile.ZipInfo]) -> dict[str, bytes]:
    """The files, counted while they expand: what a header claims is not believed."""
    files: dict[str, bytes] = {}
    total = 0
    for info in infos:
        parts, size = [], 0
        with archive.open(info) as member:
            while chunk := member.read(CHUNK):
                size += len(chunk)
                total += len(chunk)
                if size > MAX_MEMBER:
                    raise _Unfit(f"{info.filename[:80]!r} is larger than {MAX_MEMBER // 2**20} MiB")
                if total > MAX_TOTAL:
                    raise _Unfit(f"it expands to more than {MAX_TOTAL // 2**20} MiB")
                if size > MAX_RATIO * max(info.compress_size, 100):
                    raise _Unfit(f"{info.filename[:80]!r} expands more than {MAX_RATIO} times")
                parts.append(chunk)
        data = b"".join(parts)
        if data.startswith((b"PK\x03\x04", b"PK\x05\x06")) or info.filename.casefold().endswith(
            (".zip", ".xlsx", ".jar")
        ):
            raise _Unfit(f"{info.filename[:80]!r} is itself a pack")
        files[info.filename] = data
    return files


def _manifest(data: bytes) -> dict[str, Any]:
    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        if len({k for k, _ in pairs}) != len(pairs):
            raise _Unfit("its manifest says something twice")
        return dict(pairs)

    try:
        manifest = json.loads(data.decode("utf-8"), object_pairs_hook=once)
    except (ValueError, RecursionError):
        raise _Unfit("its manifest cannot be read") from None
    if not isinstance(manifest, dict) or not isinstance(manifest.get("wiremap"), str):
        raise _Unfit("its manifest is not one of wiremap's")
    if any(unicodedata.category(c) in STEERING for text in _texts(manifest) for c in text):
        raise _Unfit("its manifest holds a control or invisible character")
    if manifest["wiremap"] != VERSION:
        raise _Unfit(
            f"it is of version {manifest['wiremap'][:40]!r}; this program reads {VERSION!r}"
        )
    files = manifest.get("files")
    shaped = isinstance(files, list) and all(
        isinstance(f, dict)
        and isinstance(f.get("path"), str)
        and isinstance(f.get("size"), int)
        and isinstance(f.get("sha256"), str)
        for f in files
    )
    if not shaped or not isinstance(manifest.get("job"), str):
        raise _Unfit("its manifest lacks `job` or `files`")
    return manifest


def _texts(value: Any) -> Iterator[str]:
    """Every text of a manifest, keys included."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, one in value.items():
            yield key
            yield from _texts(one)
    elif isinstance(value, list):
        for one in value:
            yield from _texts(one)


def _sums(manifest: Mapping[str, Any], files: Mapping[str, bytes]) -> None:
    told = {f["path"]: f for f in manifest["files"]}
    if len(told) != len(manifest["files"]):
        raise _Unfit("its manifest names a file twice")
    for name in files:
        if name not in told:
            raise _Unfit(f"{name[:80]!r} is a stranger: the manifest does not name it")
    for name, entry in told.items():
        if name not in files:
            raise _Unfit(f"{name[:80]!r} is named by the manifest but missing")
        if (
            len(files[name]) != entry["size"]
            or hashlib.sha256(files[name]).hexdigest() != entry["sha256"]
        ):
            raise _Unfit(f"{name[:80]!r} is not as the manifest says: its sum differs")
    if manifest["job"] not in files:
        raise _Unfit("the job that its manifest names is missing")
