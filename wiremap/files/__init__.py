"""Strict YAML with places, building the model, writing."""

from wiremap.files.load import (
    Loaded,
    Reader,
    kind_of,
    load_any,
    load_job,
    load_notebook,
    load_pinout,
    one_sweep,
)

__all__ = [
    "Loaded",
    "Reader",
    "kind_of",
    "load_any",
    "load_job",
    "load_notebook",
    "load_pinout",
    "one_sweep",
]
