"""The files that a job names, or that lie beside it: never outside its own folder."""

from __future__ import annotations

import os
import re
from pathlib import Path

from wiremap.files import values
from wiremap.files.faults import Faults
from wiremap.files.hints import short
from wiremap.files.strict import Node
from wiremap.model import Job


def notebook_beside(path: Path) -> Path:
    """Where the notebook of a job or pinout lies that nothing names: `job-notebook.yaml` beside
    `job.yaml`.
    """
    return path.with_name(f"{path.stem}-notebook.yaml")


def is_named(job: Job, path: Path) -> bool:
    """Whether a job names a notebook, by whatever path leads to it."""
    real = os.path.realpath(path)
    return any(os.path.realpath(notebook.path) == real for notebook in job.notebooks)


def path_named(faults: Faults, node: Node, job: Path, what: str) -> Path | None:
    """The path of a file that a job names; None with a fault if it is outside the job's folder."""
    name = values.name(faults, node, what)
    if name is None:
        return None
    folder = job.parent
    drive = re.match(r".:", name, re.DOTALL)
    windows = drive is not None or "\\" in name
    target = Path(os.path.normpath(folder / name))
    if not windows and not Path(name).is_absolute() and within(folder, target):
        return target
    if windows and drive is None:
        faults.add(
            "outside-folder",
            f"`{short(name)}` is written with backslashes",
            node,
            f"Use forward slashes: `{short(name.replace(chr(92), '/'))}`.",
        )
        return None
    faults.add(
        "outside-folder",
        f"`{short(name)}` is outside the job's own folder",
        node,
        f"Copy the {what} into the job's folder and name it from there.",
        why="A job that reaches outside its folder cannot be shared, and could read what it should "
        "not.",
    )
    return None


def within(folder: Path, target: Path) -> bool:
    """Whether a path leads into a folder, links followed, by the very path that will be opened."""
    try:
        return target.resolve().is_relative_to(folder.resolve())
    except (OSError, ValueError, RuntimeError):
        return False
