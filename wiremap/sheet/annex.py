"""The annex, part by part: survey, lengths, fuses, module feed, parts, flags, findings, sources."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Callable, Mapping
from types import MappingProxyType

from wiremap.sheet.bench import band
from wiremap.sheet.given import Given
from wiremap.sheet.pieces import (
    Block,
    Card,
    Cards,
    Curve,
    Flag,
    Flags,
    FusePlot,
    HandStrip,
    Ledger,
    Section,
    Step,
    Text,
)
from wiremap.sheet.words import conductor_words, number, signal_words, wire_words
from wiremap.sizing.feeds import Judged


def survey_part(given: Given) -> Section:
    """The readings before the cut: volts, then ohms, never mixed."""
    survey = given.survey
    if survey is None or not survey.rows:
        return Section("survey", "Survey before the cut", "", (Text("There is no machine-side cavity to survey."),))
    blocks: list[Block] = []
    for name, how in (
        ("volts", "Volts: 12 V side on, unit unplugged, at a breakout lead, never through a seal; black on battery minus"),
        ("ohms", "Ohms: battery off. Before each row read the volts: above 0.1 V the ohms do not count"),
    ):
        cards = []
        for row in survey.block(name):
            state = ", ".join(t for t in (row.key and f"key {row.key}", row.state) if t)
            want = _volts(row.low, row.high) if name == "volts" else band(row.low, row.high)
            cards.append(Card(str(row.n), row.red, row.black, want, True, f"{state + '; ' if state else ''}{row.source}"))
        if cards:
            blocks.append(Cards(how.replace("12 V side on", "supply on"), tuple(cards)))
    blocks += [Text(f"{' and '.join(a.points)} read alike ({band(a.low, a.high)}): {a.how}.") for a in survey.alike]
    for t in survey.terminators:
        blocks.append(Text(f"Terminators, {t.where}: {t.red} to {t.black}, each half after the cut, module out", strong=True))
        blocks += [
            Step("", f"{reads} Ω: {so}" if reads.replace("under ", "").isdigit() else f"{reads}: {so}") for reads, so in t.steps
        ]
    if survey.signatures:
        cards = [
            Card(str(i), " to ".join(s.before), " to ".join(s.after), _quantity(s.quantity, s.low, s.high), True)
            for i, s in enumerate(survey.signatures, 1)
        ]
        blocks.append(
            Cards("Signatures: the same at the new face (second) as before the cut at the old one (first)", tuple(cards))
        )
    return Section("survey", "Survey before the cut", "old face, unit unplugged", tuple(blocks))


def _volts(low: float | None, high: float | None) -> str:
    if low is None or high is None:
        return "volts"
    if low >= -0.5 and high <= 0.5:
        return f"under {number(high)} V"
    return f"{number(low)} to {number(high)} V"


def _quantity(quantity: str, low: float | None, high: float | None) -> str:
    return _volts(low, high) if quantity == "volts" else band(low, high)


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


def fuses_part(given: Given) -> Section:
    """Fuse against wire, one drawing for each source."""
    blocks: list[Block] = []
    for feed in given.sizes.feeds if given.sizes else ():
        name = (feed.fed.fuse if feed.fed and feed.fed.fuse else "") or f"fuse before {feed.address}"
        if feed.fuse_amps is not None and feed.judged:
            blocks.append(
                _plot(
                    f"{name}, {number(feed.fuse_amps)} A, feeds {feed.address}",
                    feed.fuse_amps,
                    feed.judged,
                    feed.load_amps,
                    feed.sentence,
                )
            )
        elif feed.sentence:
            blocks.append(Text(f"{feed.address}: {feed.sentence}"))
        if feed.found_sentence and feed.found_sentence != feed.sentence:
            blocks.append(Text(f"As found: {feed.found_sentence}."))
        if feed.stub_mm is not None:
            blocks.append(
                Text(
                    f"{feed.address} leads to a fuse of the job over {number(feed.stub_mm)} mm: the stub is judged by its length."
                )
            )
    for fuse in given.sizes.fuses.values() if given.sizes else ():
        if fuse.amps is None or not fuse.judged:
            why = fuse.sized.why if fuse.sized else "nothing is known behind it"
            blocks.append(Text(f"{fuse.name}: no drawing: {why or 'nothing is known behind it'}"))
            continue
        sentence = f"{fuse.name}, {number(fuse.amps)} A"
        if fuse.leaflet_amps is not None:
            sentence += f": the maker's figure governs ({number(fuse.leaflet_amps)} A)"
        sentence += (
            "; nothing speaks against it"
            if not any(j.faults for j in fuse.judged)
            else ": " + "; ".join(f.text for j in fuse.judged for f in j.faults)
        )
        blocks.append(_plot(f"{fuse.name}, {number(fuse.amps)} A", fuse.amps, fuse.judged, fuse.load_amps, sentence + "."))
        if fuse.upstream_sentence:
            blocks.append(Text(f"Without it: {fuse.upstream_sentence}."))
    if not blocks:
        blocks.append(Text("No feed and no fuse of this job could be sized: sizes, lengths or the source are not stated."))
    return Section(
        "fuses",
        "Fuse against wire",
        "",
        tuple(blocks),
        "Opening limits as quoted of ISO 8820-3; wire by k2A2 up to 5 s and by its heat balance beyond.",
    )


def _plot(title: str, amps: float, judged: tuple[Judged, ...], load: float | None, sentence: str) -> FusePlot:
    from wiremap.sizing.curves import fuse_curves, wire_curve

    thin = min(judged, key=lambda j: j.ampacity_amps)
    least, most = fuse_curves(amps, thin.case.family)
    curves = (
        Curve(f"{number(amps)} A opens no sooner", least, dashed=True),
        Curve(f"{number(amps)} A opens no later", most),
        Curve(f"{thin.subject}: a {thin.case.wire.name} lead stands this much", wire_curve(thin.case, amps), heavy=True),
    )
    marks = [("load", load)] if load else []
    if thin.far_end_amps:
        marks.append(("far-end short", thin.far_end_amps))
    return FusePlot(title, curves, tuple((w, float(a)) for w, a in marks), sentence)


def feed_part(given: Given) -> Section | None:
    """Ground and feed of an in-line module, drawn for the hand."""
    strips: list[Block] = []
    for end in given.harness.job.ends.values():
        if end.side != "between" or len(end.pinout.segments) < 2:
            continue
        strips.append(_hand(given, end.name))
    if not strips:
        strips.append(Text("No in-line module with two ports takes part in this job."))
    return Section(
        "feed",
        "The cut pair: in-line module, its ground and its feed",
        "seen from above, machine left, unit right",
        tuple(strips),
    )


def _hand(given: Given, name: str) -> HandStrip:
    harness, end = given.harness, given.harness.job.ends[name]
    segments = list(end.pinout.segments.values())[:2]
    sides = []
    for segment in segments:
        legs = []
        for cavity in segment[:2]:
            address = f"{name}.{cavity}"
            others = [
                a
                for c in harness.circuits_at(address)
                for a in harness.circuit(c).join
                if a != address and (p := harness.points.get(a)) is not None and p.cavity is not None
            ]
            legs.append((others[0] if others else "not joined", f"{cavity} {signal_words(harness.points[address])}"[:24]))
        sides.append((*legs, *[("", "")] * (2 - len(legs))))
    if _machine_first(given, sides[1]) and not _machine_first(given, sides[0]):
        sides.reverse()
    ground = _power_leg(given, name, ("power-ground", "frame-ground"))
    feed = _power_leg(
        given, name, ("permanent-supply", "switched-supply", "accessory-supply", "auxiliary-supply", "relay-switched-supply")
    )
    words = (
        f"Machine half of the cut pair ({sides[0][0][0]}, {sides[0][1][0]}) to the port facing the machine, "
        "legs not crossed, twisted up to the joints.",
        f"Unit half of the cut pair ({sides[1][0][0]}, {sides[1][1][0]}) to the other port.",
        f"Ground: {ground or 'not in this job'}. Bare metal, its own place on the stud; no sensor return, "
        "not the unit's ground wire.",
        f"Feed: {feed or 'not in this job'}. Its own fuse near the source, put in last.",
    )
    return HandStrip(
        name,
        (sides[0][0][0], sides[0][1][0]),
        (sides[1][0][0], sides[1][1][0]),
        ((sides[0][0][1], sides[0][1][1]), (sides[1][0][1], sides[1][1][1])),
        ground or "no ground in this job",
        feed or "no feed in this job",
        words,
    )


def _machine_first(given: Given, side: tuple[tuple[str, str], ...]) -> bool:
    end = given.harness.end_of(side[0][0]) if side[0][0] in given.harness.points else None
    return end is not None and end.side == "machine"


def _power_leg(given: Given, name: str, functions: tuple[str, ...]) -> str:
    """The way from a module's contact to its ground or source, point by point."""
    harness = given.harness
    start = next(
        (p for p in harness.points.values() if p.owner == name and p.function in functions and harness.circuits_at(p.address)),
        None,
    )
    if start is None:
        return ""
    way, seen, here = [start.address], {start.address}, start
    while True:
        circuit = next(iter(harness.circuits_at(here.address)), None)
        other = next((a for a in harness.circuit(circuit).join if a not in seen), None) if circuit else None
        if other is None:
            return " – ".join(way)
        way.append(other)
        seen.add(other)
        point = harness.points[other]
        if point.extra is None or point.extra.kind != "fuse":
            return " – ".join(way)
        far = next(leg for leg in point.extra.legs if leg != other)
        seen.add(far)
        here = harness.points[far]


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
            length = given.sizes.cuts.get(conductor.id) if given.sizes else None
            parts[
                "new wire",
                f"{wire_words(conductor.wire)}, {f'{length.mm:.0f} mm' if length else 'length not stated'} ({conductor.circuit})",
            ] += 1
    for address, entry in given.harness.job.not_joined.items():
        if entry.treat in ("blank", "cap"):
            parts["blanking plug" if entry.treat == "blank" else "end cap", f"for {address}"] += 1
    rows = tuple((kind, what, str(n)) for (kind, what), n in parts.items())
    tools = (
        "ratchet crimp tool with the die for these barrels, and for the contacts of each connector",
        "stripper set to the strip length, cutters, rule, marker and flags",
        "hot-air tool with a reflector, kept off seals and fuel",
        "meter with leads that fit the contacts; never a bare probe in a socket contact",
        "5 W lamp or limited feed, test lamp, fuses as listed",
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


def findings_part(given: Given) -> Section:
    """Every finding with its place, reason, cure and signature."""
    rows = []
    for f in given.findings:
        signed = (
            f"accepted by {f.accepted.by}, {f.accepted.date}: {f.accepted.why}"
            if f.accepted
            else "not accepted"
            if f.severity.value != "note"
            else ""
        )
        place = f"{f.place.path.rsplit('/', 1)[-1]}:{f.place.line}" if f.place else ""
        rows.append(
            (
                f.severity.value,
                f.rule,
                " ".join(f.subject),
                "\n".join(t for t in (f"{f.message}.".replace("..", "."), f.fix, signed) if t),
                place,
            )
        )
    blocks: tuple[Block, ...] = (
        (Ledger(("weight", "rule", "subject", "what, cure, signature", "place"), (13, 26, 28, 96, 27), tuple(rows)),)
        if rows
        else (Text("Nothing was found."),)
    )
    return Section("findings", "Findings and acceptances", "", blocks)


def sources_part(given: Given) -> Section:
    """Where every statement and every number comes from."""
    papers = tuple(
        (
            end.name,
            end.pinout.title,
            f"{end.pinout.source.name or 'no source named'} ({end.pinout.source.basis})",
            end.pinout.letters or "words or IEC",
            end.pinout.digest,
        )
        for end in given.harness.job.ends.values()
    )
    blocks: list[Block] = [Ledger(("end", "paper", "source", "letters", "hash"), (18, 56, 58, 22, 26), papers)]
    sizes = given.sizes
    if sizes is not None:
        blocks += [Text("Assumptions", strong=True), *(Text(f"– {a}.") for a in sizes.assumptions)]
        if sizes.missing:
            blocks += [Text("Not sized, for want of", strong=True), *(Text(f"– {m}.") for m in sizes.missing)]
        values: dict[tuple[str, str, str, str], None] = {}
        sized = (
            [(n, f.sized) for n, f in sizes.fuses.items()]
            + [(f.address, f.sized) for f in sizes.feeds]
            + [(n, j.sized) for n, j in sizes.joints.items()]
        )
        for name, answer in sized:
            for v in answer.results if answer else ():
                shown = f"{number(v.value)} {v.unit}".strip() if isinstance(v.value, float) else f"{v.value} {v.unit}".strip()
                values.setdefault((f"{name}: {v.name.replace('_', ' ')}", shown, v.formula, f"{v.source} ({v.status})"), None)
        if values:
            blocks.append(Text("Figures, each with its formula, source and standing", strong=True))
            blocks.append(Ledger(("figure", "value", "formula", "source and standing"), (40, 34, 52, 64), tuple(values)))
    settled = given.harness.job.confirmed
    if settled:
        blocks.append(Text("Settled by name", strong=True))
        blocks.append(
            Ledger(("circuit", "by", "date", "how"), (26, 16, 24, 124), tuple((c.circuit, c.by, c.date, c.how) for c in settled))
        )
    return Section("sources", "Assumptions and sources", "", tuple(blocks))


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
