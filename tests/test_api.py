"""The package's own names work as the README shows them, and importing it costs nothing."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest
from demo_jobs import ROOT

import wiremap


@pytest.mark.parametrize("name", wiremap.__all__)
def test_every_name_is_there(name: str) -> None:
    """Each promised name can be fetched and tells what it is."""
    assert getattr(wiremap, name).__doc__


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'nonsense'"):
        _ = wiremap.nonsense


def test_readme_example_runs() -> None:
    """The README's Python example, word for word, in the checkout."""
    code = re.search(
        r"<!-- api -->\n```python\n(.*?)```",
        (ROOT / "README.md").read_text(encoding="utf-8"),
        re.DOTALL,
    )
    assert code is not None
    done = subprocess.run(
        [sys.executable, "-c", code.group(1)], capture_output=True, text=True, cwd=ROOT, check=False
    )
    assert (0, "") == (done.returncode, done.stderr)
    assert "in-order" in done.stdout


def test_importing_the_package_loads_nothing_heavy() -> None:
    """Start-up matters: networkx, yaml, jsonschema and reportlab come only when asked for."""
    code = "import sys, wiremap, wiremap.cli.main; print(sorted({'networkx', 'yaml', 'jsonschema', 'reportlab'} & set(sys.modules)))"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True
    )
    assert "[]" == done.stdout.strip()
