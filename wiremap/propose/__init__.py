"""From two generations of connectors to a proposed mapping, graded by identity.

The best score alone never decides.  Imports `evidence` (what notebooks prove), `files` (to write a
job) and what lies below them.  Begin reading at `mapping`, which is the whole course, then
`compare`.
"""

from wiremap.propose.again import ProposedAgain, propose_again, sides_of
from wiremap.propose.compare import compare
from wiremap.propose.mapping import propose
from wiremap.propose.noted_sides import notebooks_of_job
from wiremap.propose.result import NeedsLogic, NoHome, Proposal, Proposed, as_job, assumed_supply
from wiremap.propose.sides import NamedPinouts

__all__ = [
    "NamedPinouts",
    "NeedsLogic",
    "NoHome",
    "Proposal",
    "Proposed",
    "ProposedAgain",
    "as_job",
    "assumed_supply",
    "compare",
    "notebooks_of_job",
    "propose",
    "propose_again",
    "propose_map",
    "sides_of",
]

propose_map = propose  # the package's own name for it: `wiremap.propose` is this room
