"""The rule book as text: one rule in words, or the whole book as a Markdown page by family."""

from __future__ import annotations

import re
from typing import Any

from wiremap.rules import book
from wiremap.rules.registry import Rule

FAMILY_WORDS = {
    "map": "every cavity accounted for, every doubt settled, every source heard",
    "metal": "what lies on one conductor, fuses counted as closed",
    "bus": "pairs, terminators, twist and shield",
    "chain": "guard loops and coding contacts",
    "wire": "conductors, contacts, seals, colours",
    "fuse": "what a fuse guards, and whether it opens",
    "joint": "splices, sleeves, room for them, sealing",
    "scope": "what no adapter touches, and what needs a licensed person",
    "judged": "what the paper leaves unjudged, and what was measured otherwise",
    "parts": "loads against outputs, resistors, diodes, coils",
}
WEIGHT_WORDS = {
    "stop": "holds the job",
    "caution": "does not hold; is counted, printed and signed",
    "note": "to be read",
}
HOW_SIGNED = (
    "A job holds while it has a stop that nobody has accepted. "
    "Cautions never hold; they are counted, printed and signed. "
    "A stop or a caution is accepted in a notebook only: "
    "`{kind: accept, rule: …, subject: […], by: …, date: …, why: …}`, "
    "with the very subject that the finding names."
)
_BLANK = re.compile(r"\{(\w+)(?::[^{}]*)?\}")


def rule_as_dict(rule: Rule) -> dict[str, Any]:
    """A rule as plain data."""
    return {
        "rule": rule.id,
        "family": rule.family,
        "severity": rule.severity.value,
        "acceptable": rule.acceptable,
        "meaning": rule.meaning,
        "what": with_dots(rule.what),
        "why": rule.why,
        "fix": with_dots(rule.fix),
        "source": rule.source,
    }


def with_dots(sentence: str) -> str:
    """A rule's sentence with its blanks written as dots."""
    return " ".join(_BLANK.sub("…", sentence).replace("{{", "{").replace("}}", "}").split())


def rule_text(rule: Rule) -> str:
    """One rule for a terminal."""
    signed = "may be signed in the notebook" if rule.acceptable else "nobody may accept it"
    if rule.licensed:
        signed += ", by a person who says which licence"
    return "\n".join(
        [
            f"{rule.id}: a {rule.severity.value} of the family {rule.family}",
            f"  what    {rule.meaning}",
            f"  says    {with_dots(rule.what)}",
            f"  why     {rule.why}",
            f"  mend    {with_dots(rule.fix)}",
            f"  weight  {WEIGHT_WORDS[rule.severity.value]}; {signed}",
            f"  source  {rule.source}",
        ]
    )


def book_page() -> str:
    """The whole book as Markdown."""
    families = book()
    rules = [rule for family in families.values() for rule in family]
    never = ", ".join(f"`{rule.id}`" for rule in rules if not rule.acceptable)
    lines = [
        "# The rule book",
        "",
        f"{len(rules)} rules in {len(families)} families. {HOW_SIGNED}",
        "",
        f"Never acceptable: {never}.",
        "",
    ]
    for family, own in families.items():
        lines += [f"## {family}: {FAMILY_WORDS[family]} ({len(own)})", ""]
        for rule in own:
            lines += _section(rule)
    return "\n".join(lines)


def _section(rule: Rule) -> list[str]:
    weight = rule.severity.value
    if not rule.acceptable:
        weight += ", never acceptable"
    elif rule.licensed:
        weight += ", signed by licensed persons only"
    return [
        f"### `{rule.id}` ({weight})",
        "",
        rule.meaning,
        "",
        f"- Says: {with_dots(rule.what)}",
        f"- Why: {rule.why}",
        f"- Mend: {with_dots(rule.fix)}",
        f"- Source: {rule.source}",
        "",
    ]
