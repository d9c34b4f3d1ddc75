"""What a cavity may state, key by key: the tables by which contacts, claims and leaflets are read
and written.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields
from functools import lru_cache
from typing import Any

from wiremap.files import values, yamltext
from wiremap.files.faults import Faults, listed, told
from wiremap.files.ranges import MAX_CAVITIES, numbers
from wiremap.files.strict import Map, Node, Scalar
from wiremap.files.values import FLAG, NAME, TEXT, TEXTS, FileValue, Table, read_map, stated
from wiremap.files.yamltext import Pair
from wiremap.model import (
    Accepts,
    AsFound,
    Basis,
    Claim,
    Clamp,
    Flow,
    Leaflet,
    Need,
    Plating,
    Span,
    frozen,
)
from wiremap.naming import Meaning, read_signal, worded
from wiremap.trade import functions
from wiremap.trade.functions import FUNCTIONS
from wiremap.trade.marks import SCHEMES
from wiremap.trade.told_figures import told_figures

LONGEST_FUNCTION = 60
SWITCHING = frozenset({"pulse-input", "pulse-output"})


@lru_cache(maxsize=65536)
def _meaning(
    signal: str,
    stated: str | None,
    mark: tuple[tuple[str, str], ...],
    volts: tuple[float, float] | None,
) -> Meaning:
    return read_signal(signal, stated=stated, mark=dict(mark) or None, volts=volts)


def meaning_of(
    signal: str, stated: str | None, mark: Mapping[str, str], volts: Span | None
) -> Meaning:
    """What one contact's wording means; worked out once for each wording."""
    between = None if volts is None else (volts.low, volts.high)
    return _meaning(signal, stated, tuple(sorted(mark.items())), between)


def figures_told(wording: str, function: str) -> Iterator[tuple[str, Any]]:
    """The figures that a wording tells of a contact, by key; what a key states goes before.

    Volts count for a supply and for a signal that switches, from nothing to its height.
    """
    told, group = told_figures(wording), FUNCTIONS[function].electrical
    if told.kbit_s is not None and group == "bus":
        yield "kbit_s", told.kbit_s
    if told.amps is not None and group in ("supply", "drive", "lamp"):
        yield "amps", told.amps
    if told.volts is not None and group in ("supply", "reference"):
        yield "volts", Span(*told.volts)
    elif told.volts is not None and (told.switches or function in SWITCHING):
        yield "volts", Span(0.0, told.volts[1])


def function(faults: Faults, node: Node, key: str) -> str | None:
    """The slug of a function name or alias; a vague alias as it is written."""
    written = node.text if isinstance(node, Scalar) else ""
    slug = functions.normalise(written) if len(written) <= LONGEST_FUNCTION else None
    if slug is not None:
        return written if functions.is_vague(written) else slug
    near = () if faults.full else functions.nearest(written)
    message = f"`{key}`: {told(node)} is no function here"
    if near:
        faults.add("wrong-value", f"{message}; did you mean {listed(near[:1])}?", node)
        return None
    fix = "Use a function of the closed list, or leave it out and give the name in `signal`."
    faults.add("wrong-value", message, node, fix)
    return None


def _mark(faults: Faults, node: Node, key: str) -> Mapping[str, str] | None:
    return frozen(read_map(faults, node, dict.fromkeys(SCHEMES, NAME), f"`{key}`"))


def _serves(faults: Faults, node: Node, key: str) -> tuple[str, ...] | None:
    found = values.names(faults, node, key)
    if found is None:
        return None
    served: list[str] = []
    for word in found:
        served += numbers(word) or (word,)
        if len(served) > MAX_CAVITIES:
            message = f"`{key}` names more than {MAX_CAVITIES:,} cavities"
            faults.add("over-limit", message, node, "Check the ranges.")
            return None
    return tuple(served)


ACCEPTS: Table = {
    "csa_mm2": values.span(0, 300, "mm2", above=True),
    "insulation_mm": values.span(0, 60, "mm", above=True),
    "amps": values.number(0, 1000, "A", above=True),
}
LEAFLET: Table = {
    "fuse_amps": values.number(0, 1000, "A", above=True),
    "min_csa_mm2": values.number(0, 300, "mm2", above=True),
    "max_length_mm": values.number(0, 100_000, "mm", above=True),
}


def _read_accepts(faults: Faults, node: Node, key: str) -> Accepts:
    return Accepts(**read_map(faults, node, ACCEPTS, f"`{key}`"))


def accepted(own: Accepts, base: Accepts) -> Accepts:
    """A cavity's own entries laid over its connector's."""
    merged = {}
    for one in fields(Accepts):
        mine = getattr(own, one.name)
        merged[one.name] = getattr(base, one.name) if mine is None else mine
    return Accepts(**merged)


def accepts_beyond(own: Accepts, base: Accepts) -> list[Pair]:
    """What a cavity accepts otherwise than its connector, as pairs."""
    return stated(own, ACCEPTS, {key: getattr(base, key) for key in ACCEPTS})


BASIS = values.one_of(Basis)
OHMS = values.span(0, 1e9, "ohm", may_be_open=True)
LIMIT_C = values.number(40, 250, "C")
PLATING = values.one_of(Plating)
ACCEPTED = FileValue(_read_accepts, lambda value: yamltext.flow(stated(value, ACCEPTS)))
LEAFLETS = values.record(LEAFLET, Leaflet)
FUNCTION = FileValue(function)
MARK = FileValue(_mark, yamltext.texts)
CLAIM: Table = {
    "signal": NAME,
    "function": FUNCTION,
    "mark": MARK,
    "basis": BASIS,
    "source": NAME,
}


def _claims(faults: Faults, node: Node, key: str) -> tuple[Claim, ...]:
    several = [node] if isinstance(node, Map) else values.items(faults, node, f"`{key}`")
    claims = []
    for item in several:
        got = read_map(faults, item, CLAIM, "a further claim")
        if got.keys() & {"signal", "function", "mark"}:
            claims.append(_claim(faults, item, got))
            continue
        faults.add(
            "missing-key",
            "a further claim says neither `function`, `signal` nor `mark`",
            item,
            "Write `also: [{function: ..., basis: ..., source: ...}]`.",
        )
    return tuple(claims)


def _claim(faults: Faults, node: Node, got: Mapping[str, Any]) -> Claim:
    signal, stated = worded(got.get("signal", ""), got.get("function"))
    return Claim(
        reading=meaning_of(signal, stated, got.get("mark", {}), None),
        basis=got.get("basis", Basis.TOLD),
        source=got.get("source", ""),
        place=faults.place(node),
        signal=signal,
    )


def _claims_text(claims: tuple[Claim, ...]) -> str:
    return yamltext.row(map(_claim_text, claims))


def _claim_text(claim: Claim) -> str:
    pairs: list[Pair] = []
    if claim.signal:
        pairs.append(("signal", yamltext.word(claim.signal)))
    if claim.reading.how != "name" or not claim.signal:
        pairs.append(("function", claim.reading.function))
    pairs.append(("basis", str(claim.basis)))
    if claim.source:
        pairs.append(("source", yamltext.word(claim.source)))
    return yamltext.flow(pairs)


_AMPS = values.number(0, 1000, "A")
CAVITY: Table = {
    "signal": NAME,
    "function": FUNCTION,
    "mark": MARK,
    "pair": NAME,
    "chain": NAME,
    "kbit_s": values.number(0, 1e7, "kbit/s", above=True),
    "volts": values.span(-2000, 2000, "V"),
    "volts_ac": values.number(0, 2000, "V"),
    "amps": _AMPS,
    "peak_amps": values.number(0, 5000, "A"),
    "asleep_amps": _AMPS,
    "flow": values.one_of(Flow),
    "need": values.one_of(Need),
    "limit_C": LIMIT_C,
    "clamp": values.one_of(Clamp),
    "pwm_hz": values.number(0, 1e6, "Hz", above=True),
    "detects_open": FLAG,
    "plating": PLATING,
    "wire": values.LATER,  # replaced by the reader that knows the paper's letters
    "tinned": FLAG,
    "serves": FileValue(_serves, yamltext.cells),
    "codes": TEXTS,
    "ohms": OHMS,
    "accepts": ACCEPTED,
    "leaflet": LEAFLETS,
    "as_found": values.one_of(AsFound),
    "caution": TEXT,
    "basis": BASIS,
    "source": NAME,
    "also": FileValue(_claims, _claims_text),
}
