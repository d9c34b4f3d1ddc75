"""Files on disk and the model: strict YAML with the place of each value, readers, dumps, atomic
writes.

It may import `base`, `trade`, `naming` and `model`; nothing above.  Begin with `load.py` (a path
becomes a model value and findings; each reader notes what is wrong in a `Faults`), then
`values.py` (the tables that each record is read and written by) and `write.py`.
"""

from wiremap.files.load import (
    Files,
    declared_kind,
    load_any,
    load_job,
    load_notebook,
    load_pinout,
    one_sweep,
)
from wiremap.files.loaded import Loaded
from wiremap.files.named import notebook_beside

__all__ = [
    "Files",
    "Loaded",
    "declared_kind",
    "load_any",
    "load_job",
    "load_notebook",
    "load_pinout",
    "notebook_beside",
    "one_sweep",
]
