"""The cautions of a job, each to be read and signed before the first cut."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.base import Finding
from wiremap.content.given import Given
from wiremap.content.pieces import Block, Step, Text

ACTS = {  # what to do about a caution, in the few words that a page has room for; of other rules their own way to mend it
    "colours-confused": "flag both before the cut",
    "gauge-step": "look at the thinner wire and its fuse",
    "rests-on-document": "measure, or sign for the document",
    "sleeves-overlap": "lengthen the run, or sign the lump",
    "voltage-drop": "a thicker or shorter wire, or sign for the load",
    "carried-caution": "",
}


def caution_rows(given: Given) -> Iterator[Block]:
    """Every caution's subject and sentence; those of one rule that say the same of several subjects share a row."""
    if not given.cautions:
        return
    everybody = sorted(
        {f"{f.accepted.by} {f.accepted.date}" if f.accepted else "" for f in given.cautions}
    )
    alike = len(everybody) == 1 and bool(everybody[0])
    yield Text(
        f"Cautions, each to be read{f' and ticked (accepted by {everybody[0]})' if alike else ''}",
        strong=True,
        sign="read by, date",
    )
    groups: dict[str, list[Finding]] = {}
    for finding in given.cautions:
        groups.setdefault(finding.rule, []).append(finding)
    n = 1
    for rule, found in groups.items():
        number_of = f"C{n}" if len(found) == 1 else f"C{n} to C{n + len(found) - 1}"
        n += len(found)
        if len(found) == 1:
            text = found[0].message.rstrip(".")
            subject = ", ".join(found[0].subject)
            text = (
                f"{subject}: {text}"
                if subject and not text.startswith(found[0].subject[0])
                else text
            )
        else:
            subjects = [" and ".join(f.subject[:3]) for f in found]
            text = f"{rule.replace('-', ' ')}: {'; '.join(subjects)}"
        signed = sorted({f"{f.accepted.by} {f.accepted.date}" for f in found if f.accepted})
        open_ones = sum(1 for f in found if f.accepted is None)
        text += f" (accepted: {', '.join(signed)})" if signed and not alike else ""
        text += (
            ""
            if not open_ones
            else " (not accepted)"
            if open_ones == len(found)
            else f" ({open_ones} not accepted)"
        )
        act = ACTS.get(rule, found[0].fix.rstrip(".") if len({f.fix for f in found}) == 1 else "")
        yield Step(number_of, f"{text}: {act}" if act else text)
