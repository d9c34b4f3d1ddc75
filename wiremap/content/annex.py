"""The annex, what the hands need: survey, lengths, parts and tools, wire flags; and the list of all parts."""

from __future__ import annotations

import csv
import io
import math
import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING

from wiremap.content.annex_proof import feed_part, findings_part, fuses_part, sources_part
from wiremap.content.given import Given
from wiremap.content.joints import treated
from wiremap.content.pieces import (
    Block,
    Card,
    Cards,
    Deed,
    Deeds,
    Flag,
    Flags,
    Ledger,
    Section,
    Step,
    Text,
)
from wiremap.content.ringout import band
from wiremap.content.words import (
    barrel_words,
    conductor_words,
    number,
    signal_words,
    volts_band,
    wire_words,
)
from wiremap.model import CHASSIS
from wiremap.ringout.fuses import fuses_out

if TYPE_CHECKING:
    from wiremap.survey.rows import Row, Survey

OWED = "owed"


def survey_part(given: Given) -> Section:
    """The readings before the cut: volts, then ohms, never mixed; those that are still owed are marked."""
    survey = given.survey
    if survey is None or not survey.rows:
        return Section(
            "survey",
            "Survey before the cut",
            "",
            (Text("There is no machine-side cavity to survey."),),
        )
    unread = frozenset(given.not_surveyed)
    blocks: list[Block] = []
    for name in ("volts", "ohms"):
        cards = [_survey_card(row, unread) for row in survey.block(name)]
        if cards:
            blocks.append(Cards(f"{name.capitalize()}: {survey.how(name)}", tuple(cards)))
    blocks += [
        Text(f"{a.how[:1].upper()}{a.how[1:]} ({band(a.low, a.high)} each).") for a in survey.alike
    ]
    blocks += _terminators(survey)
    owed = sum(c.mark == OWED for b in blocks if isinstance(b, Cards) for c in b.cards)
    lead = (
        f"{owed} rows are owed: nobody has read them yet, and no wire of theirs is cut before. "
        if owed and given.surveyed[0]
        else ""
    )
    return Section(
        "survey",
        "Survey before the cut",
        "old face, unit unplugged",
        tuple(blocks),
        f"{lead}Figures come back as signatures.",
    )


def _terminators(survey: Survey) -> Iterator[Block]:
    """The terminator question: a reading for each half, then what a reading means."""
    groups: dict[tuple[tuple[str, str], ...], list[Deed]] = {}
    for t in survey.terminators:
        when = "" if "after the cut" in t.where else ", after the cut"
        groups.setdefault(t.steps, []).append(
            Deed("", f"{t.where}{when}: {t.red} to {t.black}", "", 1, 1, "Ω")
        )
    for steps, deeds in groups.items():
        yield Deeds("Terminators, battery off", tuple(deeds))
        means = [
            f"{reads} Ω" if reads.replace("under ", "").isdigit() else reads for reads, _ in steps
        ]
        yield Text(
            " ".join(
                f"{reads[:1].upper()}{reads[1:]}: {so}."
                for reads, (_, so) in zip(means, steps, strict=True)
            )
        )


def _survey_card(row: Row, unread: frozenset[str]) -> Card:
    """One row; volts name the red probe alone, the black one stands on battery minus in all of them."""
    state = ", ".join(t for t in (row.key and f"key {row.key}", row.state) if t)
    volts = row.block == "volts"
    return Card(
        str(row.n),
        row.red,
        "" if volts and row.black == CHASSIS else row.black,
        volts_band(row.low, row.high) if volts else band(row.low, row.high),
        True,
        f"{state + '; ' if state else ''}{row.source}",
        OWED if unread.intersection((row.red, row.black)) else "",
    )


AGAIN = {
    "volts": "Volts: black probe on battery minus; with first power, lamps in the fuses' places, face unmated",
    "ohms": "Ohms: battery off, every sleeve shrunk, face unmated",
}


def signatures_part(given: Given) -> Section | None:
    """What stood at the old face and must be seen again at the new one, when and how."""
    survey = given.survey
    if survey is None or not survey.signatures:
        return None
    rows = {(r.red, r.black, r.block, r.key): r.n for r in survey.rows if r.state is None}
    blocks = []
    for quantity, how in AGAIN.items():
        cards = []
        for n, sign in enumerate(survey.signatures, 1):
            if sign.quantity == quantity:
                key = f"key {sign.key}; " if sign.key else ""
                found = rows.get((*sign.before, quantity, sign.key))
                cards.append(
                    Card(
                        f"S{n}",
                        _at(sign.before, quantity),
                        _at(sign.after, quantity),
                        _quantity(quantity, sign.low, sign.high),
                        True,
                        f"{key}as found: row {found}" if found else key.rstrip("; "),
                    )
                )
        if cards:
            blocks.append(Cards(how, tuple(cards)))
    return Section(
        "signatures",
        "Signatures, read again after the splice",
        "new face, unit unplugged",
        tuple(blocks),
        "Where it was read at the old face (first), where it must be seen again at the new one (second).",
    )


def _at(probes: tuple[str, str], quantity: str) -> str:
    """Both probes of a reading; of volts the red one, as the black one stands on battery minus."""
    return probes[0] if quantity == "volts" and probes[1] == CHASSIS else " to ".join(probes)


def _quantity(quantity: str, low: float | None, high: float | None) -> str:
    return volts_band(low, high) if quantity == "volts" else band(low, high)


def lengths_part(given: Given) -> Section:
    """How long each conductor is cut, slack for remakes on it."""
    worked = {c.id for c in given.worked}
    rows = []
    for cid, cut in given.sizes.cuts.items() if given.sizes else ():
        conductor = given.harness.conductors[cid]
        if conductor.circuit in worked:
            rows.append(
                (
                    conductor.circuit,
                    conductor_words(given.harness, conductor),
                    f"{cut.mm:.0f}",
                    f"{cut.slack_mm:.0f}",
                    cut.measured_from,
                )
            )
    blocks: list[Block] = (
        [
            Ledger(
                ("circuit", "conductor", "cut to, mm", "of it slack", "measured from"),
                (18, 62, 18, 16, 36),
                tuple(rows),
                True,
            )
        ]
        if rows
        else [
            Text("No length can be given: state the tails, the runs and the lengths of new wires.")
        ]
    )
    capped = treated(given, "cap")
    whole = f" Not shortened: {', '.join(capped)}." if capped else ""
    blocks += [
        Text(f"{m}.") for m in (given.sizes.missing if given.sizes else ()) if "cut" in m.blocks
    ]
    return Section(
        "lengths",
        "Lengths to cut",
        "from each end's datum (last tie or branch) to the cut",
        tuple(blocks),
        f"Both cuts of a joint make the run and their slack, which is for remaking it twice. Measure, mark, cut one wire at a time.{whole}",
    )


def parts_part(given: Given) -> Section:
    """What to lay out before the first cut."""
    parts: Counter[tuple[str, str]] = Counter()
    worked = {c.id for c in given.worked}
    for size in given.sizes.joints.values() if given.sizes else ():
        if size.made is None or size.circuit not in worked:
            continue
        if size.made.barrel is not None:
            barrel = size.made.barrel
            named = barrel_words(barrel)
            colour = f", {barrel.colour}" if barrel.colour and named == barrel.name else ""
            parts["barrel", f"{size.kind} {named} ({barrel.gauges} AWG{colour})"] += 1
        if size.made.sleeve is not None and size.made.sleeve_cut_mm:
            glue = ", adhesive" if size.made.sleeve.adhesive else ""
            parts[
                "sleeve", f"{size.made.sleeve.name}{glue}, {size.made.sleeve_cut_mm:.0f} mm long"
            ] += 1
    parts.update(_over_all(given))
    for fuse in fuses_out(given.harness, given.sizes):
        if fuse.swapped:
            parts[
                "fuse", f"{fuse.label}, in place of the {number(fuse.found_amps or 0)} A found"
            ] += 1
    for extra in given.harness.job.extras.values():
        point = given.harness.points[extra.legs[0]]
        parts[
            extra.kind,
            f"{extra.name}: {signal_words(point) or wire_words(None)}"
            if extra.kind in ("fuse", "stud")
            else f"{extra.name}: {number(extra.ohms) + ' Ω' if extra.ohms is not None else ''} "
            f"{number(extra.watts) + ' W' if extra.watts is not None else ''}".strip(),
        ] += 1
    for conductor in given.harness.conductors.values():
        if conductor.origin == "new" and conductor.circuit in worked:
            length = given.cut(conductor.id)
            parts[
                "new wire",
                f"{wire_words(conductor.wire)}, {f'{length.mm:.0f} mm' if length else 'length not stated'} ({conductor.circuit})",
            ] += 1
    parts.update(_ends_of_new_wires(given, worked))
    rows = [(kind, what, str(n)) for (kind, what), n in parts.items()]
    for treat, kind in (("cap", "end cap"), ("blank", "blanking plug")):
        if closed := [
            a for a, entry in given.harness.job.not_joined.items() if entry.treat == treat
        ]:
            rows.append((kind, f"for {', '.join(closed)}", str(len(closed))))
    tools = _tools(given)
    return Section(
        "parts",
        "Parts and tools to lay out",
        "",
        (
            Ledger(("part", "which", "pieces"), (26, 110, 16), tuple(rows), True),
            Text("Tools", strong=True),
            *(Step("", t) for t in tools),
        ),
    )


def _over_all(given: Given) -> Counter[tuple[str, str]]:
    """What goes over all joints of a run: the outer sleeve, from the first joint's sleeve to the last one's, and the boot."""
    parts: Counter[tuple[str, str]] = Counter()
    for run in given.sizes.runs.values() if given.sizes else ():
        if run.layout is None or not run.layout.placed:
            continue
        at = [p.at_mm for p in run.layout.placed]
        parts[
            "outer sleeve",
            f"{run.run}: passes {math.ceil(run.layout.lump_mm)} mm and the plug it is slid over; "
            f"covers {number(min(at))} to {number(max(at))} mm of the run and a sleeve's length beyond each",
        ] += 1
        parts["boot", f"{run.run}: over the end of the outer sleeve"] += 1
    return parts


def _tools(given: Given) -> tuple[str, ...]:
    """What the hands need besides the parts."""
    bare = any(
        j.made is not None
        and j.made.barrel is not None
        and barrel_words(j.made.barrel).startswith("bare")
        for j in (given.sizes.joints.values() if given.sizes else ())
    )
    ends = given.harness.job.ends.values()
    old = [e.name for e in ends if e.kind == "cut-tail"]
    faces = [e.name for e in ends if e.kind in ("pigtail", "mate") and e.side != "machine"]
    leads = [f"breakout lead for the old face of {', '.join(old)}"] * bool(old) + [
        f"test leads with mating contacts for {', '.join(faces)}"
    ]
    amps = any(s.quantity == "A" for s in given.power)
    return (
        f"ratchet crimp tool with the die for {'bare' if bare else 'these'} barrels, and for the contacts of each connector",
        "stripper set to the strip length, cutters, rule, marker and flags",
        "hot-air tool with a reflector, kept off seals and fuel",
        f"meter with a fine tip; {', '.join(leads)}; never a bare probe in a socket contact",
        *(
            ["ammeter that shows 0.1 mA, and a clamp or lead for the battery's minus"]
            if amps
            else []
        ),
        _lamps(given),
    )


def _lamps(given: Given) -> str:
    """The lamps that first power asks for, and the feed that may stand in for one in a fuse's place."""
    found = dict.fromkeys(m for s in given.power for m in re.findall(r"\d+ W lamp of \d+ V", s.do))
    lamps = ", ".join(sorted(found, key=lambda m: int(m.split()[0]))) or "small test lamps"
    limit = next(
        (m for s in given.power for m in re.findall(r"limited feed \(([\d.]+ A)\)", s.do)), ""
    )
    feed = (
        f"; a feed limited to {limit} may stand in a fuse's place, never for a load"
        if limit
        else ""
    )
    return f"{lamps}{feed}; fuses as listed"


def _ends_of_new_wires(given: Given, worked: set[str]) -> Counter[tuple[str, str]]:
    """Contacts, seals, rings and fuse holders that the new wires end in, and tubes over what has no insulation."""
    parts: Counter[tuple[str, str]] = Counter()
    for conductor in given.harness.conductors.values():
        if conductor.circuit not in worked:
            continue
        size = wire_words(conductor.wire).partition(" ")[0]
        for node in (conductor.a, conductor.b) if conductor.origin == "new" else ():
            if given.harness.is_joint(node):
                continue
            point = given.harness.points[node]
            if point.end is not None:
                connector = point.end.pinout.connector
                parts[
                    "contact", f"{connector.contacts or 'contact'} of {point.end.name} for {size}"
                ] += 1
                if connector.sealed:
                    parts["wire seal", f"of {point.end.name} for {size}"] += 1
            elif point.extra is not None and point.extra.kind == "fuse":
                parts["holder contact", f"of the holder of {point.extra.name} for {size}"] += 1
            elif point.kind == "stud":
                parts[
                    "ring terminal",
                    f"{point.extra.detail if point.extra else ''} for {size}, at {point.address}",
                ] += 1
        if conductor.origin == "lead" or (conductor.wire is not None and conductor.wire.bare):
            parts[
                "tube",
                f"over the bare {'lead' if conductor.origin == 'lead' else 'wire'} of {conductor.point or conductor.circuit}",
            ] += 1
    for extra in given.harness.job.extras.values():
        if extra.kind == "fuse":
            parts["fuse holder", f"for {extra.name}, {extra.detail or 'as its fuse'}, in line"] += 1
    return parts


def flag_rows(given: Given) -> list[tuple[str, str, str, str, str]]:
    """Wire flags: circuit, near end, far ends, wire, signal; one for every wire's end, those that are capped too."""
    rows: list[tuple[str, str, str, str, str]] = []
    for circuit in given.worked:
        points = [p for a in circuit.join if (p := given.harness.points.get(a)) is not None]
        for point in points:
            if point.cavity is None:
                continue
            far = ", ".join(p.address for p in points if p is not point)
            wire = (
                wire_words(point.cavity.wire)
                if point.brings_lead or point.is_tap
                else wire_words(circuit.wire)
            )
            rows.append((circuit.id, str(point.address), far, wire, signal_words(point)))
    for address in treated(given, "cap"):
        point = given.harness.points[address]
        if point.cavity is not None:
            rows.append(("", address, "capped", wire_words(point.cavity.wire), signal_words(point)))
    return rows


def flags_part(given: Given) -> Section:
    """Flags to cut out."""
    job = given.harness.job
    mark = f"{job.id or job.title}{f' r{job.revision}' if job.revision is not None else ''}"
    flags = tuple(
        Flag(f"{near} \u2192 {far}", signal, mark) for _, near, far, _, signal in flag_rows(given)
    )
    return Section(
        "flags",
        "Wire flags",
        "",
        (Flags(flags),),
        "Cut on the lines, fold on the dashes, put on before the cut.",
    )


def flags_csv(given: Given) -> bytes:
    """The flags for a label printer: UTF-8 with a byte-order mark, formulas disarmed by an apostrophe."""
    out = io.StringIO()
    writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    job = given.harness.job
    writer.writerow(("job", "revision", "circuit", "near", "far", "wire", "signal"))
    for row in flag_rows(given):
        writer.writerow(
            [
                _cell(t)
                for t in (
                    job.id or job.title,
                    str(job.revision if job.revision is not None else ""),
                    *row,
                )
            ]
        )
    return out.getvalue().encode("utf-8-sig")


def _cell(text: str) -> str:
    plain = " ".join(text.split())
    return f"'{plain}" if plain[:1] in ("=", "+", "-", "@", "'") else plain


PARTS: Mapping[str, Callable[[Given], Section | None]] = MappingProxyType(
    {
        "survey": survey_part,
        "signatures": signatures_part,
        "lengths": lengths_part,
        "fuses": fuses_part,
        "feed": feed_part,
        "parts": parts_part,
        "flags": flags_part,
        "findings": findings_part,
        "sources": sources_part,
    }
)
