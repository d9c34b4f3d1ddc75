"""What the README quotes is what the tool says."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from wiremap.check import check

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
TRAPS = README.partition("## The demo, and five of its traps")[2].partition("\n## ")[0]
# what the reader is told to change in the finished job, and nothing else
CHANGES: dict[int, tuple[tuple[str, str, str], ...]] = {
    1: (("job.yaml", "join: [loom.1, donor.3, donor.4]", "join: [loom.1, donor.1]"),),
    2: (
        ("job.yaml", "[gateway.4, donor.9, R1.a]", "[gateway.4, donor.8, R1.a]"),
        ("job.yaml", "[gateway.3, donor.8, R1.b]", "[gateway.3, donor.9, R1.b]"),
    ),
    3: (
        ("job.yaml", "switches: {TA: on", "switches: {TA: off"),
        ("notebook.yaml", "about: gateway.TA, answer: on", "about: gateway.TA, answer: off"),
    ),
    4: (("job.yaml", "join: [loom.10, donor.14]", "join: [loom.10, donor.14, donor.15]"),),
    5: (("job.yaml", "found_amps: 10, fuse_amps: 5", "fuse_amps: 10"),),
}


def quotes(number: int) -> list[str]:
    """The messages that a numbered trap quotes, whole; one cut short ends with dots."""
    trap = re.search(rf"^{number}\. .*?(?=^\d\. |^A sixth)", TRAPS, re.DOTALL | re.MULTILINE)
    assert trap is not None
    plain = re.sub(r"\*\*[^*]*\*\*", "", trap.group())
    return [" ".join(each.split()) for each in re.findall(r"\*([^*]+)\*", plain)]


@pytest.mark.parametrize("number", CHANGES)
def test_the_traps_say_what_the_readme_quotes(number: int, tmp_path: Path) -> None:
    """Each trap of the demo, made as the README tells it, holds the job with the quoted words."""
    folder = tmp_path / "spreader"
    shutil.copytree(ROOT / "pinouts_demo", folder)
    for name, old, new in CHANGES[number]:
        text = (folder / name).read_text(encoding="utf-8")
        assert old in text
        (folder / name).write_text(text.replace(old, new), encoding="utf-8")
    report = check([folder / "job.yaml"])
    messages = [found.message for found in report.findings if found.holds]
    assert quotes(number)
    for quote in quotes(number):
        words = quote.rstrip(".")
        matching = [message for message in messages if message.startswith(words)]
        assert matching, (quote, messages)
        assert quote.endswith("...") or words in matching
