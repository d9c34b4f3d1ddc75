"""A pytest plugin that notes which test enters which function of `wiremap/`, for `tests/mutant_run.py`.

Used as `python -m pytest -p mutant_cover --covered FILE`; FILE then holds, as JSON,
`{"functions": {"wiremap/x.py:12": [test, ...]}, "seconds": {test: seconds}}`, of the processor.  What a fixture enters counts for
every test of that file, since a fixture that is shared is set up by the first of them only.
"""

from __future__ import annotations

import json
import os
import sys
import threading
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import pytest

PROJECT = Path(__file__).resolve().parent.parent
PACKAGE = str(PROJECT / "wiremap") + "/"


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--covered", help="where to write which test enters which function")


def pytest_configure(config: pytest.Config) -> None:
    if config.getoption("--covered"):
        config.pluginmanager.register(Coverage(Path(config.getoption("--covered"))))


class Coverage:
    """The functions entered so far, by test and, in fixtures, by file of tests."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.entered: set[CodeType] = set()
        self.by_test: dict[str, set[str]] = defaultdict(set)
        self.by_file: dict[str, set[str]] = defaultdict(set)
        self.functions: dict[str, set[str]] = defaultdict(set)
        self.seconds: dict[str, float] = {}

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_setup(self, item: pytest.Item) -> Iterator[None]:
        yield from self.noted(self.by_file[item.nodeid.partition("::")[0]])

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_call(self, item: pytest.Item) -> Iterator[None]:
        before = processor_seconds()
        yield from self.noted(self.by_test[item.nodeid])
        item.user_properties.append(("processor", processor_seconds() - before))

    def noted(self, functions: set[str]) -> Iterator[None]:
        self.entered.clear()
        threading.settrace(self.enter)
        sys.settrace(self.enter)
        yield
        sys.settrace(None)
        threading.settrace(None)  # type: ignore[arg-type]
        for code in self.entered:
            if code.co_filename.startswith(PACKAGE):
                functions.add(where(code))

    def enter(self, frame: FrameType, event: str, argument: Any) -> None:
        """Note a function as it begins; that nothing is returned keeps its lines from being traced."""
        self.entered.add(frame.f_code)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.when == "call" and report.passed:
            self.seconds[report.nodeid] = dict(report.user_properties)["processor"]

    @pytest.hookimpl(optionalhook=True)
    def pytest_testnodedown(self, node: Any) -> None:
        """Take in what one of several workers has noted."""
        for function, tests in json.loads(node.workeroutput["covered"]).items():
            self.functions[function].update(tests)

    @pytest.hookimpl(trylast=True)
    def pytest_sessionfinish(self, session: pytest.Session) -> None:
        for test in self.seconds:
            shared = self.by_file[test.partition("::")[0]]
            for function in self.by_test[test] | shared:
                self.functions[function].add(test)
        told = {name: sorted(tests) for name, tests in sorted(self.functions.items())}
        if hasattr(session.config, "workeroutput"):
            session.config.workeroutput["covered"] = json.dumps(told)
            return
        self.path.write_text(
            json.dumps({"functions": told, "seconds": self.seconds}), encoding="utf-8"
        )


def processor_seconds() -> float:
    """What this process and those that it has awaited have cost so far, whatever else the machine does."""
    spent = os.times()
    return spent.user + spent.system + spent.children_user + spent.children_system


def where(code: CodeType) -> str:
    """A function as its file below the project's folder and its first line."""
    path = Path(code.co_filename).relative_to(PROJECT).as_posix()
    return f"{path}:{code.co_firstlineno}"
