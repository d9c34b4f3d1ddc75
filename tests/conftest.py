"""What all tests share: the same Hypothesis examples on every run and every machine, and the demo job."""

from pathlib import Path

import pytest
from hypothesis import settings

from wiremap.evidence import settle
from wiremap.files import load_job
from wiremap.model import Job

settings.register_profile("steady", derandomize=True, deadline=None, database=None)
settings.load_profile("steady")


@pytest.fixture(scope="session")
def demo() -> Job:
    """The demo as shipped, its answers laid over."""
    job = load_job(Path(__file__).parent.parent / "pinouts_demo" / "job.yaml").value
    assert job is not None
    return settle(job)
