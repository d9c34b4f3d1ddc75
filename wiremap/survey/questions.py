"""The one question that settles the most harm per minute."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from wiremap.evidence import answers, disagreements, entries, refused, stale
from wiremap.evidence.allowed import bad_answer
from wiremap.evidence.expected import electrical
from wiremap.model import Cavity, End, Job

DONT_KNOW = "don't know"


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked about which address, why it matters, how to find out, which answers there are.

    `harm` runs from 0 to 10, `minutes` is what finding out takes; both are our own weighing, not a measured figure.
    `writes` is false where the answer belongs in a file by hand (a face drawing cannot be answered in a word).
    """

    about: str
    text: str
    why: str
    how: str
    answers: tuple[str, ...]
    harm: float
    minutes: float
    writes: bool = True

    def as_dict(self) -> dict[str, Any]:
        """The question as plain data."""
        return {
            "about": self.about,
            "question": self.text,
            "why": self.why,
            "how": self.how,
            "answers": list(self.answers),
            "harm": self.harm,
            "minutes": self.minutes,
            "writes": self.writes,
        }


def questions(job: Job) -> tuple[Question, ...]:
    """Every open question about a settled job, the most harm per minute first.

    What was answered is not asked again, unless its cavity has changed since.
    """
    old = {s.entry for s in stale(job)}
    asked = {e.about for e in entries(job, "answer") if e not in old and bad_answer(job, e) is None}
    known = answers(job)
    found = [q for q in _all(job) if q.about not in known and q.about not in asked]
    order = {q.about: i for i, q in enumerate(found)}
    return tuple(sorted(found, key=lambda q: (-q.harm / q.minutes, order[q.about])))


def about(found: Iterable[Question], address: str) -> tuple[Question, ...]:
    """Those of the questions that are about an address or something of it (`loom.1.fuse_amps` is about `loom.1`)."""
    return tuple(q for q in found if q.about == address or q.about.startswith(f"{address}."))


def _all(job: Job) -> Iterator[Question]:
    """Open questions in the order in which an electrician would go about them."""
    if job.supply.volts is None and not any(
        c.volts
        for e in job.ends.values()
        if e.side == "machine"
        for c in e.pinout.cavities.values()
        if electrical(c) == "supply"
    ):
        yield Question(
            "supply.volts",
            "How many volts has the machine?",
            "24 V into a 12 V unit destroys it.",
            "read across the battery",
            ("12", "24", DONT_KNOW),
            10,
            0.5,
        )
    for d in disagreements(job):
        if d.settled is None:
            told = tuple(dict.fromkeys(c.reading.function for c in d.claims))
            yield Question(
                d.address,
                f"{d.address}: which is it, {' or '.join(told)}?",
                "Sources differ, and one of them is wrong.",
                "measure it before the cut; see the survey",
                (*told, DONT_KNOW),
                10,
                2,
            )
    for end in job.ends.values():
        for cavity in end.pinout.cavities.values():
            if (
                not refused(cavity)
                and electrical(cavity) != "nothing"
                and (end.kind != "tap" or _joined(job, end, cavity))
            ):
                yield from _cavity(job, end, cavity)
    for end in job.ends.values():
        yield from _end(job, end)
    if len(job.ends) > 1:
        yield from _job(job)


def _joined(job: Job, end: End, cavity: Cavity) -> bool:
    return any(f"{end.name}.{cavity.name}" in c.join for c in job.circuits)


def _cavity(job: Job, end: End, cavity: Cavity) -> Iterator[Question]:
    at = f"{end.name}.{cavity.name}"
    wire = f" ({cavity.wire.written})" if cavity.wire else ""
    group = electrical(cavity)
    if cavity.function == "unknown":
        yield Question(
            at,
            f"What is on {at}{wire}?",
            "An unknown wire may be a supply.",
            "battery on, unit unplugged: volts to battery minus, ignition off and on; then battery off: ohms to chassis",
            (
                "permanent-supply",
                "switched-supply",
                "power-ground",
                "sensor-return",
                "unused",
                DONT_KNOW,
            ),
            9,
            2,
        )
        return
    if cavity.basis == "told" and (
        group in ("supply", "ground", "loop") or cavity.function == "sensor-supply"
    ):
        yield Question(
            f"{at}.basis",
            f"{at} is said to be {cavity.function}: who has seen it?",
            "Supply and ground on hearsay hold the job.",
            "measure it: see the survey",
            ("measured", "document", DONT_KNOW),
            8,
            1.5,
        )
    if group == "bus" and cavity.function in ("can-high", "can-low") and cavity.pair is None:
        yield Question(
            f"{at}.pair",
            f"Which pair does {at} belong to?",
            "Halves of two pairs joined give a dead bus.",
            "follow the twist, or 120 or 60 ohm between the two halves, battery off",
            ("a name", DONT_KNOW),
            5,
            2,
        )
    if cavity.function in ("interlock-out", "interlock-back") and cavity.chain is None:
        yield Question(
            f"{at}.chain",
            f"Which loop does {at} belong to?",
            "Crossed loops let a guard protect nothing.",
            "open and shut each guard and watch the ohms",
            ("a name", DONT_KNOW),
            7,
            3,
        )
    if cavity.codes and not (at in job.not_joined and "open" in cavity.codes):
        told = ", ".join(f"{k}: {v}" for k, v in cavity.codes.items())
        yield Question(
            at,
            f"What shall coding contact {at} select ({told})?",
            "Left open it selects a variant silently.",
            "read the unit's leaflet",
            (*dict.fromkeys(cavity.codes.values()), DONT_KNOW),
            6,
            1,
        )
    if group == "supply" and end.side == "machine":
        fed = end.fed.get(cavity.name)
        if fed is None or (fed.fuse_amps is None and not fed.unfused):
            yield Question(
                f"{at}.fuse_amps",
                f"Which fuse feeds {at}, in amps?",
                "A fuse too large lets the thin wire burn.",
                "pull fuses until it goes dead; read the fuse",
                ("a number", DONT_KNOW),
                6,
                2,
            )
    if group == "supply" and end.side != "machine" and cavity.amps is None:
        yield Question(
            f"{at}.amps",
            f"How many amps does {at} draw?",
            "Wire, fuse and drop rest on it.",
            "read the leaflet or the type plate",
            ("a number", DONT_KNOW),
            4,
            2,
        )
    if group in ("supply", "ground") and cavity.wire is None and end.has_tail:
        yield Question(
            f"{at}.wire",
            f"Which wire is on {at}: size and colour?",
            "The thinnest conductor decides the fuse.",
            "calliper over the insulation, colours base first",
            ("as 0.75 RD", DONT_KNOW),
            4,
            2,
        )


def _end(job: Job, end: End) -> Iterator[Question]:
    for name, switch in end.pinout.switches.items():
        if end.side != "machine" and name not in end.switches:
            yield Question(
                f"{end.name}.{name}",
                f"How does switch {name} of {end.name} stand?",
                f"Its {switch.ohms:g} ohm counts or does not: each half of the bus needs two terminators.",
                "measure each half after the cut, in-line unit out: 60 off, 120 on, open on and one more at the far end",
                ("on", "off", DONT_KNOW),
                5,
                1,
            )
    if end.pinout.connector.face is None and len(end.pinout.cavities) > 1:
        yield Question(
            f"{end.name}.face",
            f"On {end.name}: which moulded digit sits where, seen from the mating side?",
            "A face read mirrored is the first cause of miswiring.",
            "read the digits at the corners aloud against the part",
            ("write connector.face into the pinout", DONT_KNOW),
            8,
            2,
            writes=False,
        )
    if end.has_tail and end.tail_mm is None and job.circuits:
        yield Question(
            f"{end.name}.tail_mm",
            f"How long is the free tail of {end.name}, in mm?",
            "It decides where joints can lie.",
            "from the last tie or branch to the cut end",
            ("a number", DONT_KNOW),
            1.5,
            1,
        )


def _job(job: Job) -> Iterator[Question]:
    s = job.surroundings
    if s.ambient_C is None:
        yield Question(
            "surroundings.ambient_C",
            "How hot does it get where the splice lies, in degrees C?",
            "Heat lowers what a wire may carry.",
            "cab 40, under a bonnet 85 or more (common practice)",
            ("a number", DONT_KNOW),
            1.5,
            1,
        )
    if s.wet is None:
        yield Question(
            "surroundings.wet",
            "Does water get there?",
            "Wet joints need adhesive sleeves.",
            "look",
            ("yes", "no", DONT_KNOW),
            1,
            0.5,
        )
    if s.moves is None:
        yield Question(
            "surroundings.moves",
            "What moves near the splice?",
            "A joint in a hinge breaks.",
            "look",
            ("none", "what moves", DONT_KNOW),
            1,
            0.5,
        )
