"""What the files say, as frozen dataclasses and closed sets of words.

It may import `base`, `trade` and `naming`; no meaning is worked out here.  Begin with `job.py` (a
whole job; `ends.py`, `circuits.py`, `parts.py` and `layout.py` are what it is made of) and
`pinout.py` (a whole paper, of `connector.py` and `cavity.py`); `address.py` says how a place is
named.
"""

from wiremap.model.address import Address
from wiremap.model.cavity import CLASS_B_AC_VOLTS, CLASS_B_DC_VOLTS, Cavity, Claim, Leaflet
from wiremap.model.circuits import Circuit, Confirmed, Leg, NotJoined
from wiremap.model.connector import PROBED_FROM, Accepts, Connector, Face
from wiremap.model.ends import End, Fed
from wiremap.model.job import (
    CHASSIS,
    INSULATION_LIMIT_C,
    Job,
    Replaced,
    Supply,
    Surroundings,
    split,
    withdrawals,
)
from wiremap.model.layout import KeepOut, Run, Twist
from wiremap.model.notebook import (
    A_REASON,
    WHICH_LICENCE,
    Entry,
    Notebook,
    named_licence,
    names_paper,
    same_person,
    says_what,
    without_struck,
)
from wiremap.model.parts import FORM_UNTOLD, Extra
from wiremap.model.pinout import Link, Pinout, Source, Switch
from wiremap.model.quantities import OPEN, Span, Wire
from wiremap.model.records import frozen
from wiremap.model.state import SHRUNK, State
from wiremap.model.words import (
    AsFound,
    Basis,
    Clamp,
    Contacts,
    EndKind,
    EntryKind,
    ExtraKind,
    Flow,
    Grade,
    Half,
    JointKind,
    KeyAt,
    KeyShape,
    LookedAt,
    Need,
    OnOff,
    Plating,
    Seen,
    Side,
    Stop,
    Treat,
    Wall,
)

__all__ = [
    "A_REASON",
    "CHASSIS",
    "CLASS_B_AC_VOLTS",
    "CLASS_B_DC_VOLTS",
    "FORM_UNTOLD",
    "INSULATION_LIMIT_C",
    "OPEN",
    "PROBED_FROM",
    "SHRUNK",
    "WHICH_LICENCE",
    "Accepts",
    "Address",
    "AsFound",
    "Basis",
    "Cavity",
    "Circuit",
    "Claim",
    "Clamp",
    "Confirmed",
    "Connector",
    "Contacts",
    "End",
    "EndKind",
    "Entry",
    "EntryKind",
    "Extra",
    "ExtraKind",
    "Face",
    "Fed",
    "Flow",
    "Grade",
    "Half",
    "Job",
    "JointKind",
    "KeepOut",
    "KeyAt",
    "KeyShape",
    "Leaflet",
    "Leg",
    "Link",
    "LookedAt",
    "Need",
    "NotJoined",
    "Notebook",
    "OnOff",
    "Pinout",
    "Plating",
    "Replaced",
    "Run",
    "Seen",
    "Side",
    "Source",
    "Span",
    "State",
    "Stop",
    "Supply",
    "Surroundings",
    "Switch",
    "Treat",
    "Twist",
    "Wall",
    "Wire",
    "frozen",
    "named_licence",
    "names_paper",
    "same_person",
    "says_what",
    "split",
    "withdrawals",
    "without_struck",
]
