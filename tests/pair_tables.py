"""Published pairs of connectors as sides to propose from: as stated, with names only, knocked out, or worded otherwise."""

from __future__ import annotations

import random
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from wiremap.base import Place
from wiremap.graph import Harness, fingerprint
from wiremap.model import (
    Cavity,
    Circuit,
    Confirmed,
    End,
    Entry,
    EntryKind,
    Job,
    Notebook,
    NotJoined,
    Pinout,
    Treat,
    frozen,
)
from wiremap.model.quantities import Span
from wiremap.naming import read_signal
from wiremap.propose import Proposal, propose
from wiremap.propose.result import Side
from wiremap.rules import View
from wiremap.rules.unjudged import unjudged_protection
from wiremap.trade.functions import normalise
from wiremap.trade.names import Names, load_names

HERE = Path(__file__).parent / "pairs"
PUBLISHED = ("trailer_12n_13", "serial_9_25", "diagnostic_16_can_9", "trailer_24n_24s_15")
Edge = tuple[str, str]
Rows = Mapping[str, Mapping[str, Mapping[str, Any]]]  # end -> cavity -> what the table says


@dataclass(frozen=True)
class Pair:
    """Two generations of one interface, and what is true between them."""

    name: str
    title: str
    source: Mapping[str, str]
    standing: Mapping[str, str]
    a: Rows
    b: Rows
    mapping: frozenset[Edge]
    optional: frozenset[Edge]
    forbidden: frozenset[Edge]
    keep_apart: tuple[frozenset[str], ...]
    aliases: tuple[tuple[Edge, tuple[str, ...], tuple[str, ...]], ...]
    logic: tuple[frozenset[str], ...]
    splices: tuple[
        frozenset[str], ...
    ] = ()  # one source to several loads: there a splice, back logic

    @property
    def spliced_edges(self) -> frozenset[Edge]:
        """The edges of the splices, old to new."""
        old = set(map(str, self.a))
        return frozenset(
            (x, y)
            for group in self.splices
            for x in group
            if x.partition(".")[0] in old
            for y in group
            if y.partition(".")[0] not in old
        )

    def turned(self) -> Pair:
        """The pair the other way round."""

        def back(edges: Collection[Edge]) -> frozenset[Edge]:
            return frozenset((b, a) for a, b in edges)

        return replace(
            self,
            a=self.b,
            b=self.a,
            mapping=back(self.mapping),
            optional=back(self.optional),
            forbidden=back(self.forbidden) | back(self.spliced_edges),
            logic=(*self.logic, *self.splices),
            splices=(),
            aliases=tuple(((b, a), nb, na) for (a, b), na, nb in self.aliases),
        )


def _edges(rows: Collection[list[str]] | None) -> frozenset[Edge]:
    return frozenset((str(a), str(b)) for a, b in rows or ())


@cache
def pair(name: str, *, turned: bool = False) -> Pair:
    """One pair of tests/pairs, or the same the other way round."""
    if turned:
        return pair(name).turned()
    data = yaml.safe_load((HERE / f"{name}.yaml").read_text("utf-8"))
    return Pair(
        name,
        data["title"],
        data["source"],
        data["standing"],
        data["a"],
        data["b"],
        _edges(data["mapping"]),
        _edges(data.get("optional")),
        _edges(data.get("forbidden")),
        tuple(frozenset(group) for group in data.get("keep_apart", ())),
        tuple(
            (tuple(x["edge"]), tuple(x["a_names"]), tuple(x["b_names"]))
            for x in data.get("aliases", ())
        ),
        tuple(frozenset(group) for group in data.get("needs_logic", ())),
        tuple(frozenset(group) for group in data.get("splices", ())),
    )


def _cavity(
    name: str, row: Mapping[str, Any], stated: bool, signal: str | None, names: Names | None
) -> Cavity:
    text = row.get("signal", "") if signal is None else signal
    empty = row.get("function") in ("unused", "reserved", "discretionary")
    function = normalise(row["function"]) if "function" in row and (stated or empty) else None
    mark = {k: str(v) for k, v in row.get("mark", {}).items()} if stated and signal is None else {}
    volts = Span(float(row["volts"]), float(row["volts"])) if "volts" in row and stated else None
    reading = read_signal(
        text,
        stated=function,
        mark=mark,
        volts=(volts.low, volts.high) if volts else None,
        names=names,
    )
    return Cavity(
        name=name,
        reading=reading,
        signal=text,
        flow=row.get("flow") if stated else None,
        volts=volts,
        mark=frozen(mark),
        serves=tuple(map(str, row.get("serves", ()))) if stated else (),
        kbit_s=row.get("kbit_s"),
        pair=row.get("pair") if stated else None,
        chain=row.get("chain") if stated else None,
    )


def side(
    rows: Rows,
    *,
    stated: bool = True,
    without: Collection[str] = (),
    signals: Mapping[str, str] | None = None,
    names: Names | None = None,
) -> Side:
    """One side's ends, less the contacts in `without`; `signals` words some contacts otherwise.

    Unless `stated`, a contact has its wording and nothing else: no function, mark, flow, volts or pair.
    """
    said = signals or {}
    ends = []
    for end, cavities in rows.items():
        made = {
            str(n): _cavity(str(n), row, stated, said.get(f"{end}.{n}"), names)
            for n, row in cavities.items()
            if f"{end}.{n}" not in without
        }
        ends.append((str(end), Pinout(title=str(end), path=f"{end}.yaml", cavities=frozen(made))))
    return tuple(ends)


def proposed(p: Pair, *, stated: bool = True, without: Collection[str] = ()) -> Proposal:
    """What is proposed for a pair."""
    return propose(
        side(p.a, stated=stated, without=without), side(p.b, stated=stated, without=without)
    )


def edges(found: Proposal, p: Pair, grade: str | None = None) -> set[Edge]:
    """Every old-to-new edge that is offered, of one grade if one is named."""
    old = set(map(str, p.a))
    return {
        (x, y)
        for c in found.circuits
        if grade is None or c.grade == grade
        for x in c.join
        if x.partition(".")[0] in old
        for y in c.join
        if y.partition(".")[0] not in old
    }


def wrong_certain(found: Proposal, p: Pair) -> list[str]:
    """Every edge graded `certain` that is not a true one."""
    return [f"{x} - {y}" for x, y in sorted(edges(found, p, "certain") - p.mapping)]


def _measured(cavity: Cavity, joined: bool) -> Cavity:
    """A contact measured; a bus at 500 kbit/s; what finds no partner is said to be dispensable."""
    places = cavity.places if joined else {**cavity.places, "need": Place("pair")}
    rate = 500.0 if cavity.function in ("can-high", "can-low") else cavity.kbit_s
    return replace(cavity, basis="measured", kbit_s=rate, places=frozen(places))


def finished(p: Pair, old: Side, new: Side) -> Job:
    """The job of the true mapping, every contact measured, everything else left out, every circuit settled by a name."""
    groups: list[set[str]] = []
    for a, b in sorted(p.mapping):
        touched = [g for g in groups if g & {a, b}]
        groups = [g for g in groups if g not in touched] + [set().union({a, b}, *touched)]
    joined = set().union(*groups)
    circuits = tuple(Circuit(id=min(g), join=tuple(sorted(g))) for g in groups)
    ends, left = {}, {}
    for sides, kind, where in ((old, "cut-tail", "machine"), (new, "pigtail", "unit")):
        for name, pinout in sides:
            measured = frozen(
                {n: _measured(c, f"{name}.{n}" in joined) for n, c in pinout.cavities.items()}
            )
            ends[name] = End(
                name=name, pinout=replace(pinout, cavities=measured), kind=kind, side=where
            )
            left |= {
                f"{name}.{n}": NotJoined(
                    point=f"{name}.{n}", why="no partner in the other generation", treat=Treat.CAP
                )
                for n in measured
                if f"{name}.{n}" not in joined
            }
    settled = tuple(
        Confirmed(
            circuit=c.id,
            by="AB",
            date="2026-01-31",
            how="read in both tables",
            of=fingerprint(c.join),
        )
        for c in circuits
    )
    job = Job(
        title=p.title,
        path="job.yaml",
        ends=frozen(ends),
        circuits=circuits,
        not_joined=frozen(left),
        confirmed=settled,
    )
    return replace(job, notebooks=(_signed(job),))


def _signed(job: Job) -> Notebook:
    """Published tables tell no sizes and no fuses: a name stands to what they leave unjudged."""
    unjudged = unjudged_protection(View(Harness(job)))
    signature = Entry(
        kind=EntryKind.ACCEPT,
        rule="protection-unjudged",
        subject=tuple(dict.fromkeys(name for each in unjudged for name in each.subject)),
        by="AB",
        date="2026-01-31",
        why="fuses and wires were looked at on the machine",
    )
    return Notebook(path="notebook.yaml", entries=(signature,))


def faults(found: Proposal, p: Pair) -> list[str]:
    """What a proposal for this pair does that must never be done."""
    told = [f"forbidden: {x} - {y}" for x, y in sorted(edges(found, p) & p.forbidden)]
    told += [
        f"certain, and no true edge: {x} - {y}"
        for x, y in sorted(edges(found, p, "certain") - p.mapping)
    ]
    apart = [g for g in p.keep_apart if not any(g <= splice for splice in p.splices)]
    for c in found.circuits:
        told += [
            f"joined that must stay apart: {sorted(g & set(c.join))}"
            for g in apart
            if len(g & set(c.join)) > 1
        ]
    return told


def worded(p: Pair, seed: int, *, stated: bool) -> tuple[Proposal, set[Edge]]:
    """The contacts of all aliased edges under other names, half of the synonyms unknown; and the edges that were worded."""
    rng = random.Random(seed)
    synonyms = sorted(load_names().synonyms)
    names = load_names(frozenset(rng.sample(synonyms, len(synonyms) // 2)))
    said: dict[str, str] = {}
    for (a, b), one, two in p.aliases:
        said.setdefault(a, rng.choice(one))
        said.setdefault(b, rng.choice(two))
    found = propose(
        side(p.a, stated=stated, signals=said, names=names),
        side(p.b, stated=stated, signals=said, names=names),
    )
    return found, {edge for edge, _, _ in p.aliases} & set(p.mapping)
