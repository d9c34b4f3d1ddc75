"""What a person does next with a job just begun, an adapter just judged, or two ways compared."""

from __future__ import annotations

from collections.abc import Sequence

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
    if len(jobs) == 1:
        return f"see what holds it: wiremap check {shown_path(jobs[0])}"
    both = " ".join(shown_path(job) for job in jobs)
    return f"see what each way takes: wiremap compare --ways {both}"
