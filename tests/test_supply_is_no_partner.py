"""No answer puts a supply of the machine on an output, a ground or a bus: it is refused with the way out."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from wiremap.check import check
from wiremap.cli.main import main
from wiremap.model import Address
from wiremap.propose.likeliest import likeliest
from wiremap.survey.questions import questions

OLD = """wiremap: pinout/1
title: old plug
cavities:
  1: "battery plus, red"
  2: "ground, brown"
  3: "ignition, black"
  4: "horn relay, yellow"
"""
NEW = """wiremap: pinout/1
title: new plug
cavities:
  1: "supply, red"
  2: "ground, brown"
  3: {signal: ignition, function: switched-supply}
  4: {signal: Lamp relay output, need: must}
  5: {signal: CAN high}
  6: {signal: work lamp, function: lamp-feed, flow: to-unit}
"""


@pytest.fixture
def folder(two_papers: Callable[[str, str], Path]) -> Path:
    return two_papers(OLD, NEW)


def answer(about: str, said: str) -> int:
    call = ["next", "job.yaml", "--about", about, "--answer", said, "--by", "RK"]
    return main([*call, "--how", "seen on the bench"])


@pytest.mark.parametrize(
    ("about", "said", "kept"),
    [
        ("new.4.partner", "old.1", False),
        ("new.4.partner", "old.3", False),
        ("old.1.partner", "new.4", False),
        ("new.2.partner", "old.1", False),
        ("new.5.partner", "old.3", False),
        ("new.4.partner", "old.4", True),
        ("new.3.partner", "old.1", True),
        ("new.6.partner", "old.3", True),  # the machine may feed a lamp through the unit's plug
    ],
)
def test_a_supply_goes_with_what_may_be_fed(
    folder: Path, capsys: pytest.CaptureFixture[str], about: str, said: str, kept: bool
) -> None:
    assert (answer(about, said) == 0) is kept
    told = " ".join(capsys.readouterr().err.split())
    assert ("no supply belongs there" in told) is not kept
    if not kept:
        assert "say that first: --about" in told


def test_none_is_offered_that_would_be_refused(folder: Path) -> None:
    (job,) = check(["job.yaml"]).jobs
    offered = likeliest(job.job, Address("new", "4"))
    assert offered and not {Address("old", "1"), Address("old", "3")} & {*offered}


def test_what_was_told_as_partner_is_asked_no_more(
    two_papers: Callable[[str, str], Path],
) -> None:
    """The job shows it only when it is proposed again; the question is answered all the same."""
    new = NEW.replace("Lamp relay output", "metering, function: analogue-input")
    two_papers(OLD, new)

    def asked() -> bool:
        (job,) = check(["job.yaml"]).jobs
        return "new.4.partner" in {each.about for each in questions(job.job)}

    assert asked()
    assert answer("old.4.partner", "new.4") == 0
    assert not asked()


def test_a_clash_tells_how_to_say_what_was_read_wrongly(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The contact whose wording alone tells its function is the one to ask about."""
    text = Path("job.yaml").read_text("utf-8").replace("[old.3, new.3]", "[old.3, new.4]")
    Path("job.yaml").write_text(text.replace("old.3 - new.3", "old.3 - new.4"), "utf-8")
    main(["check", "job.yaml", "--full"])
    told = " ".join(capsys.readouterr().out.split())
    assert "--about new.4 --answer FUNCTION" in told
