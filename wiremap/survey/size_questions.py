"""What is asked of fuse, load and wire of a contact."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.evidence.expected import electrical
from wiremap.model import Cavity, End, Fed, Flow, Job
from wiremap.survey.circuit_questions import is_joined
from wiremap.survey.question import Question, of_table


def of_sizes(end: End, cavity: Cavity, group: str) -> Iterator[Question]:
    """What fuse, load and wire of a contact are."""
    at = f"{end.name}.{cavity.name}"
    if end.is_machine and (group == "supply" or _feeds_lamp(cavity)):
        yield from _feed(end.fed.get(cavity.name, Fed(cavity=cavity.name)), at)
    if group == "supply" and not end.is_machine and cavity.volts is None:
        yield of_table("unit_volts", f"{at}.volts", at=at)
    if group == "supply" and not end.is_machine and cavity.amps is None:
        yield of_table("amps", f"{at}.amps", at=at)
    if group in ("supply", "ground") and cavity.wire is None and end.has_tail:
        yield of_table("wire", f"{at}.wire", at=at)


def of_fuses_back(job: Job) -> Iterator[Question]:
    """Which fuses go back before the machine's contacts, where only those found are told."""
    for end in job.ends.values():
        for cavity, fed in end.fed.items():
            at = f"{end.name}.{cavity}"
            untold = fed.found_amps is not None and fed.fuse_amps is None
            if untold and end.is_machine and is_joined(job, at):
                found = f"{fed.found_amps:g}"
                fuse = f"{fed.fuse} " if fed.fuse else ""
                yield of_table(
                    "fuse_back", f"{at}.fuse_amps", (found,), at=at, fuse=fuse, found=found
                )


def _feeds_lamp(cavity: Cavity) -> bool:
    """Whether the machine feeds a lamp through it, as through a supply."""
    return electrical(cavity) == "lamp" and cavity.flow is Flow.TO_UNIT


def _feed(fed: Fed, at: str) -> Iterator[Question]:
    """What lies before a supply of the machine: its fuse, then what limits a short circuit."""
    if fed.fuse_amps is None and fed.found_amps is None and not fed.unfused:
        yield of_table("fuse_amps", f"{at}.fuse_amps", at=at)
    if fed.milliohm is None:
        yield of_table("milliohm", f"{at}.milliohm", at=at)
    if fed.length_mm is None:
        yield of_table("length_mm", f"{at}.length_mm", at=at)
