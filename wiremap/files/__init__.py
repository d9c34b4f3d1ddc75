"""Files on disk and the model: strict YAML with the place of each value, readers, dumps, atomic
writes.

It may import `base`, `trade`, `naming` and `model`; nothing above.  Begin with `load.py` (a path
becomes a model value and findings; each reader tells what is wrong `to` a `Faults`), then
`values.py` (the tables that each record is read and written by) and `write.py`.
"""

from wiremap.files.load import (
    Files,
    kind_of,
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
    "kind_of",
    "load_any",
    "load_job",
    "load_notebook",
    "load_pinout",
    "notebook_beside",
    "one_sweep",
]
