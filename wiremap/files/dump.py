"""Writing a pinout or a job as commented YAML that reads back to the same model.

Every text that a YAML 1.1 or 1.2 reader would take for something else is quoted, so that other tools read the file as
it is meant.
"""

from __future__ import annotations

import json
import math
import os
import re
from collections.abc import Iterable, Mapping, Sequence
from pathlib import PurePath

from wiremap.files.schemas import first_lines
from wiremap.files.source import HIDDEN
from wiremap.files.wires import BadWire, parse_wire
from wiremap.model import (
    Accepts,
    Cavity,
    Circuit,
    Connector,
    End,
    Entry,
    Extra,
    Fed,
    Job,
    Leaflet,
    Link,
    NotJoined,
    Pinout,
    Span,
    Wire,
)
from wiremap.trade.colours import Letters

_PLAIN = re.compile(r"[^\W_][\w ./()°²+-]*")
_PLAIN_KEY = re.compile(r"[^\W_][\w./+-]*")
_MISREAD = re.compile(
    r"y|n|yes|no|on|off|true|false|null|~"  # words
    r"|[-+]?[0-9][0-9_]*(?:\.[0-9_]*)?(?:e[-+]?[0-9]+)?|[-+]?\.[0-9_]+(?:e[-+]?[0-9]+)?"
    r"|[-+]?0[box][0-9a-f_]+|[-+]?[0-9][0-9_]*(?::[0-5]?[0-9])+(?:\.[0-9_]*)?|[-+]?\.inf|\.nan"
    r"|[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}.*",
    re.IGNORECASE,
)
_COUNT = re.compile(r"0|[1-9][0-9]*", re.ASCII)


def quoted(text: str) -> str:
    """A text in double quotes, with everything escaped that must be."""
    return json.dumps(text, ensure_ascii=False)


def word(text: str) -> str:
    """A text, plain where every YAML reader takes it as text, in quotes otherwise."""
    plain = _PLAIN.fullmatch(text) and not text.endswith(" ") and not _MISREAD.fullmatch(text)
    return text if plain else quoted(text)


def cell(text: str) -> str:
    """A cavity's name: plain numbers stay plain."""
    return text if _COUNT.fullmatch(text) else word(text)


def key(text: str) -> str:
    """A key that the user has chosen."""
    if _COUNT.fullmatch(text) or (_PLAIN_KEY.fullmatch(text) and not _MISREAD.fullmatch(text)):
        return text
    return quoted(text)


def figure(value: float) -> str:
    """A number with all its digits, whole ones without a point; infinite ohms are `open`."""
    if math.isinf(value):
        return "open"
    return str(int(value)) if value == int(value) and abs(value) < 1e15 else repr(value)


def comment(text: str) -> str:
    """A text made fit to stand behind `# ` on one line."""
    return "".join(" " if c in "\n\r\t" else "?" if HIDDEN.match(c) else c for c in text).strip()


def flow(pairs: Iterable[tuple[str, str | None]]) -> str:
    """Pairs in braces; those without a value are left out."""
    return "{" + ", ".join(f"{name}: {value}" for name, value in pairs if value is not None) + "}"


def row(items: Iterable[str]) -> str:
    """Items in square brackets."""
    return "[" + ", ".join(items) + "]"


def span(value: Span | None) -> str | None:
    """A number or a band."""
    if value is None:
        return None
    return figure(value.low) if value.exact else row((figure(value.low), figure(value.high)))


def _number(value: float | None) -> str | None:
    return None if value is None else figure(value)


def _text(value: str | None) -> str | None:
    return word(value) if value else None


def _flag(value: bool | None) -> str | None:
    return None if value is None else "true" if value else "false"


def _wire(wire: Wire | None, letters: Letters | None) -> list[tuple[str, str | None]]:
    """The `wire` entry, and `tinned` beside it where the text does not say so."""
    if wire is None:
        return []
    if not wire.written:
        return [("tinned", "true")] if wire.tinned else []
    if wire.outside_mm is None:
        for paper in (None, *(("iec", "german", "japanese") if letters is None else ())):
            read = parse_wire(wire.written, letters, paper)
            if isinstance(read, BadWire) or read.colour != wire.colour:
                continue
            beside: list[tuple[str, str | None]] = [("wire", word(wire.written))]
            if wire.tinned and not read.tinned:
                beside.append(("tinned", "true"))
            return beside
    return [
        (
            "wire",
            flow(
                [
                    ("gauge", _text(wire.gauge)),
                    ("csa_mm2", None if wire.gauge else _number(wire.csa_mm2)),
                    (
                        "colour",
                        _text(wire.colour.written or wire.colour.iec) if wire.colour else None,
                    ),
                    ("doubtful", "true" if wire.doubtful else None),
                    ("bare", "true" if wire.bare else None),
                    ("tinned", "true" if wire.tinned else None),
                    ("wall", wire.wall),
                    ("outside_mm", _number(wire.outside_mm)),
                ]
            ),
        )
    ]


_NOTHING = Accepts()


def _accepts(accepts: Accepts, base: Accepts = _NOTHING) -> str | None:
    pairs = [
        ("csa_mm2", None if accepts.csa_mm2 == base.csa_mm2 else span(accepts.csa_mm2)),
        (
            "insulation_mm",
            None if accepts.insulation_mm == base.insulation_mm else span(accepts.insulation_mm),
        ),
        ("amps", None if accepts.amps == base.amps else _number(accepts.amps)),
    ]
    return flow(pairs) if any(value is not None for _, value in pairs) else None


def _leaflet(leaflet: Leaflet | None) -> str | None:
    return (
        None
        if leaflet is None
        else flow(
            [
                ("fuse_amps", _number(leaflet.fuse_amps)),
                ("min_csa_mm2", _number(leaflet.min_csa_mm2)),
                ("max_length_mm", _number(leaflet.max_length_mm)),
            ]
        )
    )


def _texts(texts: Mapping[str, str]) -> str | None:
    return flow((key(name), word(value)) for name, value in texts.items()) if texts else None


class _Lines:
    """Collects lines with their comments."""

    def __init__(self, kind: str, schema: str | None, header: Sequence[str]) -> None:
        self.lines = [
            *first_lines(kind, schema),
            f"wiremap: {kind}/1",
            *(f"# {comment(line)}".rstrip() for line in header),
        ]

    def pair(self, name: str, value: str | None) -> None:
        if value is not None:
            self.lines.append(f"{name}: {value}")

    def add(self, line: str, remark: str | None = None) -> None:
        self.lines.append(f"{line}   # {comment(remark)}" if remark else line)

    def text(self) -> str:
        return "\n".join(self.lines) + "\n"


def dump_pinout(
    pinout: Pinout,
    *,
    schema: str | None = None,
    header: Sequence[str] = (),
    comments: Mapping[str, str] | None = None,
) -> str:
    """A pinout as YAML; `header` lines stand at the top, `comments` behind the cavities they are keyed by."""
    out, comments = _Lines("pinout", schema, header), comments or {}
    out.pair("title", word(pinout.title))
    out.pair("id", _text(pinout.id))
    out.pair("revision", None if pinout.revision is None else str(pinout.revision))
    out.pair("withdrawn", _text(pinout.withdrawn))
    out.pair("letters", pinout.letters)
    out.pair("half", pinout.half)
    _connector(out, pinout.connector, pinout.half == "unit")
    told = pinout.source.basis != "told"
    if pinout.source.name or told:
        out.pair(
            "source",
            flow(
                [
                    ("name", _text(pinout.source.name)),
                    ("basis", pinout.source.basis if told else None),
                ]
            ),
        )
    out.pair("leaflet", _leaflet(pinout.leaflet))
    out.add("cavities:")
    for cavity in pinout.cavities.values():
        out.add(f"  {key(cavity.name)}: {_cavity(cavity, pinout)}", comments.get(cavity.name))
    for name in ("inside", "behind"):
        links: tuple[Link, ...] = getattr(pinout, name)
        if links:
            out.add(f"{name}:")
        for link in links:
            out.add(
                "  - "
                + flow(
                    [
                        ("between", row((cell(link.a), cell(link.b)))),
                        ("ohms", span(link.ohms)),
                        ("when", _text(link.when)),
                    ]
                )
            )
    if pinout.segments:
        out.pair(
            "segments",
            flow((key(name), row(map(cell, members))) for name, members in pinout.segments.items()),
        )
    if pinout.bridges:
        out.pair("bridges", row(row(map(cell, bridge)) for bridge in pinout.bridges))
    if pinout.switches:
        out.add("switches:")
    for switch in pinout.switches.values():
        out.add(
            f"  {key(switch.name)}: "
            + flow(
                [
                    ("between", row((cell(switch.a), cell(switch.b)))),
                    ("ohms", figure(switch.ohms)),
                    ("delivered", _text(switch.delivered)),
                ]
            )
        )
    return out.text()


def _connector(out: _Lines, connector: Connector, unit: bool) -> None:
    if connector.place is None and connector == Connector():
        return
    face = connector.face.mirrored() if unit and connector.face else connector.face
    contacts = connector.contacts
    if unit and contacts is not None:
        contacts = contacts.other
    pairs = [
        ("shell", _text(connector.shell)),
        ("contacts", contacts),
        ("sealed", _flag(connector.sealed)),
        ("plating", connector.plating),
        (
            "face",
            None
            if face is None
            else flow(
                [
                    ("view", face.view),
                    ("key", face.key),
                    (
                        "rows",
                        row(
                            row("~" if one is None else cell(one) for one in line)
                            for line in face.rows
                        ),
                    ),
                ]
            ),
        ),
        ("accepts", _accepts(connector.accepts)),
    ]
    stated = [(name, value) for name, value in pairs if value is not None]
    if stated:
        out.add("connector:")
    for name, value in stated:
        out.add(f"  {name}: {value}")


def _cavity(cavity: Cavity, pinout: Pinout) -> str:
    stated = cavity.reading.function if cavity.reading.how == "stated" else None
    pairs: list[tuple[str, str | None]] = [
        ("signal", _text(cavity.signal)),
        ("function", stated),
        ("mark", _texts(cavity.mark)),
        ("pair", _text(cavity.pair)),
        ("chain", _text(cavity.chain)),
        ("kbit_s", _number(cavity.kbit_s)),
        ("volts", span(cavity.volts)),
        ("volts_ac", _number(cavity.volts_ac)),
        ("amps", _number(cavity.amps)),
        ("peak_amps", _number(cavity.peak_amps)),
        ("asleep_amps", _number(cavity.asleep_amps)),
        ("flow", cavity.flow),
        ("need", cavity.need),
        ("limit_C", _number(cavity.limit_C)),
        ("clamp", cavity.clamp),
        ("pwm_hz", _number(cavity.pwm_hz)),
        ("detects_open", _flag(cavity.detects_open)),
        ("plating", None if cavity.plating == pinout.connector.plating else cavity.plating),
        *_wire(cavity.wire, pinout.letters),  # type: ignore[arg-type]
        ("serves", row(map(cell, cavity.serves)) if cavity.serves else None),
        ("codes", _texts(cavity.codes)),
        ("ohms", span(cavity.ohms)),
        ("accepts", _accepts(cavity.accepts, pinout.connector.accepts)),
        ("leaflet", _leaflet(cavity.leaflet)),
        ("as_found", cavity.as_found),
        ("caution", _text(cavity.caution)),
        ("basis", None if cavity.basis == pinout.source.basis else cavity.basis),
        ("source", None if cavity.source == pinout.source.name else _text(cavity.source)),
        (
            "also",
            row(
                flow(
                    [
                        ("signal", _text(claim.signal)),
                        (
                            "function",
                            claim.reading.function
                            if claim.reading.how != "name" or not claim.signal
                            else None,
                        ),
                        ("basis", claim.basis),
                        ("source", _text(claim.source)),
                    ]
                )
                for claim in cavity.also
            )
            if cavity.also
            else None,
        ),
    ]
    told = [(name, value) for name, value in pairs if value is not None]
    if told == [("function", "unused")]:
        return '"-"'
    return flow(told) if told else '"?"'


def dump_job(
    job: Job,
    *,
    schema: str | None = None,
    header: Sequence[str] = (),
    comments: Mapping[str, str] | None = None,
    files: Mapping[str, str] | None = None,
    notebooks: Sequence[str] | None = None,
) -> str:
    """A job as YAML.

    `comments` are keyed by circuit id, by address (under `not_joined`) or by section name; `files` gives the file name
    of each end's pinout and `notebooks` those of the notebooks as seen from where the job will lie (by default: from
    the job's own path).
    """
    out, comments = _Lines("job", schema, header), comments or {}
    out.pair("title", word(job.title))
    out.pair("id", _text(job.id))
    out.pair("revision", None if job.revision is None else str(job.revision))
    out.pair("withdrawn", _text(job.withdrawn))
    supply, around = job.supply, job.surroundings
    if supply.place is not None or (supply.volts, supply.min_volts, supply.max_volts) != (
        None,
        None,
        None,
    ):
        out.pair(
            "supply",
            flow(
                [
                    ("volts", _number(supply.volts)),
                    ("min_volts", _number(supply.min_volts)),
                    ("max_volts", _number(supply.max_volts)),
                ]
            ),
        )
    stated = [
        ("ambient_C", _number(around.ambient_C)),
        ("wet", _flag(around.wet)),
        ("moves", _text(around.moves)),
        ("bundle", None if around.bundle is None else str(around.bundle)),
        ("limit_C", _number(around.limit_C)),
    ]
    if any(value is not None for _, value in stated):
        out.pair("surroundings", flow(stated))
    out.add("ends:", comments.get("ends"))
    for end in job.ends.values():
        named = (
            files[end.name] if files and end.name in files else _relative(end.pinout.path, job.path)
        )
        out.add(f"  {key(end.name)}: {_end(end, named)}", comments.get(end.name))
    if job.runs:
        out.add("runs:")
    for run in job.runs:
        keep_out = (
            row(
                flow([("from", figure(k.from_mm)), ("to", figure(k.to_mm)), ("why", _text(k.why))])
                for k in run.keep_out
            )
            if run.keep_out
            else None
        )
        out.add(
            "  - "
            + flow(
                [
                    ("between", row((word(run.a), word(run.b)))),
                    ("mm", _number(run.mm)),
                    ("keep_out", keep_out),
                ]
            )
        )
    if job.twists:
        out.add("twists:")
    for twist in job.twists.values():
        out.add(
            f"  {key(twist.name)}: "
            + flow(
                [
                    ("circuits", row(map(word, twist.circuits))),
                    ("drain", _text(twist.drain)),
                    ("mm", _number(twist.mm)),
                    ("untwisted_mm", _number(twist.untwisted_mm)),
                ]
            )
        )
    if job.extras:
        out.add("extras:")
    for extra in job.extras.values():
        out.add(f"  {key(extra.name)}: {_extra(extra)}")
    out.add("circuits:" if job.circuits else "circuits: []", comments.get("circuits"))
    for circuit in job.circuits:
        out.add(f"  - {_circuit(circuit)}", comments.get(circuit.id))
    if job.not_joined:
        out.add("not_joined:", comments.get("not_joined"))
    for left in job.not_joined.values():
        out.add(f"  {key(left.point)}: {_left(left)}", comments.get(left.point))
    if job.confirmed:
        out.add("confirmed:")
    for done in job.confirmed:
        out.add(
            "  - "
            + flow(
                [
                    ("circuit", word(done.circuit)),
                    ("by", word(done.by)),
                    ("date", word(done.date)),
                    ("how", word(done.how)),
                    ("of", _text(done.of)),
                ]
            )
        )
    named_books = (
        [_relative(book.path, job.path) for book in job.notebooks]
        if notebooks is None
        else notebooks
    )
    if named_books:
        out.pair("readings", row(map(word, named_books)))
    return out.text()


def _relative(path: str, job: str) -> str:
    return PurePath(os.path.relpath(path, os.path.dirname(job) or ".")).as_posix()


def _end(end: End, named: str) -> str:
    fed = flow((key(cavity), _fed(feed)) for cavity, feed in end.fed.items()) if end.fed else None
    return flow(
        [
            ("pinout", word(named)),
            ("is", end.kind),
            ("side", end.side),
            ("tail_mm", _number(end.tail_mm)),
            ("limit_C", _number(end.limit_C)),
            ("mated", "true" if end.mated else None),
            ("fed", fed),
            ("switches", _texts(end.switches)),
        ]
    )


def _fed(fed: Fed) -> str:
    pairs = [
        ("fuse", _text(fed.fuse)),
        ("found_amps", _number(fed.found_amps)),
        ("fuse_amps", _number(fed.fuse_amps)),
        ("milliohm", _number(fed.milliohm)),
        ("length_mm", _number(fed.length_mm)),
    ]
    if fed.unfused:
        if all(value is None for _, value in pairs):
            return "none"
        pairs[0] = ("fuse", "none")
    return flow(pairs)


def _extra(extra: Extra) -> str:
    kind = (
        figure(extra.ohms)
        if extra.kind == "resistor" and extra.ohms is not None
        else figure(extra.amps)
        if extra.kind == "diode" and extra.amps is not None
        else word(extra.detail)
    )
    amps = ("size" if extra.size_wanted else _number(extra.amps)) if extra.kind == "fuse" else None
    return flow(
        [
            (extra.kind, kind),
            ("amps", amps),
            ("watts", _number(extra.watts)),
            ("at_mm", _number(extra.at_mm)),
        ]
    )


def _circuit(circuit: Circuit) -> str:
    legs = (
        flow(
            (
                key(point),
                flow(
                    [
                        *_wire(leg.wire, None),
                        ("length_mm", _number(leg.length_mm)),
                        ("at_mm", _number(leg.at_mm)),
                    ]
                ),
            )
            for point, leg in circuit.legs.items()
        )
        if circuit.legs
        else None
    )
    pairs: list[tuple[str, str | None]] = [
        ("joint", circuit.joint),
        *_wire(circuit.wire, None),
        ("length_mm", _number(circuit.length_mm)),
        ("at_mm", _number(circuit.at_mm)),
        ("supported", "true" if circuit.supported else None),
        ("legs", legs),
        ("grade", circuit.grade),
        ("because", row(map(word, circuit.because)) if circuit.because else None),
    ]
    by_point = circuit.id == circuit.join[0]
    if by_point and len(circuit.join) == 2 and all(value is None for _, value in pairs):
        return word(" - ".join(circuit.join))
    return flow(
        [
            ("id", None if by_point else word(circuit.id)),
            ("join", row(map(word, circuit.join))),
            *pairs,
        ]
    )


def _left(left: NotJoined) -> str:
    return flow([("why", _text(left.why)), ("treat", left.treat)])


def dump_entry(entry: Entry) -> str:
    """One notebook entry as the text behind `- `."""

    def points(names: tuple[str, ...]) -> str | None:
        return (cell(names[0]) if len(names) == 1 else row(map(cell, names))) if names else None

    seen = entry.seen or (None if entry.ohms is None else span(entry.ohms))
    return flow(
        [
            ("kind", entry.kind),
            ("about", _text(entry.about)),
            ("answer", _text(entry.answer)),
            ("rule", _text(entry.rule)),
            ("subject", row(map(word, entry.subject)) if entry.subject else None),
            ("red", points(entry.red)),
            ("black", points(entry.black)),
            ("volts", _number(entry.volts)),
            ("amps", _number(entry.amps)),
            ("seen", seen),
            ("key", _text(entry.key)),
            ("state", _text(entry.state)),
            ("pieces", None if entry.pieces is None else str(entry.pieces)),
            ("revision", None if entry.revision is None else str(entry.revision)),
            ("what", _text(entry.what)),
            ("points", points(entry.points)),
            ("stop", entry.stop),
            ("mark", None if not entry.mark else quoted(entry.mark)),
            ("by", _text(entry.by)),
            ("second", _text(entry.second)),
            ("alone", "true" if entry.alone else None),
            ("licensed", _text(entry.licensed)),
            ("date", _text(entry.date)),
            ("how", _text(entry.how)),
            ("why", _text(entry.why)),
            ("of", _text(entry.of)),
        ]
    )
