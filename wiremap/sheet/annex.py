"""The annex, what the hands need: survey, lengths, parts and tools, wire flags; and the list of all parts."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Callable, Mapping
from types import MappingProxyType

from wiremap.sheet.annex_proof import feed_part, findings_part, fuses_part, sources_part
from wiremap.sheet.bench import band
from wiremap.sheet.given import Given
from wiremap.sheet.pieces import (
    Block,
    Card,
    Cards,
    Flag,
    Flags,
    Ledger,
    Section,
    Step,
    Text,
)
from wiremap.sheet.words import conductor_words, number, signal_words, volts_band, wire_words


def survey_part(given: Given) -> Section:
    """The readings before the cut: volts, then ohms, never mixed."""
    survey = given.survey
    if survey is None or not survey.rows:
        return Section("survey", "Survey before the cut", "", (Text("There is no machine-side cavity to survey."),))
    blocks: list[Block] = []
    for name in ("volts", "ohms"):
        how = f"{name.capitalize()}: {survey.how(name)}"
        cards = []
        for row in survey.block(name):
            state = ", ".join(t for t in (row.key and f"key {row.key}", row.state) if t)
            want = volts_band(row.low, row.high) if name == "volts" else band(row.low, row.high)
            cards.append(Card(str(row.n), row.red, row.black, want, True, f"{state + '; ' if state else ''}{row.source}"))
        if cards:
            blocks.append(Cards(how, tuple(cards)))
    blocks += [Text(f"{' and '.join(a.points)} read alike ({band(a.low, a.high)}): {a.how}.") for a in survey.alike]
    for t in survey.terminators:
        blocks.append(Text(f"Terminators, {t.where}: {t.red} to {t.black}, each half after the cut, module out", strong=True))
        blocks += [
            Step("", f"{reads} Ω: {so}" if reads.replace("under ", "").isdigit() else f"{reads}: {so}") for reads, so in t.steps
        ]
    if survey.signatures:
        cards = [
            Card(str(i), " to ".join(s.before), " to ".join(s.after), _quantity(s.quantity, s.low, s.high), True,
                 f"key {s.key}" if s.key else "")
            for i, s in enumerate(survey.signatures, 1)
        ]
        blocks.append(
            Cards("Signatures: what stood at the old face before the cut (first) must be seen again at the new one (second)", tuple(cards))
        )
    return Section("survey", "Survey before the cut", "old face, unit unplugged", tuple(blocks))


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
        [Ledger(("circuit", "conductor", "cut to, mm", "of it slack", "measured from"), (18, 62, 18, 16, 36), tuple(rows), True)]
        if rows
        else [Text("No length can be given: state the tails, the runs and the lengths of new wires.")]
    )
    blocks += [Text(f"{m}.") for m in (given.sizes.missing if given.sizes else ()) if "cut" in m.blocks]
    return Section(
        "lengths",
        "Lengths to cut",
        "from each end's datum (last tie or branch) to the cut",
        tuple(blocks),
        "Slack is for remaking a joint twice. Measure, mark, then cut; never several wires in one stroke.",
    )


def parts_part(given: Given) -> Section:
    """What to lay out before the first cut."""
    parts: Counter[tuple[str, str]] = Counter()
    worked = {c.id for c in given.worked}
    for size in given.sizes.joints.values() if given.sizes else ():
        if size.made is None or size.circuit not in worked:
            continue
        if size.made.barrel is not None:
            parts[
                "barrel", f"{size.kind} {size.made.barrel.name} ({size.made.barrel.gauges} AWG, {size.made.barrel.colour})"
            ] += 1
        if size.made.sleeve is not None and size.made.sleeve_cut_mm:
            glue = ", adhesive" if size.made.sleeve.adhesive else ""
            parts["sleeve", f"{size.made.sleeve.name}{glue}, {size.made.sleeve_cut_mm:.0f} mm long"] += 1
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
    for address, entry in given.harness.job.not_joined.items():
        if entry.treat in ("blank", "cap"):
            parts["blanking plug" if entry.treat == "blank" else "end cap", f"for {address}"] += 1
    rows = tuple((kind, what, str(n)) for (kind, what), n in parts.items())
    tools = (
        "ratchet crimp tool with the die for these barrels, and for the contacts of each connector",
        "stripper set to the strip length, cutters, rule, marker and flags",
        "hot-air tool with a reflector, kept off seals and fuel",
        "meter with leads that fit the contacts; never a bare probe in a socket contact",
        f"{_lamps(given)} or a limited feed, fuses as listed",
    )
    return Section(
        "parts",
        "Parts and tools to lay out",
        "",
        (
            Ledger(("part", "which", "pieces"), (26, 110, 16), rows, True),
            Text("Tools", strong=True),
            *(Step("", t) for t in tools),
        ),
    )


def _lamps(given: Given) -> str:
    """The lamps that first power asks for."""
    found = dict.fromkeys(m for s in given.power for m in re.findall(r"\d+ W lamp of \d+ V", s.do))
    return ", ".join(sorted(found, key=lambda m: int(m.split()[0]))) or "small test lamps"


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
                parts["contact", f"{connector.contacts or 'contact'} of {point.end.name} for {size}"] += 1
                if connector.sealed:
                    parts["wire seal", f"of {point.end.name} for {size}"] += 1
            elif point.kind == "stud":
                parts["ring terminal", f"{point.extra.detail if point.extra else ''} for {size}, at {point.address}"] += 1
        if conductor.origin == "lead" or (conductor.wire is not None and conductor.wire.bare):
            parts["tube", f"over the bare {'lead' if conductor.origin == 'lead' else 'wire'} of {conductor.point or conductor.circuit}"] += 1
    for extra in given.harness.job.extras.values():
        if extra.kind == "fuse":
            parts["fuse holder", f"for {extra.name}, {extra.detail or 'as its fuse'}, in line"] += 1
    return parts


def flag_rows(given: Given) -> list[tuple[str, str, str, str, str]]:
    """Wire flags: circuit, near end, far ends, wire, signal; one for every wire's end."""
    rows = []
    for circuit in given.worked:
        points = [p for a in circuit.join if (p := given.harness.points.get(a)) is not None]
        for point in points:
            if point.cavity is None:
                continue
            far = ", ".join(p.address for p in points if p is not point)
            wire = wire_words(point.cavity.wire) if point.brings_lead or point.is_tap else wire_words(circuit.wire)
            rows.append((circuit.id, point.address, far, wire, signal_words(point)))
    return rows


def flags_part(given: Given) -> Section:
    """Flags to cut out."""
    job = given.harness.job
    mark = f"{job.id or job.title}{f' r{job.revision}' if job.revision is not None else ''}"
    flags = tuple(Flag(f"{near} \u2192 {far}", f"{signal}, {mark}") for _, near, far, _, signal in flag_rows(given))
    return Section(
        "flags",
        "Wire flags",
        "",
        (Flags(flags),),
        "Cut on the lines, fold on the dashes, put on before the cut. `wiremap sheet JOB -o FILE --flags FLAGS.csv` "
        "writes the same for a label printer.",
    )


def flags_csv(given: Given) -> bytes:
    """The flags for a label printer: UTF-8 with a byte-order mark, formulas disarmed by an apostrophe."""
    out = io.StringIO()
    writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    job = given.harness.job
    writer.writerow(("job", "revision", "circuit", "near", "far", "wire", "signal"))
    for row in flag_rows(given):
        writer.writerow([_cell(t) for t in (job.id or job.title, str(job.revision if job.revision is not None else ""), *row)])
    return out.getvalue().encode("utf-8-sig")


def _cell(text: str) -> str:
    plain = " ".join(text.split())
    return f"'{plain}" if plain[:1] in ("=", "+", "-", "@", "'") else plain


PARTS: Mapping[str, Callable[[Given], Section | None]] = MappingProxyType(
    {
        "survey": survey_part,
        "lengths": lengths_part,
        "fuses": fuses_part,
        "feed": feed_part,
        "parts": parts_part,
        "flags": flags_part,
        "findings": findings_part,
        "sources": sources_part,
    }
)
