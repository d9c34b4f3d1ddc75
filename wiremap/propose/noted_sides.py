"""What notebooks know of the two sides, laid over what their papers say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from wiremap.evidence import alone, answers, measured_volts, settle
from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.confirmed import BETWEEN_POINTS
from wiremap.evidence.explained import explains
from wiremap.evidence.partners import Points, denied
from wiremap.files import notebook_beside
from wiremap.model import Address, End, EndKind, Entry, Job, Notebook, Pinout, Side, frozen
from wiremap.propose.sides import NamedPinouts

MEANS = ".means"  # an answer about `old.3.means` says what the words of old.3 mean


@dataclass(frozen=True, slots=True, kw_only=True)
class NotedSides:
    """Both sides with the answers laid over their papers.

    `volts` holds what was measured where a paper knows of none, `explained` the contacts of which a
    named person has said that their words mean no danger, `denied` each set of contacts of which
    one has said that they are not one signal, with a sentence that tells who, when and how.
    """

    old: NamedPinouts
    new: NamedPinouts
    volts: Mapping[Address, float]
    explained: frozenset[Address]
    denied: Mapping[Points, str]


def noted_sides(old: NamedPinouts, new: NamedPinouts, notebooks: Sequence[Notebook]) -> NotedSides:
    """Lay the answers and readings of notebooks over two sides.

    Entries speak of `end.cavity`; bare cavities only in the notebook that lies beside a pinout.
    """
    if not notebooks:
        return NotedSides(old=old, new=new, volts={}, explained=frozenset(), denied={})
    ends = dict((*_as_ends(old, Side.MACHINE), *_as_ends(new, Side.UNIT)))
    entries = tuple(_addressed(notebook, ends) for notebook in notebooks)
    job = Job(title="", path="", ends=frozen(ends), circuits=(), notebooks=entries)
    settled = settle(job)
    volts = {}
    for address, measured in measured_volts(settled).items():
        if measured.is_live and not measured.expected:
            volts[address] = measured.volts
    return NotedSides(
        old=_settled_pinouts(old, settled),
        new=_settled_pinouts(new, settled),
        volts=volts,
        explained=frozenset(_explained(settled)),
        denied={points: _denial_words(points, entry) for points, entry in denied(settled).items()},
    )


def _denial_words(points: Points, entry: Entry) -> str:
    told = f"{entry.by}, {entry.date}: {BETWEEN_POINTS.join(sorted(points))} are not one signal"
    return f"{told} ({entry.how})" if entry.how else told


def _explained(job: Job) -> Iterator[Address]:
    for about, entry in answers(job).items():
        if not about.endswith(MEANS):
            continue
        address = about.removesuffix(MEANS)
        known = cavity_of(job, address)
        if known is not None and explains(entry, known.cavity.signal):
            yield Address.read(address)


def _as_ends(side: NamedPinouts, where: Side) -> Iterator[tuple[str, End]]:
    for name, pinout in side:
        yield name, End(name=name, pinout=pinout, kind=EndKind.CUT_TAIL, side=where)


def _addressed(notebook: Notebook, ends: Mapping[str, End]) -> Notebook:
    for name, end in ends.items():
        if lies_beside(notebook, end.pinout):
            return alone(end.pinout, (notebook,), name).notebooks[0]
    return notebook


def notebooks_of_job(
    notebooks: Sequence[Notebook], old: NamedPinouts, new: NamedPinouts
) -> tuple[Notebook, ...]:
    """The notebooks that a job can name: those that speak of its ends, not of a pinout alone."""
    pinouts = [pinout for _, pinout in (*old, *new)]
    return tuple(
        notebook
        for notebook in notebooks
        if not any(lies_beside(notebook, pinout) for pinout in pinouts)
    )


def lies_beside(notebook: Notebook, pinout: Pinout) -> bool:
    """Whether a notebook is that of a pinout by itself, so that its addresses are bare cavities."""
    return Path(notebook.path) == notebook_beside(Path(pinout.path))


def _settled_pinouts(side: NamedPinouts, job: Job) -> NamedPinouts:
    return [(name, job.ends[name].pinout) for name, _ in side]
