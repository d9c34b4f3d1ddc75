"""What a job file says: the adapter or splice to be built."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from wiremap.base import Place
from wiremap.model.address import Address
from wiremap.model.cavity import Cavity
from wiremap.model.circuits import Circuit, Confirmed, NotJoined
from wiremap.model.ends import End
from wiremap.model.layout import Run, Twist
from wiremap.model.notebook import Entry, Notebook, without_struck, without_waiting
from wiremap.model.parts import Extra
from wiremap.model.pinout import Pinout
from wiremap.model.records import frozen
from wiremap.trade.limits import limit

CHASSIS = "chassis"
INSULATION_LIMIT_C = limit("insulation-C")


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """The machine's supply: nominal, lowest and highest volts, and what a job may lose of it."""

    volts: float | None = None
    min_volts: float | None = None
    max_volts: float | None = None
    drop_percent: float | None = None  # what a job may add to the drop unsigned, of nominal
    drop_stop_percent: float | None = None  # what it may add at all
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """Where the harness lives; None means not stated."""

    ambient_C: float | None = None
    wet: bool | None = None
    moves: str | None = None  # "none" or a wording of what moves
    bundle: int | None = None  # loaded wires lying together
    limit_C: float | None = None  # what the wires' insulation stands
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Replaced:
    """A value of the files that an answer took the place of; both are kept until one is changed."""

    about: str
    paper: str  # as the file states it
    answer: str
    entry: Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A whole job file with the pinouts and notebooks it names."""

    title: str
    path: str
    ends: Mapping[str, End]
    circuits: tuple[Circuit, ...]
    extras: Mapping[str, Extra] = field(default_factory=frozen)
    not_joined: Mapping[Address, NotJoined] = field(default_factory=frozen)
    confirmed: tuple[Confirmed, ...] = ()
    supply: Supply = Supply()
    surroundings: Surroundings = Surroundings()
    runs: tuple[Run, ...] = ()
    twists: Mapping[str, Twist] = field(default_factory=frozen)
    notebooks: tuple[Notebook, ...] = ()
    id: str | None = None
    revision: int | None = None
    withdrawn: str | None = None  # why, where it is
    place: Place | None = None
    replaced: tuple[Replaced, ...] = ()  # by answers of its notebooks, once they are laid over
    digest: str = ""  # over the bytes of job, pinouts and notebooks: names this exact paper

    def __post_init__(self) -> None:
        notebooks = without_waiting(without_struck(self.notebooks))
        object.__setattr__(self, "notebooks", notebooks)

    @property
    def entries(self) -> tuple[Entry, ...]:
        """Every entry of its notebooks that counts, in the order of the files."""
        return tuple(entry for notebook in self.notebooks for entry in notebook.entries)

    def limit_C(self, end: End | None = None, cavity: Cavity | None = None) -> float:
        """What the insulation of a wire stands [C]: as its contact, its end or the job states it.

        Where nothing is stated, that of common low-voltage wire (`limits.toml`).
        """
        for stated in (cavity, end, self.surroundings):
            if stated is not None and stated.limit_C is not None:
                return stated.limit_C
        return INSULATION_LIMIT_C

    def circuit(self, circuit_id: str) -> Circuit:
        """The circuit of that id; raises KeyError."""
        for circuit in self.circuits:
            if circuit.id == circuit_id:
                return circuit
        raise KeyError(circuit_id)


def withdrawals(paper: Job | Pinout) -> Iterator[Job | Pinout]:
    """The papers that have been withdrawn: this one, and of a job the pinouts that it rests on."""
    rests_on = [end.pinout for end in paper.ends.values()] if isinstance(paper, Job) else []
    return (one for one in (paper, *rests_on) if one.withdrawn is not None)


def split(address: str) -> tuple[str, str]:
    """An address, or what an answer is about, parted at its first dot: the owner, and its cavity,
    leg or key (empty for `G1` and `chassis`).
    """
    parted = Address.read(address)
    return parted.end, parted.cavity
