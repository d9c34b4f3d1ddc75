"""Prints the lowest versions that pyproject.toml lets in, a requirement each.

By hand, in an environment of its own, from the project's folder:

    python tests/lowest.py | xargs pip install && pip install --no-deps -e . && python -m pytest
"""

from __future__ import annotations

from pathlib import Path

import tomli

PROJECT = Path(__file__).resolve().parent.parent
WITH = ("page", "test")  # the extras that the tests need


def lowest(requirement: str) -> str:
    """That requirement with its least version alone: "a>=1.2" gives "a==1.2"."""
    return requirement.replace(">=", "==")


def main() -> None:
    """Print them."""
    project = tomli.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = list(project["dependencies"])
    for extra in WITH:
        wanted += project["optional-dependencies"][extra]
    for requirement in dict.fromkeys(wanted):
        print(lowest(requirement))


if __name__ == "__main__":
    main()
