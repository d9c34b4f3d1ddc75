"""The extras of a job: its own fuses, resistors, diodes and studs."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from wiremap.base import only
from wiremap.files import values, yamltext
from wiremap.files.ends import ANY_MM, RATING_A, own_name
from wiremap.files.faults import Faults
from wiremap.files.hints import short
from wiremap.files.strict import Map, Node, Scalar
from wiremap.files.values import NAME, FileValue, Table, read_map, stated
from wiremap.model import Extra, ExtraKind

SIZE = "size"


def _size_or_amps(faults: Faults, node: Node, key: str) -> Any:
    written = node.text.strip() if isinstance(node, Scalar) else ""
    if written == SIZE:
        return SIZE
    if values.as_number(written) is None:
        faults.wrong(key, node, "a number (A), or `size` to have it chosen")
        return None
    return RATING_A.read(faults, node, key)


EXTRA: Table = {
    "fuse": NAME,
    "resistor": values.number(0, 1e9, "ohm", above=True),
    "diode": RATING_A,
    "stud": NAME,
    "amps": FileValue(_size_or_amps),
    "watts": values.number(0, 10_000, "W", above=True),
    "at_mm": ANY_MM,
}
ONLY_OF = {"amps": ExtraKind.FUSE, "watts": ExtraKind.RESISTOR}


def read_extras(faults: Faults, node: Node, ends: Collection[str]) -> dict[str, Extra]:
    """Every extra by its name; `ends` are the names taken already."""
    found: dict[str, Extra] = {}
    for key, value in values.entries(faults, node, "`extras`"):
        word = own_name(faults, key, "extra", ends)
        if word is None:
            continue
        faults.where = f"extra {short(word, 40)}"
        extra = _extra(faults, word, key, value)
        if extra is not None:
            found[word] = extra
    faults.where = ""
    return found


def _extra(faults: Faults, word: str, key: Scalar, node: Node) -> Extra | None:
    got = read_map(faults, node, EXTRA, "an extra")
    if not isinstance(node, Map):
        return None
    kind = _kind_named(faults, node)
    if kind is None or kind not in got:
        return None
    _only_its_own(faults, node, got, kind)
    return Extra(
        name=word,
        kind=kind,
        watts=got.get("watts"),
        at_mm=got.get("at_mm"),
        place=faults.place(key),
        **_of_kind(kind, got),
    )


def _kind_named(faults: Faults, node: Map) -> ExtraKind | None:
    """Which kind of part an extra is; None with a fault unless it names exactly one."""
    kinds = [kind for kind in ExtraKind if kind in node.entries]
    kind = only(kinds)
    if kind is not None:
        return kind
    several = ", not several" if kinds else ""
    faults.add(
        "wrong-value",
        f"an extra is one of fuse, resistor, diode or stud{several}",
        node,
        "Write `{fuse: blade, amps: 2}`, `{resistor: 120, watts: 0.5}`, `{diode: 3}` or "
        "`{stud: M6}`.",
    )
    return None


def _of_kind(kind: ExtraKind, got: Mapping[str, Any]) -> dict[str, Any]:
    """The fields of an `Extra` that its kind alone has, from the keys of its entry."""
    match kind:
        case ExtraKind.RESISTOR:
            return {"ohms": got[kind]}
        case ExtraKind.DIODE:
            return {"amps": got[kind]}
        case ExtraKind.STUD:
            return {"detail": got[kind]}
    amps = got.get("amps")
    if amps == SIZE:
        return {"detail": got[kind], "size_wanted": True}
    return {"detail": got[kind], "amps": amps}


def _only_its_own(faults: Faults, node: Map, got: dict[str, Any], kind: ExtraKind) -> None:
    """A fault for amps or watts that say nothing of this kind of part."""
    for spare, wanted in ONLY_OF.items():
        if spare in got and kind != wanted:
            fix = f"Delete `{spare}`."
            if kind == ExtraKind.DIODE:
                fix = "A diode's amps stand after its own key: `{diode: 3}`."
            faults.add("unknown-key", f"`{spare}` says nothing of a {kind}", node, fix)


def extra_text(extra: Extra) -> str:
    """An extra as its text in a file."""
    kind = yamltext.word(extra.detail)
    if extra.kind == ExtraKind.RESISTOR and extra.ohms is not None:
        kind = yamltext.figure(extra.ohms)
    if extra.kind == ExtraKind.DIODE and extra.amps is not None:
        kind = yamltext.figure(extra.amps)
    pairs = [(str(extra.kind), kind)]
    if extra.is_fuse:
        if extra.size_wanted:
            pairs.append(("amps", SIZE))
        elif extra.amps is not None:
            pairs.append(("amps", yamltext.figure(extra.amps)))
    pairs += stated(extra, {key: EXTRA[key] for key in ("watts", "at_mm")})
    return yamltext.flow(pairs)
