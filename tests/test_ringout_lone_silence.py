"""After one silence alone an open wire or contact is told before any exchange, in the verdict and in the walk.

An open is the commonest cause of a reading that stays silent; two wires exchanged are silent at two circuits (common
practice).
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from ringout_simulator import random_job
from ringout_trial import entry

from wiremap.diagnose.judge import Judge
from wiremap.diagnose.walk import Walk
from wiremap.files import load_job
from wiremap.graph import Harness
from wiremap.mistakes.mistake import MistakeKind
from wiremap.mistakes.open import OPEN_JOINT
from wiremap.mistakes.swap import EXCHANGE
from wiremap.model import Job
from wiremap.ringout.plan import plan

DEMO = Path(__file__).parent.parent / "pinouts_demo" / "adapter" / "job.yaml"

pytestmark = pytest.mark.usefixtures("every_stop_signed")


def bare(job: Job) -> Job:
    """A job of which nothing was read yet."""
    return replace(job, notebooks=())


@pytest.fixture(scope="module")
def adapter() -> Job:
    """The work-lamp and camera adapter of the demo."""
    loaded = load_job(DEMO)
    assert loaded.value is not None
    return bare(loaded.value)


def first_told(job: Job, method: str) -> list[MistakeKind]:
    """What is told first of each through-reading of a plan that alone was taken, and silent twice."""
    harness = Harness(job)
    made = plan(harness, method, "adapter")
    judge = Judge(harness, made)
    kinds = []
    for probe in made.probes:
        if probe.is_through and probe.expect == "beep" and not probe.state:
            silence = entry(probe.red[0], probe.black[0], "silent")
            first = judge.over([silence, silence]).explanations[0]
            kinds.append(first.mistakes[0].kind)
    return kinds


@pytest.mark.parametrize("method", ["near", "clips"])
def test_a_lone_silence_is_an_open_first(adapter: Job, method: str) -> None:
    """Each circuit of the demo's adapter."""
    kinds = first_told(adapter, method)
    assert len(kinds) >= 9
    assert set(kinds) == {OPEN_JOINT}


@pytest.mark.parametrize("seed", range(3))
def test_a_lone_silence_of_any_adapter_is_an_open_first(seed: int) -> None:
    """Invented adapters with splices of three and more."""
    assert set(first_told(random_job(seed, 16), "rest")) == {OPEN_JOINT}


def test_the_walk_tells_the_open_first(adapter: Job) -> None:
    """The first telling line of the walk; both silent halves of an exchange still name that exchange."""
    harness = Harness(adapter)
    walk = Walk(harness, plan(harness, "near", "adapter"), [entry("lamp.2", "head.3", "silent")])
    assert walk.said()[1] == "these readings fit if circuit lamp-right is open"
    both = [entry("lamp.2", "head.3", "silent"), entry("lamp.1", "head.2", "silent")]
    crossed = [entry("lamp.2", "head.2", "beep"), entry("lamp.1", "head.3", "beep")]
    told = Judge(harness, walk.plan).over([*both, *crossed, *both]).explanations[0]
    assert [m.kind for m in told.mistakes] == [EXCHANGE]
