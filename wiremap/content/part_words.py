"""What the parts are that an answer puts between two contacts, and how each is added."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

# by the kind of part as it is typed, a paragraph or a call each
PART_WORDS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "diode": (
            "A diode lets current through from its anode (a) to its cathode (k, the end with the "
            "ring) and not back. In a wire it keeps one circuit from feeding another; across a "
            "coil, its ring to plus, it takes the kick when the coil is switched off.",
            "It is added by an answer, its amps and the contact that its anode looks to:",
            'wiremap next JOB --about "old.7 - new.7.diode" --answer "1 A, anode at old.7" '
            "--by NAME",
        ),
        "resistor": (
            "A resistor takes volts off a wire (a lamp's, 470 ohm), or holds one at a level; 120 "
            "ohm across a CAN pair end the bus. What it turns into heat is its watts: volts times "
            "volts by ohms.",
            "It is added by an answer, its ohms and watts; across a CAN pair at its high half:",
            'wiremap next JOB --about "old.5 - new.5.resistor" --answer "470 ohm, 0.5 W" --by NAME',
            'wiremap next JOB --about old.10.resistor --answer "120 ohm, 0.25 W" --by NAME',
        ),
    }
)
WHERE = (
    "Where the two contacts are joined it goes into the wire of the second, where each has a "
    "circuit of its own across the two joints; the answer none takes it out again. From then on "
    "check, sheet, ring-out and first power have it."
)
