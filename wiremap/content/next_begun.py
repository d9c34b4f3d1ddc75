"""What a person does next with a job just begun, an adapter just judged, or two ways compared."""

from __future__ import annotations

from collections.abc import Sequence

from wiremap.check import PaperVerdict
from wiremap.content.next_step import shown_path
from wiremap.diagnose.adapter import Adapter
from wiremap.share.ways import Ways


def after_found(adapter: Adapter, kept: str | None) -> str:
    """What comes next when an adapter without a job has been judged."""
    if adapter.next:
        return "read these, add the lines to the readings, and judge it again"
    if not kept:
        return "keep its map as a job: the same command with --as-built FILE"
    return f"what its map says in full: wiremap check {shown_path(kept)}"


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
