"""Jobs for the sizing tests, built from plain rows; figures of the invented salt spreader."""

from __future__ import annotations

from dataclasses import replace

from wiremap.graph import Harness
from wiremap.model import (
    Accepts,
    Cavity,
    Circuit,
    End,
    EndKind,
    Extra,
    ExtraKind,
    Fed,
    Job,
    JointKind,
    KeepOut,
    Leaflet,
    Pinout,
    Run,
    Side,
    Supply,
    Surroundings,
    Twist,
    Wire,
    frozen,
)
from wiremap.naming import Meaning


def cavity(
    name: str, function: str, csa: float | None = None, amps: float | None = None, **more: object
) -> Cavity:
    wire = Wire(f"{csa:g} RD", csa) if csa else None
    good = more.pop("good", None)
    return Cavity(
        name=name,
        reading=Meaning(function),
        amps=amps,
        wire=wire,
        accepts=Accepts(amps=good),
        **more,
    )  # type: ignore[arg-type]


def pinout(name: str, rows: list[Cavity], **more: object) -> Pinout:
    return Pinout(
        title=name, path=f"{name}.yaml", cavities=frozen({c.name: c for c in rows}), **more
    )  # type: ignore[arg-type]


def wire(text: str, **more: object) -> Wire:
    return Wire(text, float(text.split()[0]), **more)  # type: ignore[arg-type]


LOOM = [
    cavity("1", "permanent-supply", 0.75, 3.0, good=8),
    cavity("2", "power-ground", 0.75, 3.0),
    cavity("3", "high-side-drive", 0.75, 1.2),
    cavity("4", "wake", 0.35, 0.005),
    cavity("5", "high-side-drive", 0.75, 1.2),
    cavity("6", "can-high", 0.35, pair="implement"),
    cavity("7", "can-low", 0.35, pair="implement"),
    cavity("8", "sensor-return", 0.5, 0.03),
    cavity("9", "interlock-out", 0.5, 0.01),
    cavity("10", "interlock-back", 0.5, 0.01),
    cavity("11", "sensor-supply", 0.35, 0.03),
    cavity("12", "analogue-input", 0.35),
    cavity("13", "pulse-input", 0.35),
]
DONOR = [
    cavity("1", "power-ground", 0.5, 0.9, good=13),
    cavity("2", "power-ground", 1.0, 2.4, good=13),
    cavity("3", "permanent-supply", 0.5, 0.9, good=13),
    cavity("4", "permanent-supply", 1.0, 2.4, good=13),
    cavity("5", "sensor-supply", 0.35, 0.05),
    cavity("6", "sensor-return", 0.5, 0.05),
    cavity("7", "wake", 0.35, 0.005),
    cavity("8", "can-low", 0.35, pair="B"),
    cavity("9", "can-high", 0.35, pair="B"),
    cavity("10", "shield", 0.5, pair="B"),
    cavity("12", "high-side-drive", 0.5, 1.2, good=4),
    cavity("13", "high-side-drive", 0.5, 1.2, good=4),
    cavity("14", "interlock-back", 0.5, 0.01),
    cavity("15", "interlock-out", 0.5, 0.01),
    cavity("16", "analogue-input", 0.35),
    cavity("17", "pulse-input", 0.35),
    cavity("18", "coding", 0.35),
]
GATEWAY = [
    cavity("1", "can-high", good=4, pair="port A"),
    cavity("2", "can-low", good=4, pair="port A"),
    cavity("3", "can-low", good=4, pair="port B"),
    cavity("4", "can-high", good=4, pair="port B"),
    cavity("5", "shield"),
    cavity("7", "power-ground", None, 0.6, good=4),
    cavity("8", "permanent-supply", None, 0.15, peak_amps=0.6, good=4),
]
SOCKET = [cavity("16", "permanent-supply", 1.0, good=4)]
STRAIGHT = {
    "supply": ("loom.1", "donor.3", "donor.4"),
    "ground": ("loom.2", "donor.1", "donor.2"),
    "spinner": ("loom.3", "donor.12"),
    "conveyor": ("loom.5", "donor.13"),
    "wake": ("loom.4", "donor.7"),
    "return": ("loom.8", "donor.6", "donor.18"),
    "guard-out": ("loom.9", "donor.15"),
    "guard-back": ("loom.10", "donor.14"),
    "ref5": ("loom.11", "donor.5"),
    "level": ("loom.12", "donor.16"),
    "speed": ("loom.13", "donor.17"),
}
NEW = {
    "bus-a-hi": (("loom.6", "gateway.1"), wire("0.35 YE"), 250.0),
    "bus-a-lo": (("loom.7", "gateway.2"), wire("0.35 GN"), 250.0),
    "bus-b-hi": (("gateway.4", "donor.9", "R1.a"), wire("0.35 WH"), 300.0),
    "bus-b-lo": (("gateway.3", "donor.8", "R1.b"), wire("0.35 BU"), 300.0),
    "shield-b": (("gateway.5", "donor.10"), wire("0.5 bare", bare=True), 300.0),
    "feed-a": (("feed.16", "F1.a"), wire("0.5 RD"), 150.0),
    "feed-b": (("F1.b", "gateway.8"), wire("0.5 RD"), 600.0),
    "gw-gnd": (("gateway.7", "G1"), wire("0.5 BN"), 300.0),
}

LEAFLET = Leaflet(fuse_amps=2, min_csa_mm2=0.5)


TWISTS = frozen(
    {
        "a": Twist(name="a", circuits=("bus-a-hi", "bus-a-lo"), drain=None, mm=250),
        "b": Twist(name="b", circuits=("bus-b-hi", "bus-b-lo"), drain="shield-b", mm=300),
    }
)


def spreader(
    f1: float | None = None,
    tails: tuple[float, float] = (350, 400),
    leaflet: Leaflet | None = LEAFLET,
    f7: float | None = 5,
    **more: object,
) -> Harness:
    """The spreader's job; `f1` None asks the tool to size F1."""
    ends = spreader_ends(tails, leaflet, f7)
    extras = [
        Extra(name="F1", kind=ExtraKind.FUSE, detail="blade", amps=f1, size_wanted=f1 is None),
        Extra(name="G1", kind=ExtraKind.STUD, detail="M6"),
        Extra(name="R1", kind=ExtraKind.RESISTOR, ohms=120, watts=0.5),
    ]
    job = Job(
        title="demo",
        path="job.yaml",
        ends=frozen({end.name: end for end in ends}),
        circuits=spreader_circuits(),
        extras=frozen({extra.name: extra for extra in extras}),
        supply=Supply(volts=12, min_volts=9, max_volts=15),
        surroundings=Surroundings(ambient_C=60, wet=True, moves="none"),
        runs=(Run(a="loom", b="donor", mm=390, keep_out=(KeepOut(0, 40), KeepOut(350, 390))),),
        twists=TWISTS,
    )
    return Harness(replace(job, **more))  # type: ignore[arg-type]


def spreader_circuits() -> tuple[Circuit, ...]:
    """The tails crimped to one another, and the new wires."""
    straight = [
        Circuit(id=name, join=join, joint=JointKind.BUTT_CRIMP) for name, join in STRAIGHT.items()
    ]
    new = [
        Circuit(id=name, join=join, joint=JointKind.BUTT_CRIMP, wire=drawn, length_mm=mm)
        for name, (join, drawn, mm) in NEW.items()
    ]
    return (*straight, *new)


def spreader_ends(
    tails: tuple[float, float], leaflet: Leaflet | None, f7: float | None
) -> tuple[End, ...]:
    return (
        End(
            name="loom",
            pinout=pinout("loom", LOOM),
            kind=EndKind.CUT_TAIL,
            side=Side.MACHINE,
            tail_mm=tails[0],
            fed=frozen({"1": fed("1", "F7", amps=f7, found=10, milliohm=20, mm=4000)}),
        ),
        End(
            name="donor",
            pinout=pinout("donor", DONOR),
            kind=EndKind.PIGTAIL,
            side=Side.UNIT,
            tail_mm=tails[1],
        ),
        End(
            name="gateway",
            pinout=pinout("gateway", GATEWAY, leaflet=leaflet),
            kind=EndKind.MATE,
            side=Side.BETWEEN,
        ),
        End(
            name="feed",
            pinout=pinout("feed", SOCKET),
            kind=EndKind.TAP,
            side=Side.MACHINE,
            fed=frozen({"16": fed("16", "socket fuse", amps=15, found=None, milliohm=40, mm=1500)}),
        ),
    )


def fed(
    name: str, fuse: str, *, amps: float | None, found: float | None, milliohm: float, mm: float
) -> Fed:
    return Fed(
        cavity=name,
        fuse=fuse,
        fuse_amps=amps,
        found_amps=found,
        milliohm=milliohm,
        length_mm=mm,
    )
