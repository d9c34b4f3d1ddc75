"""What a job file says: the adapter or splice to be built."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from wiremap.base import Place
from wiremap.model.address import Address, hold_addresses
from wiremap.model.notebook import Entry, Notebook, without_struck, without_waiting
from wiremap.model.pinout import Cavity, Connector, Pinout, frozen
from wiremap.model.quantities import Wire
from wiremap.model.words import EndKind, ExtraKind, Grade, JointKind, OnOff, Side, Treat
from wiremap.trade.limits import limit

TAILS = (EndKind.CUT_TAIL, EndKind.PIGTAIL)
FUSE_LEGS = ("a", "b")
DIODE_LEGS = ("a", "k")  # anode, cathode
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
class Fed:
    """How a machine-side contact is fed upstream; `unfused` is the written answer `none`."""

    cavity: str
    fuse: str | None = None  # its name in the machine's box
    fuse_amps: float | None = None  # as it shall be
    found_amps: float | None = None  # as it was found
    milliohm: float | None = None  # of the source path
    length_mm: float | None = None  # from fuse to interface, one way
    unfused: bool = False
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """A connector or cut tail that takes part in the job."""

    name: str
    pinout: Pinout
    kind: EndKind  # the file's key is `is`
    side: Side
    tail_mm: float | None = None
    limit_C: float | None = None  # what the insulation of its wires stands
    mated: bool = False
    fed: Mapping[str, Fed] = field(default_factory=frozen)
    switches: Mapping[str, OnOff] = field(default_factory=frozen)  # as answered on the end
    place: Place | None = None

    @property
    def has_tail(self) -> bool:
        """Whether each contact brings its own conductor."""
        return self.kind in TAILS

    @property
    def connector(self) -> Connector:
        """The half of the connector that this job works on.

        A mate at the machine's side goes into the machine's own half, which is what its paper
        shows, so it is the other half; everywhere else it is what the paper shows.
        """
        if self.kind == EndKind.MATE and self.side == Side.MACHINE:
            return self.pinout.connector.other_half()
        return self.pinout.connector


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """A fuse, resistor, diode or stud of the job."""

    name: str
    kind: ExtraKind
    detail: str = ""  # blade; M6
    amps: float | None = None  # fuse or diode; None with `size_wanted`: the tool is asked to choose
    size_wanted: bool = False
    ohms: float | None = None
    watts: float | None = None
    at_mm: float | None = None
    place: Place | None = None

    @property
    def legs(self) -> tuple[Address, ...]:
        """Addresses of its connection points."""
        if self.kind == ExtraKind.STUD:
            return (Address(self.name),)
        legs = DIODE_LEGS if self.kind == ExtraKind.DIODE else FUSE_LEGS
        return tuple(Address(self.name, leg) for leg in legs)


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """One conductor of a joint of several."""

    wire: Wire | None = None
    length_mm: float | None = None
    at_mm: float | None = None
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """Points that shall become one metal."""

    id: str
    join: tuple[Address, ...]
    joint: JointKind | None = None
    wire: Wire | None = None
    length_mm: float | None = None
    at_mm: float | None = None
    supported: bool = False
    legs: Mapping[Address, Leg] = field(default_factory=frozen)
    grade: Grade | None = None
    because: tuple[str, ...] = ()
    place: Place | None = None
    join_places: tuple[Place, ...] = ()  # one per entry of `join`
    places: Mapping[str, Place] = field(default_factory=frozen)

    def __post_init__(self) -> None:
        hold_addresses(self, "join")

    def at(self, key: str) -> Place | None:
        """Where a key of this circuit stands, or the circuit itself."""
        return self.places.get(key, self.place)


@dataclass(frozen=True, slots=True, kw_only=True)
class NotJoined:
    """A cavity left out on purpose."""

    point: Address
    why: str = ""
    treat: Treat | None = None
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Confirmed:
    """A named person's settlement of a circuit that was graded below `certain`."""

    circuit: str
    by: str
    date: str
    how: str
    place: Place | None = None
    of: str | None = None  # fingerprint of the points as they stood; None: as they now stand


@dataclass(frozen=True, slots=True)
class KeepOut:
    """A stretch of a run where no joint may lie, in mm from the first end's datum."""

    from_mm: float
    to_mm: float
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """The distance between two datums."""

    a: str
    b: str
    mm: float | None
    keep_out: tuple[KeepOut, ...] = ()
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Twist:
    """Circuits that share one twist, with their drain."""

    name: str
    circuits: tuple[str, ...]
    drain: str | None = None
    mm: float | None = None
    untwisted_mm: float | None = None
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
    withdrawn: str | None = None
    place: Place | None = None
    replaced: tuple[Replaced, ...] = ()  # by answers of its notebooks, once they are laid over
    digest: str = ""  # over the bytes of job, pinouts and notebooks: names this exact paper

    def __post_init__(self) -> None:
        notebooks = without_waiting(without_struck(self.notebooks))
        object.__setattr__(self, "notebooks", notebooks)

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
    """An address parted at its first dot: owner and cavity or leg (`G1` and `chassis` have no
    second part).
    """
    parted = Address.read(address)
    return parted.end, parted.cavity
