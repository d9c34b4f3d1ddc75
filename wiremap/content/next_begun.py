"""What a person does next with a job just begun or packed, or when two things were compared."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from wiremap.base import only
from wiremap.check import PaperVerdict
from wiremap.content.next_papers import shown_path
from wiremap.diagnose.adapter import Adapter
from wiremap.share.ways import Ways


def after_found(adapter: Adapter, kept: str | None, *, call: str, readings: str) -> str:
    """What comes next when an adapter without a job has been judged by this call.

    `readings` is the file of the readings, `kept` the job that its map was written to.
    """
    if kept:
        job, lines = shown_path(kept), shown_path(readings)
        save = f"wiremap ringout {job} --readings {lines} --save --by NAME"
        return f"keep the readings with its map: {save}"
    if adapter.next:
        return f"read these too, add the lines to the readings, judge it again: {call}"
    return f"keep its map as a job: {call} --as-built adapter.yaml"


def after_ways(ways: Ways) -> str:
    """What comes next when two ways to fit one unit have been compared."""
    for way in (ways.splice, ways.adapter):
        if way.verdict != PaperVerdict.IN_ORDER:
            return f"see what holds one of them: wiremap check {shown_path(way.file)}"
    return "build the one you choose; its bench pages: wiremap sheet JOB -o sheet.pdf"


def after_start(jobs: Sequence[str]) -> str:
    """What comes next when the first questions have led to a job, or to one for each way."""
    job = only(jobs)
    if job is not None:
        return f"see what holds it: wiremap check {shown_path(job)}"
    both = " ".join(shown_path(job) for job in jobs)
    return f"see what each way takes: wiremap compare --ways {both}"


def after_compare(newer: str, *, same: bool) -> str:
    """What comes next when two revisions have been compared."""
    if Path(newer).suffix.casefold() == ".zip":
        return f"lay the newer one out: wiremap unpack {shown_path(newer)} DIR"
    if same:
        return f"either will do; what it says: wiremap check {shown_path(newer)}"
    return f"read each difference, then check the newer one: wiremap check {shown_path(newer)}"


def after_pack(job: str, packed: str, *, held: bool) -> str:
    """What comes next when a job has been packed."""
    if held:
        return f"it was packed on hold; see what holds it: wiremap check {shown_path(job)}"
    return f"hand it on; whoever gets it: wiremap unpack {shown_path(packed)} DIR"


def after_propose(target: str | None, *, asks: bool) -> str:
    """What comes next when a map has been proposed."""
    if not target:
        return "keep it as a file: the same command with -o job.yaml"
    if asks:
        return f"answer what is marked ask: wiremap next {shown_path(target)}"
    return f"see what holds it: wiremap check {shown_path(target)}"
