"""Third and fourth page: ring-out cards, first power, signatures."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from wiremap.base import Finding
from wiremap.sheet.given import Given
from wiremap.sheet.pieces import Block, Card, Cards, Fill, Section, Step, Text, Warning
from wiremap.sheet.words import number

if TYPE_CHECKING:
    from wiremap.ringout.power import PowerStep

TITLES = {
    "sentinel": "First of all: is a face misread?",
    "harm": "Harm first: through, then apart from what it must never touch",
    "through": "Every other circuit through",
    "apart": "Neighbours apart",
    "band": "Values",
}


def ringout_section(given: Given) -> Section:
    """The cards in the plan's order."""
    plan = given.plan
    if plan is None or not plan.probes:
        return Section(
            "ringout", "Ring-out", "", (Text("There is nothing to ring out: no net of two points is within reach of a probe."),)
        )
    refused = {a for c in given.harness.job.circuits if given.refused_points(c) for a in c.join}
    last_harm = max((i for i, p in enumerate(plan.probes) if p.kind == "apart" and p.why), default=-1)
    groups: list[tuple[str, list[Card]]] = []
    for i, probe in enumerate(plan.probes):
        if refused.intersection(probe.red + probe.black):
            continue
        key = probe.kind if probe.kind in ("sentinel", "band") else "harm" if i <= last_harm else probe.kind
        if not groups or groups[-1][0] != key:
            groups.append((key, []))
        groups[-1][1].append(_card(probe.n, probe.red, probe.black, probe.expect, probe.low, probe.high, probe.fuse))
    blocks: list[Block] = [Cards(TITLES.get(key, key), tuple(cards)) for key, cards in groups]
    lead = (
        f"Battery off, units unplugged. {len(plan.probes)} readings, red probe named first. "
        "Touch the probes together before and after: "
        "silence counts only while they beep. Write down every figure in ohms."
    )
    return Section(
        "ringout", "Ring-out", "cavity numbers as moulded; probe the joints before their sleeves are shrunk", tuple(blocks), lead
    )


def _card(
    n: int, red: tuple[str, ...], black: tuple[str, ...], expect: str, low: float | None, high: float | None, fuse: str
) -> Card:
    want = {"beep": "beep", "silent": "silent", "diode": "diode"}.get(expect) or band(low, high)
    note = f"put {fuse} in for this one, then out again" if fuse else ""
    return Card(str(n), " + ".join(red), " + ".join(black), want, expect == "ohms", note)


def band(low: float | None, high: float | None) -> str:
    """A band of ohms in few characters."""
    if low is None or math.isinf(low):
        return "open"
    if high is None or math.isinf(high):
        return f"over {_ohms(low)}"
    if low <= 0:
        return f"under {_ohms(high)}"
    return f"{_ohms(low)} to {_ohms(high)}"


def _ohms(value: float) -> str:
    return f"{number(round(value / 1000, 1))} kΩ" if value >= 1000 else f"{value:.0f} Ω" if value >= 10 else f"{value:.1f} Ω"


def power_section(given: Given) -> Section:
    """First power, then the signatures."""
    blocks: list[Block] = [Warning("Block it", ("Everything that can move, turn or spray is locked out; nobody is near it.",))]
    if given.power:
        blocks += list(_powered(given.power))
    else:
        blocks += list(_plain_power(given))
    return Section(
        "power", "First power", "volts at the new face, unmated, black probe on its ground", tuple(blocks), fresh=False
    )


def _powered(steps: tuple[PowerStep, ...]) -> Iterator[Block]:
    """The worked-out steps: deeds as rows, volts as cards with both key positions on one."""
    volts: dict[str, tuple[str, list[PowerStep]]] = {}
    for i, step in enumerate(steps):
        if step.stage == "volts" and step.red is not None:
            face = step.red.split(".")[0]
            volts.setdefault(face, (step.black or "", []))[1].append(step)
            if i + 1 == len(steps) or steps[i + 1].stage != "volts":
                yield from (_volt_cards(face, black, found) for face, (black, found) in volts.items())
                volts = {}
            continue
        yield Step(str(step.n), f"{step.do[:1].upper()}{step.do[1:]}{_limits(step)}.", (step.blank,) if step.blank else ())


def _limits(step: PowerStep) -> str:
    """What a reading outside the unmated faces shall show."""
    if step.high is None or not step.blank:
        return ""
    probes = f", {step.red} to {step.black}" if step.red and step.red not in step.do else ""
    more = " more than before" if step.stage == "sleep" else ""
    if step.blank == "A" or (step.low or 0) <= 0:
        return f"{probes}: at most {number(step.high)} {step.blank}{more}"
    return f"{probes}: {_volts(step)}"


def _volt_cards(face: str, black: str, steps: list[PowerStep]) -> Cards:
    by_point: dict[str, list[PowerStep]] = {}
    for step in steps:
        by_point.setdefault(step.red or "", []).append(step)
    cards = []
    for point, found in by_point.items():
        bands = list(dict.fromkeys(_volts(s) for s in found))
        want = (
            bands[0]
            if len(bands) == 1
            else "0, then " + bands[1]
            if found[0].high == 0.1 and len(bands) == 2
            else ", ".join(f"{s.key} {_volts(s)}" for s in found)
        )
        numbers = "/".join(str(s.n) for s in found)
        cards.append(Card(numbers, point, "", want, any((s.high or 0) > 1 for s in found)))
    return Cards(f"Unmated face of {face}, black probe on {black}, key off, then on", tuple(cards))


def _volts(step: PowerStep) -> str:
    if step.low is None or step.high is None:
        return "volts"
    if step.high <= 0.5:
        return f"under {number(step.high)} V"
    return f"{number(step.low)} to {number(step.high)} V"


def _plain_power(given: Given) -> Iterator[Step]:
    """The order that holds for every job, where no reading list was worked out."""
    yield Step("1", "Ring-out done and written down, connector unmated, all fuses of this job out.")
    yield Step("2", "A small lamp or a limited feed in place of the upstream fuse. Battery on, key off: the lamp must stay dark.")
    yield Step("3", "Volts on every supply contact of the unmated face; every other contact under 0.1 V.", ("volts",))
    yield Step("4", "Fuses in. A test lamp between each supply and its ground burns fully: a beep alone proves no crimp.")
    yield Step("5", "Key off, fuses out, mate, fuses in, key on.")
    yield Step("6", "Sleep current after the bus has gone quiet, against the figure before the work.", ("before", "after"))


def sign_section(given: Given) -> Section:
    """What was fitted, what is not proven, which cautions were read, and who signs."""
    blocks: list[Block] = []
    blocks += list(_fuses(given))
    blocks += list(_cautions(given))
    blocks += list(_unproven(given))
    blocks.append(Fill(("what was kept: cut-off connector, old fuse, papers", "deviations from this sheet")))
    blocks.append(Fill(("built by, date", "second pair of eyes, date", "first power by, date")))
    return Section("sign", "Sign-off", "names and dates in ink", tuple(blocks))


def _cautions(given: Given) -> Iterator[Block]:
    """Every caution's subject and sentence; those of one rule that say the same of several subjects share a row."""
    if not given.cautions:
        return
    yield Text("Cautions, each to be read", strong=True)
    groups: dict[str, list[Finding]] = {}
    for finding in given.cautions:
        groups.setdefault(finding.rule, []).append(finding)
    n = 1
    for rule, found in groups.items():
        number_of = f"C{n}" if len(found) == 1 else f"C{n} to C{n + len(found) - 1}"
        n += len(found)
        if len(found) == 1:
            text = found[0].message.rstrip(".")
            subject = ", ".join(found[0].subject)
            text = f"{subject}: {text}" if subject and not text.startswith(found[0].subject[0]) else text
        else:
            subjects = [" and ".join(f.subject[:3]) for f in found]
            text = f"{rule.replace('-', ' ')}: {'; '.join(subjects)}"
        signed = sorted({f"{f.accepted.by} {f.accepted.date}" for f in found if f.accepted})
        open_ones = sum(1 for f in found if f.accepted is None)
        text += f" (accepted: {', '.join(signed)})" if signed else ""
        text += "" if not open_ones else " (not accepted)" if open_ones == len(found) else f" ({open_ones} not accepted)"
        yield Step(number_of, text)
    yield Fill(("cautions read, name and date", "and by the second pair of eyes"))


def _fuses(given: Given) -> Iterator[Block]:
    for end in given.harness.job.ends.values():
        for name, fed in end.fed.items():
            if fed.unfused or not given.harness.circuits_at(f"{end.name}.{name}"):
                continue
            amps = f"{number(fed.fuse_amps)} A" if fed.fuse_amps is not None else "rating not stated"
            found = (
                f" ({number(fed.found_amps)} A was found; relabel the box)" if fed.found_amps not in (None, fed.fuse_amps) else ""
            )
            yield Step("fuse", f"{fed.fuse or 'upstream fuse'} for {end.name}.{name}: {amps}{found}.", ("fitted", "where"))
    for extra in given.harness.job.extras.values():
        if extra.kind == "fuse":
            size = given.sizes.fuses.get(extra.name) if given.sizes else None
            rating = extra.amps if extra.amps is not None else size.amps if size else None
            yield Step(
                "fuse",
                f"{extra.name}: {number(rating) + ' A' if rating is not None else 'rating not found'} {extra.detail}.",
                ("fitted", "where"),
            )


def _unproven(given: Given) -> Iterator[Block]:
    if given.plan is None:
        return
    kinds: dict[str, list[str]] = {}
    for gap in given.plan.not_proven:
        if gap.kind in ("hidden", "untested-pairs"):
            continue
        subjects = [" and ".join(gap.subject)] if gap.subject else [" and ".join(pair) for pair in gap.pairs[:6]]
        kinds.setdefault(gap.why, []).extend(subjects or [""])
    told = [f"{', '.join(t for t in subjects if t)}: {why}" if any(subjects) else why for why, subjects in kinds.items()]
    pairs = sum(len(g.pairs) for g in given.plan.not_proven if g.kind == "untested-pairs")
    if pairs:
        told.append(f"{pairs} pairs of nets that lie apart were not probed against each other")
    if told:
        yield Text("Not proven by the ring-out", strong=True)
        yield from (Text(f"– {t}.") for t in told)
