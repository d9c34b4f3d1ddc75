"""What all tests share: the same Hypothesis examples on every run and every machine, compiled modules, and the demo job."""

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import demo_jobs
import pytest
from hypothesis import settings

from wiremap.cli.main import main
from wiremap.graph import Harness
from wiremap.model import Job
from wiremap.slips import SlipReport, slips

settings.register_profile("steady", derandomize=True, deadline=None, database=None)
settings.load_profile("steady")


def pytest_addoption(parser: pytest.Parser) -> None:
    """How much of what takes hours is tried: a seeded sample, or all."""
    parser.addoption(
        "--drawn",
        type=int,
        default=4,
        help="mistakes that the tests marked by_hand draw of each job; 0: every one (hours)",
    )


@pytest.fixture(scope="session")
def share(pytestconfig: pytest.Config) -> int | None:
    """How many mistakes of each job are drawn; None for all."""
    return int(pytestconfig.getoption("--drawn")) or None


def pytest_configure(config: pytest.Config) -> None:
    """Let commands that tests start share compiled modules: half of such a start is compiling.

    They are kept in a folder of this run, so that no other run meets them; workers have their
    controller's.
    """
    os.environ["COLUMNS"] = "200"  # temporary folders have long names; see `usual_screen`
    if hasattr(config, "workerinput"):
        return
    folder = tempfile.mkdtemp(prefix="wiremap-compiled-")
    config.add_cleanup(lambda: shutil.rmtree(folder, ignore_errors=True))
    os.environ["PYTHONPYCACHEPREFIX"] = folder
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark slow what `slow.txt` names: a file, a test or one case of a test, but those by hand."""
    text = (Path(__file__).parent / "slow.txt").read_text(encoding="utf-8")
    named = {line for line in text.splitlines() if not line.startswith("#")}
    for item in items:
        case = item.nodeid.removeprefix("tests/")
        test = case.partition("[")[0]
        by_hand = item.get_closest_marker("by_hand") is not None
        if not by_hand and not named.isdisjoint({case, test, item.path.name}):
            item.add_marker(pytest.mark.slow)


@pytest.fixture
def usual_screen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Lines as in a pipe: a hundred columns, for tests that count lines."""
    monkeypatch.delenv("COLUMNS", raising=False)


@pytest.fixture(scope="session")
def demo() -> Job:
    """The demo as shipped, its answers laid over."""
    return demo_jobs.settled_demo()


@pytest.fixture(scope="module")
def harness(demo: Job) -> Harness:
    """The demo as shipped, with its graph."""
    return Harness(demo)


@pytest.fixture(scope="session")
def unread_demo() -> Job:
    """The demo as shipped, without its notebook."""
    return demo_jobs.unread_demo()


@pytest.fixture(scope="session")
def demo_slips(demo: Job) -> SlipReport:
    """What one slip of the hand would do to the demo."""
    return slips(Harness(demo))


@pytest.fixture
def empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder, worked in."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def demo_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the demo with the lines of `tests/readings` beside it, worked in."""
    folder = demo_jobs.copied_demo(tmp_path / "demo").parent
    for path in (demo_jobs.ROOT / "tests" / "readings").iterdir():
        shutil.copy(path, folder)
    monkeypatch.chdir(folder)
    return folder


@pytest.fixture(scope="module")
def every_stop_signed() -> Iterator[None]:
    """A ring-out of jobs that are joined at random, as if somebody stood to every joint of them."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("wiremap.ringout.held.held_points", lambda harness: {})
        patch.setattr("wiremap.ringout.held.held_parts", lambda harness: frozenset())
        yield


@pytest.fixture
def two_papers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str, str], Path]:
    """Lays two pinouts into the working folder and proposes job.yaml from them, signed RK."""

    def laid(old: str, new: str) -> Path:
        (tmp_path / "old.yaml").write_text(old, "utf-8")
        (tmp_path / "new.yaml").write_text(new, "utf-8")
        monkeypatch.chdir(tmp_path)
        monkeypatch.setenv("WIREMAP_BY", "RK")
        main(["propose", "old.yaml", "new.yaml", "-o", "job.yaml"])
        return tmp_path

    return laid
