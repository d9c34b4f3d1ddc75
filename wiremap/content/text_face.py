"""A connector's front as text, the contact in brackets that a question asks for."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.evidence.confirmed import BETWEEN_POINTS
from wiremap.mistakes.face import draw
from wiremap.model import Address, Job

MOST_WIDE = 100  # columns of a screen; a wider face is told by its digits alone


def asked_face(job: Job, about: str) -> tuple[str, ...]:
    """The front that bears the contact of `loom.12` or `loom.12.basis`, of a circuit the first of
    its contacts that a front bears; empty where there is none.

    The first line says from which side one looks: as a probe meets it.
    """
    for address in _addresses(about):
        end = job.ends.get(address.end)
        face = end.pinout.connector.face if end is not None else None
        if face is None or address.cavity not in face.names:
            continue
        lines = draw(face.probed, address.cavity)
        if max(map(len, lines)) > MOST_WIDE:
            return ()
        side, *drawn = lines
        return (f"{address.end}, {side}:", *drawn)
    return ()


def _addresses(about: str) -> Iterator[Address]:
    """What a question may speak of: a circuit's points one by one, each whole or without its last
    word.
    """
    for point in about.split(BETWEEN_POINTS):
        for text in (point, point.rpartition(".")[0]):
            if "." in text:
                yield Address.read(text)
