"""Every finding with its place, reason, cure and signature."""

from __future__ import annotations

from pathlib import PurePath

from wiremap.base import Finding, Severity
from wiremap.content.given import Given
from wiremap.content.pieces import Block, Ledger, Section, TextPiece
from wiremap.content.stages import Page, Stage
from wiremap.content.words import listed

NOT_JUDGED_SHARES = (54, 136)
COLUMNS = ("weight", "rule", "subject", "what, cure, signature", "place")
SHARES = (16, 26, 27, 95, 26)


def findings_section(given: Given) -> Section:
    """A row for each finding."""
    rows = tuple(_row(finding) for finding in given.findings)
    blocks: list[Block] = [TextPiece("Nothing was found.")]
    if rows:
        blocks = [Ledger(COLUMNS, SHARES, rows)]
    left = tuple((listed(*each.subject), each.why) for each in given.not_judged)
    if left:
        blocks += [
            TextPiece("Not judged", strong=True),
            Ledger(("of what", "why"), NOT_JUDGED_SHARES, left),
        ]
    return Section(key="findings", title="Findings and acceptances", blocks=tuple(blocks))


def _row(finding: Finding) -> tuple[str, ...]:
    message = f"{finding.message.removesuffix('.')}."
    told = [message, finding.on_paper, _signature(finding)]
    place = finding.place
    return (
        finding.severity.value,
        finding.rule,
        " ".join(finding.subject),
        "\n".join(line for line in told if line),
        f"{PurePath(place.path).name}:{place.line}" if place else "",
    )


def _signature(finding: Finding) -> str:
    if finding.accepted:
        accepted = finding.accepted
        return f"accepted by {accepted.by}, {accepted.date}: {accepted.why}"
    return "" if finding.severity is Severity.NOTE else "not accepted"


PAGE = Page(key="findings", stage=Stage.ANNEX, make=findings_section, order=7)
