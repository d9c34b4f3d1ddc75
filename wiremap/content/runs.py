"""Contacts end by end, numbers that follow each other as a run."""

from __future__ import annotations

from collections.abc import Iterator, Sequence


def folded(addresses: Sequence[str]) -> str:
    """Contacts end by end, numbers that follow each other as a run; what is no contact as it is.

    >>> folded(["old.3", "old.9", "old.10", "old.11", "new.A", "F1"])
    'old.3, 9-11, new.A, F1'
    """
    ends: dict[str, list[str]] = {}
    for address in addresses:
        end, dot, name = address.partition(".")
        ends.setdefault(end + dot, []).append(name)
    return ", ".join(f"{end}{', '.join(_runs(names))}" for end, names in ends.items())


def _runs(names: Sequence[str]) -> Iterator[str]:
    """Names, those that count up by one as first and last; two of them are no run."""
    run: list[str] = []
    for name in (*names, ""):
        follows = run and name.isdecimal() and run[-1].isdecimal() and int(name) == int(run[-1]) + 1
        if run and not follows:
            yield from [f"{run[0]}-{run[-1]}"] if len(run) > 2 else run
            run = []
        run.append(name)
