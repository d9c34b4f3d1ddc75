"""What a call of `wiremap propose` names: the two sides, notebooks, an earlier job."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from wiremap.base import Finding, only
from wiremap.cli.withdrawn import tell_withdrawn
from wiremap.files import Files
from wiremap.model import Job, Notebook
from wiremap.propose import NamedPinouts, sides_of

NO_END = "chassis"  # no end may be called so: it means something else in an address


class WrongSides(Exception):
    """What is wrong with the files that a call names."""


@dataclass(frozen=True, kw_only=True)
class ProposeCall:
    """What a call names, read: the two sides and the notebooks that count."""

    old: NamedPinouts
    new: NamedPinouts
    notebooks: tuple[Notebook, ...]


def call_of(
    reader: Files, args: argparse.Namespace, former: Job | None, faults: list[Finding]
) -> ProposeCall:
    """The sides and notebooks of a call; an earlier job tells its sides by itself."""
    notebooks = _notebooks(reader, args, former, faults)
    if former is not None and not (args.files or args.old or args.new):
        old, new = sides_of(former)
        if not old or not new:
            raise WrongSides("that job has no end on one of its sides: name the pinouts")
        return ProposeCall(old=old, new=new, notebooks=notebooks)
    files = _files_by_side(args)
    old_named, new_named = (
        _named_files("old", files["old"], args),
        _named_files("new", files["new"], args),
    )
    _refuse_twins([*old_named, *new_named])
    old, new = _pinouts_of(reader, old_named, faults), _pinouts_of(reader, new_named, faults)
    return ProposeCall(old=old, new=new, notebooks=notebooks)


def _files_by_side(args: argparse.Namespace) -> dict[str, list[str]]:
    """The files of both sides; raises WrongSides."""
    sides = {"old": list(args.old), "new": list(args.new)}
    if args.files:
        if args.old or args.new:
            raise WrongSides("either two bare files, or --old and --new; not both")
        old, *new = args.files
        sides = {"old": [old], "new": new}
    if not args.old and not args.new and len(args.files) != 2:
        raise WrongSides(
            f"two pinouts are wanted, the old and the new; {len(args.files)} given. "
            "Several of one generation: wiremap propose --old A B --new C"
        )
    for age, files in sides.items():
        if not files:
            raise WrongSides(f"--{age} is missing")
    return sides


def _named_files(age: str, files: Sequence[str], args: argparse.Namespace) -> list[tuple[str, str]]:
    """Each file of a side with the name of its end; raises WrongSides."""
    names = {}
    for text in args.end:
        name, sep, path = text.partition("=")
        known = path in (*args.files, *args.old, *args.new)
        if not (sep and known and name) or set(name) & set(". ~") or name == NO_END:
            raise WrongSides(
                f"--end {text}: NAME=FILE is wanted, with a file of this call and a name without "
                "dots or spaces"
            )
        names[path] = name
    alone = only(files)
    if alone is not None:
        return [(names.get(alone) or age, alone)]
    return [(names.get(path) or f"{age}{number}", path) for number, path in enumerate(files, 1)]


def _refuse_twins(ends: Iterable[tuple[str, str]]) -> None:
    """Raise WrongSides where two ends bear one name."""
    seen = set()
    for name, _ in ends:
        if name in seen:
            raise WrongSides(f"two ends are called {name}; name them with --end NAME=FILE")
        seen.add(name)


def _pinouts_of(
    reader: Files, ends: Iterable[tuple[str, str]], faults: list[Finding]
) -> NamedPinouts:
    """The pinouts of a side; what could not be read is added to the faults."""
    pinouts = []
    for name, path in ends:
        loaded = reader.pinout(path)
        faults += [each for each in loaded.findings if each.fault]
        if loaded.value is not None:
            tell_withdrawn(loaded.value)
            pinouts.append((name, loaded.value))
    return pinouts


def former_job(reader: Files, args: argparse.Namespace, faults: list[Finding]) -> Job | None:
    """The job that is proposed anew, if one is."""
    if not args.keep_answers:
        return None
    loaded = reader.job(args.keep_answers)
    faults += [each for each in loaded.findings if each.fault]
    if loaded.value is not None:
        tell_withdrawn(loaded.value)
    return loaded.value


def _notebooks(
    reader: Files, args: argparse.Namespace, former: Job | None, faults: list[Finding]
) -> tuple[Notebook, ...]:
    """The notebooks that the call names, an earlier job's first."""
    notebooks = list(former.notebooks) if former is not None else []
    for path in args.notebook:
        loaded = reader.notebook(path)
        faults += [each for each in loaded.findings if each.fault]
        if loaded.value is not None:
            notebooks.append(loaded.value)
    return tuple(notebooks)
