"""The annex, what the job rests on: fuses against wires, the in-line unit, findings, sources."""

from __future__ import annotations

from wiremap.content.given import Given
from wiremap.content.pieces import Block, Curve, FusePlot, HandStrip, Ledger, Section, Text
from wiremap.content.words import number, signal_words
from wiremap.sizing.feed_parts import Judged


def fuses_part(given: Given) -> Section:
    """Fuse against wire, one drawing for each source."""
    blocks: list[Block] = []
    for feed in given.sizes.feeds if given.sizes else ():
        name = (
            feed.fed.fuse if feed.fed and feed.fed.fuse else ""
        ) or f"fuse before {feed.address}"
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
        blocks.append(
            _plot(
                f"{fuse.name}, {number(fuse.amps)} A",
                fuse.amps,
                fuse.judged,
                fuse.load_amps,
                sentence + ".",
            )
        )
        if fuse.upstream_sentence:
            blocks.append(Text(f"Without it: {fuse.upstream_sentence}."))
    if not blocks:
        blocks.append(
            Text(
                "No feed and no fuse of this job could be sized: sizes, lengths or the source are not stated."
            )
        )
    return Section(
        "fuses",
        "Fuse against wire",
        "",
        tuple(blocks),
        "Opening limits as quoted of ISO 8820-3; wire by k2A2 up to 5 s and by its heat balance beyond.",
    )


def _plot(
    title: str, amps: float, judged: tuple[Judged, ...], load: float | None, sentence: str
) -> FusePlot:
    from wiremap.sizing.curves import fuse_curves, wire_curve

    thin = min(judged, key=lambda j: j.ampacity_amps)
    least, most = fuse_curves(amps, thin.case.family)
    curves = (
        Curve(f"{number(amps)} A opens no sooner", least, dashed=True),
        Curve(f"{number(amps)} A opens no later", most),
        Curve(
            f"{thin.subject}: a {thin.case.wire.name} lead stands this much",
            wire_curve(thin.case, amps),
            heavy=True,
        ),
    )
    marks = [("load", load)] if load else []
    if thin.far_end_amps:
        marks.append(("far-end short", thin.far_end_amps))
    return FusePlot(title, curves, tuple((w, float(a)) for w, a in marks), sentence)


def feed_part(given: Given) -> Section | None:
    """Ground and feed of an in-line unit, drawn for the hand."""
    strips: list[Block] = []
    for end in given.harness.job.ends.values():
        if end.side != "between" or len(end.pinout.segments) < 2:
            continue
        strips.append(_hand(given, end.name))
    if not strips:
        strips.append(Text("No in-line unit with two ports takes part in this job."))
    return Section(
        "feed",
        "The cut pair: in-line unit, its ground and its feed",
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
                if a != address
                and (p := harness.points.get(a)) is not None
                and p.cavity is not None
            ]
            legs.append(
                (
                    others[0] if others else "not joined",
                    f"{cavity} {signal_words(harness.points[address])}"[:24],
                )
            )
        sides.append((*legs, *[("", "")] * (2 - len(legs))))
    if _machine_first(given, sides[1]) and not _machine_first(given, sides[0]):
        sides.reverse()
    ground = _power_leg(given, name, ("power-ground", "frame-ground"))
    feed = _power_leg(
        given,
        name,
        (
            "permanent-supply",
            "switched-supply",
            "accessory-supply",
            "auxiliary-supply",
            "relay-switched-supply",
        ),
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
        (
            p
            for p in harness.points.values()
            if p.owner == name and p.function in functions and harness.circuits_at(p.address)
        ),
        None,
    )
    if start is None:
        return ""
    way: list[str] = [start.address]
    seen: set[str] = {start.address}
    here = start
    while True:
        circuit = next(iter(harness.circuits_at(here.address)), None)
        other = (
            next((a for a in harness.circuit(circuit).join if a not in seen), None)
            if circuit
            else None
        )
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
        (
            Ledger(
                ("weight", "rule", "subject", "what, cure, signature", "place"),
                (13, 26, 28, 96, 27),
                tuple(rows),
            ),
        )
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
    blocks: list[Block] = [
        Ledger(("end", "paper", "source", "letters", "hash"), (18, 56, 58, 22, 26), papers)
    ]
    sizes = given.sizes
    if sizes is not None:
        blocks += [Text("Assumptions", strong=True), *(Text(f"– {a}.") for a in sizes.assumptions)]
        if sizes.missing:
            blocks += [
                Text("Not sized, for want of", strong=True),
                *(Text(f"– {m}.") for m in sizes.missing),
            ]
        values: dict[tuple[str, str, str, str], dict[str, None]] = {}
        sized = (
            [(n, f.sized) for n, f in sizes.fuses.items()]
            + [(f.address, f.sized) for f in sizes.feeds]
            + [(n, j.sized) for n, j in sizes.joints.items()]
        )
        for name, answer in sized:
            for v in answer.results if answer else ():
                shown = (
                    f"{number(v.value)} {v.unit}".strip()
                    if isinstance(v.value, float)
                    else f"{v.value} {v.unit}".strip()
                )
                key = (v.name.replace("_", " "), shown, v.formula, f"{v.source} ({v.status})")
                values.setdefault(key, {})[name] = None
        if values:
            blocks.append(Text("Figures, each with its formula, source and standing", strong=True))
            rows = tuple(
                (f"{what}: {', '.join(names)}", *rest) for (what, *rest), names in values.items()
            )
            blocks.append(
                Ledger(
                    ("figure, of what", "value", "formula", "source and standing"),
                    (48, 28, 50, 64),
                    rows,
                )
            )
    settled = given.harness.job.confirmed
    if settled:
        blocks.append(Text("Settled by name", strong=True))
        blocks.append(
            Ledger(
                ("circuit", "by", "date", "how"),
                (26, 16, 24, 124),
                tuple((c.circuit, c.by, c.date, c.how) for c in settled),
            )
        )
    return Section("sources", "Assumptions and sources", "", tuple(blocks))
