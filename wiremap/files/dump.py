"""Writing a pinout, a job or an entry as commented YAML that reads back to the same model.

The sections go by the tables that they are read by.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from wiremap.files.circuits import circuit_text
from wiremap.files.contacts import CAVITY, accepts_beyond
from wiremap.files.ends import end_text
from wiremap.files.from_job import from_job
from wiremap.files.job import SUPPLY, SURROUNDINGS
from wiremap.files.layout import TWIST, run_text
from wiremap.files.left_out import CONFIRMED, NOT_JOINED
from wiremap.files.notebook import ENTRY, mark
from wiremap.files.parts import extra_text
from wiremap.files.pinout import LINK, PINOUT, SOURCE, SWITCH
from wiremap.files.schemas import first_lines
from wiremap.files.shell import SHELL
from wiremap.files.source import Text
from wiremap.files.strict import parse
from wiremap.files.values import Table, stated
from wiremap.files.wires import wire_pairs
from wiremap.files.yamltext import (
    Pair,
    cells,
    comment,
    flow,
    key,
    quoted,
    row,
    span,
    word,
    words,
)
from wiremap.model import Cavity, Connector, Entry, Half, Job, Link, Pinout, Switch

__all__ = [
    "cavity_text",
    "comment",
    "dump_entry",
    "dump_job",
    "dump_pinout",
    "quoted",
    "row",
    "word",
]

HEAD: Table = {name: PINOUT[name] for name in ("title", "id", "revision", "withdrawn")}
LETTERS: Table = {name: PINOUT[name] for name in ("letters", "half")}
LEAFLET_KEY: Table = {"leaflet": PINOUT["leaflet"]}
BEFORE_SEEN = tuple(ENTRY)[: tuple(ENTRY).index("seen")]  # keys that are written before `seen`


class _Lines:
    """Collects the lines of one file, with the comments that are keyed to them."""

    def __init__(
        self, kind: str, schema: str | None, header: Sequence[str], comments: Mapping[str, str]
    ) -> None:
        self.comments = comments
        self.lines = [*first_lines(kind, schema), f"wiremap: {kind}/1"]
        self.lines += [f"# {comment(line)}".rstrip() for line in header]

    def pairs(self, pairs: Iterable[Pair], indent: str = "") -> None:
        """One line a key."""
        for name, value in pairs:
            self.lines.append(f"{indent}{name}: {value}")

    def add(self, line: str, commented: str = "") -> None:
        """One line, and behind it the comment of that key."""
        remark = self.comments.get(commented)
        self.lines.append(f"{line}   # {comment(remark)}" if remark else line)

    def section(self, name: str, lines: Iterable[str]) -> None:
        """A key with a line for each thing under it; nothing if there is none."""
        under = list(lines)
        if under:
            self.lines += [f"{name}:", *under]

    def text(self) -> str:
        return "\n".join(self.lines) + "\n"


def dump_pinout(
    pinout: Pinout,
    *,
    schema: str | None = None,
    header: Sequence[str] = (),
    comments: Mapping[str, str] | None = None,
) -> str:
    """A pinout as YAML; `header` lines stand at the top, `comments` behind their cavities."""
    out = _Lines("pinout", schema, header, comments or {})
    out.pairs(stated(pinout, HEAD))
    out.pairs(stated(pinout, LETTERS))
    out.section("connector", _connector(pinout.connector, pinout.half))
    source = stated(pinout.source, SOURCE)
    if source:
        out.pairs([("source", flow(source))])
    out.pairs(stated(pinout, LEAFLET_KEY))
    out.add("cavities:")
    for cavity in pinout.cavities.values():
        out.add(f"  {key(cavity.name)}: {cavity_text(cavity, pinout)}", cavity.name)
    out.section("inside", map(_link, pinout.inside))
    out.section("behind", map(_link, pinout.behind))
    if pinout.segments:
        segments = [(key(name), cells(members)) for name, members in pinout.segments.items()]
        out.pairs([("segments", flow(segments))])
    if pinout.bridges:
        out.pairs([("bridges", row(map(cells, pinout.bridges)))])
    out.section("switches", map(_switch, pinout.switches.values()))
    return out.text()


def _between(part: Link | Switch) -> Pair:
    return "between", cells((part.a, part.b))


def _link(link: Link) -> str:
    return "  - " + flow([_between(link), *stated(link, LINK)])


def _switch(switch: Switch) -> str:
    return f"  {key(switch.name)}: " + flow([_between(switch), *stated(switch, SWITCH)])


def _connector(connector: Connector, half: Half | None) -> list[str]:
    """The lines of a connector, shown as its paper showed it."""
    if half == Half.UNIT:
        connector = connector.other_half()
    return [f"  {name}: {value}" for name, value in stated(connector, SHELL)]


def cavity_text(cavity: Cavity, pinout: Pinout) -> str:
    """A cavity in its full form; what its paper says of all goes without saying."""
    implied = {
        "function": None if cavity.reading.how == "stated" else cavity.function,
        "basis": pinout.source.basis,
        "source": pinout.source.name,
        "plating": pinout.connector.plating,
    }
    pairs: list[Pair] = []
    for name, value in stated(cavity, CAVITY, implied):
        if name == "wire":
            pairs += wire_pairs(cavity.wire, pinout.letters)
        elif name == "accepts":
            own = accepts_beyond(cavity.accepts, pinout.connector.accepts)
            pairs += [("accepts", flow(own))] if own else []
        elif name != "source" or cavity.source:  # no source is written by leaving it out
            pairs.append((name, value))
    if pairs == [("function", "unused")]:
        return '"-"'
    return flow(pairs) if pairs else '"?"'


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

    `comments` are keyed by circuit id, by address (under `not_joined`) or by section name; `files`
    gives the file name of each end's pinout and `notebooks` those of the notebooks as seen from
    where the job will lie (by default: from the job's own path).
    """
    out = _Lines("job", schema, header, comments or {})
    out.pairs(stated(job, HEAD))
    supply = stated(job.supply, SUPPLY)
    if supply or job.supply.place is not None:
        out.pairs([("supply", flow(supply))])
    around = stated(job.surroundings, SURROUNDINGS)
    if around:
        out.pairs([("surroundings", flow(around))])
    _ends(out, job, files or {})
    out.section("runs", [f"  - {run_text(run)}" for run in job.runs])
    twists = [f"  {key(one.name)}: {flow(stated(one, TWIST))}" for one in job.twists.values()]
    out.section("twists", twists)
    extras = [f"  {key(extra.name)}: {extra_text(extra)}" for extra in job.extras.values()]
    out.section("extras", extras)
    out.add("circuits:" if job.circuits else "circuits: []", "circuits")
    for circuit in job.circuits:
        out.add(f"  - {circuit_text(circuit)}", circuit.id)
    if job.not_joined:
        out.add("not_joined:", "not_joined")
    for left in job.not_joined.values():
        out.add(f"  {key(left.point)}: {flow(stated(left, NOT_JOINED))}", left.point)
    out.section("confirmed", [f"  - {flow(stated(one, CONFIRMED))}" for one in job.confirmed])
    if notebooks is None:
        notebooks = [from_job(job.path, notebook.path) for notebook in job.notebooks]
    if notebooks:
        out.pairs([("readings", words(notebooks))])
    return out.text()


def _ends(out: _Lines, job: Job, files: Mapping[str, str]) -> None:
    out.add("ends:", "ends")
    for end in job.ends.values():
        named = files.get(end.name)
        if named is None:
            named = from_job(job.path, end.pinout.path)
        out.add(f"  {key(end.name)}: {end_text(end, named)}", end.name)


def dump_entry(entry: Entry) -> str:
    """One notebook entry as the text behind `- `."""
    pairs = stated(entry, ENTRY)
    if entry.ohms is not None and entry.seen is None:
        at = sum(name in BEFORE_SEEN for name, _ in pairs)
        pairs.insert(at, ("seen", span(entry.ohms)))
    return flow(pairs)


def mark_of(entry: Entry) -> str:
    """The mark that an entry has, or will have once it is saved."""
    if entry.own_mark:
        return entry.own_mark
    document = parse(Text("entry", dump_entry(entry)))
    assert document.root is not None
    return mark(document.root)
