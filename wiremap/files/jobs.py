"""From a job file's tree to the model: short and full forms alike."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from wiremap.base import Place
from wiremap.files.plain_fields import Fields
from wiremap.files.hints import short
from wiremap.files.strict import Map, Node, Scalar, Seq
from wiremap.files.wires import WireReader
from wiremap.model import (
    CHASSIS,
    Circuit,
    Confirmed,
    End,
    Extra,
    Fed,
    Job,
    KeepOut,
    Leg,
    Notebook,
    NotJoined,
    Pinout,
    Run,
    Supply,
    Surroundings,
    Twist,
    Wire,
    frozen,
)

TOP = (
    "wiremap",
    "title",
    "supply",
    "surroundings",
    "ends",
    "runs",
    "twists",
    "extras",
    "circuits",
    "not_joined",
    "confirmed",
    "readings",
    "id",
    "revision",
    "withdrawn",
    "notes",
)
KINDS = ("cut-tail", "pigtail", "mate", "tap")
SIDE_OF = {"machine": "machine", "unit": "unit", "between": "between"}
END = ("pinout", "is", "side", "tail_mm", "mated", "fed", "switches")
FED = ("fuse", "fuse_amps", "found_amps", "milliohm", "length_mm")
CIRCUIT = ("id", "join", "joint", "wire", "length_mm", "at_mm", "supported", "legs", "grade", "because", "notes")
JOINTS = ("butt-crimp", "open-barrel", "lap-solder", "solder-sleeve")
TREATS = ("blank", "cap", "leave")
GRADES = ("certain", "likely", "ask")
EXTRAS = ("fuse", "amps", "resistor", "watts", "diode", "stud", "at_mm")
EXTRA_KINDS = ("fuse", "resistor", "diode", "stud")
_DASH = re.compile(r"\s+[-–—]\s+")

GetPinout = Callable[[Node, str], Pinout | None]
GetNotebook = Callable[[Node, str], Notebook | None]


class JobReader:
    """Reads one job; pinouts and notebooks come through the two callables, so that files are opened elsewhere."""

    def __init__(self, fields: Fields, pinout: GetPinout, notebook: GetNotebook) -> None:
        self.f = fields
        self._pinout = pinout
        self._notebook = notebook
        self._bare = 0

    def read(self, root: Map) -> Job:
        """The whole file."""
        f, top = self.f, self.f.table(root, "job", TOP)
        get = top.get
        ends = self._ends(get("ends"), root)
        extras = self._extras(get("extras"), ends)
        circuits = self._circuits(get("circuits"), root)
        return Job(
            self._name(get("title"), "title") or "",
            f.document.shown,
            frozen(ends),
            circuits,
            frozen(extras),
            frozen(self._not_joined(get("not_joined"))),
            self._confirmed(get("confirmed")),
            self._supply(get("supply")),
            self._surroundings(get("surroundings")),
            self._runs(get("runs"), ends),
            frozen(self._twists(get("twists"), circuits)),
            tuple(n for i in f.items(node, "readings") if (n := self._notebook(i, "readings")))
            if (node := get("readings"))
            else (),
            self._name(get("id"), "id"),
            f.whole(n, "revision") if (n := get("revision")) else None,
            self._text(get("withdrawn"), "withdrawn"),
            f.place(root),
        )

    def _name(self, node: Node | None, where: str) -> str | None:
        return None if node is None else self.f.name(node, where)

    def _text(self, node: Node | None, where: str) -> str | None:
        return None if node is None else self.f.text(node, where)

    def _number(
        self, node: Node | None, where: str, low: float = 0.0, high: float = 1e6, unit: str = ""
    ) -> float | None:
        return None if node is None else self.f.number(node, where, low, high, unit)

    def _choice(self, node: Node | None, where: str, options: tuple[str, ...]) -> str | None:
        return None if node is None else self.f.choice(node, where, options)

    # -- ends and extras --------------------------------------------------------------------------

    def _ends(self, node: Node | None, root: Map) -> dict[str, End]:
        if node is None:
            self.f.wrong(
                "missing-key",
                "`ends` is missing: a job names the connectors that take part",
                root,
                "For example `ends: {loom: old.yaml, donor: new.yaml}`.",
            )
            return {}
        ends = {}
        for key, value in self.f.entries(node, "ends"):
            if self._good_name(key, "end", ends):
                end = self._end(key, value)
                if end is not None:
                    ends[key.text] = end
        return ends

    def _good_name(self, key: Scalar, what: str, taken: Mapping[str, object]) -> bool:
        text = key.text
        if not text or "." in text or text == CHASSIS or text.startswith("~") or re.search(r"\s", text):
            self.f.wrong(
                "wrong-name",
                f"`{short(text)}` cannot name an {what}: no dots, no spaces, and `{CHASSIS}` is taken",
                key,
                "An address such as loom.1 is parted at its first dot.",
            )
            return False
        if text in taken:
            self.f.wrong(
                "wrong-name",
                f"`{short(text)}` names an end and an extra; they share one set of names",
                key,
                "Rename one of them.",
            )
            return False
        return True

    def _end(self, key: Scalar, node: Node) -> End | None:
        name, where, place = key.text, f"end {short(key.text)}", self.f.place(key)
        if isinstance(node, Scalar):
            pinout = self._pinout(node, where)
            self._bare += 1
            kind, side = ("cut-tail", "machine") if self._bare == 1 else ("pigtail", "unit")
            return None if pinout is None else End(name, pinout, kind, side, place=place)
        f, found = self.f, self.f.table(node, where, END)
        if "pinout" not in found:
            f.wrong(
                "missing-key",
                f"{where}: `pinout` is missing",
                node,
                "Name the pinout file, for example pinout: old.yaml.",
            )
            return None
        pinout = self._pinout(found["pinout"], where)
        kind = self._choice(found.get("is"), f"{where}: is", KINDS) or ""
        side = self._choice(found.get("side"), f"{where}: side", tuple(SIDE_OF)) or ""
        for missing, options in ((("is", KINDS),) if "is" not in found else ()) + (
            (("side", tuple(SIDE_OF)),) if "side" not in found else ()
        ):
            f.wrong("missing-key", f"{where}: `{missing}` is missing", node, f"One of: {', '.join(options)}.")
        if pinout is None or not kind or not side:
            return None
        fed = self._fed(found["fed"], where, pinout) if "fed" in found else {}
        switches = {}
        for switch, value in f.entries(found["switches"], f"{where}: switches") if "switches" in found else ():
            if switch.text not in pinout.switches:
                f.wrong(
                    "unknown-name",
                    f"{where}: its pinout has no switch {short(switch.text)}",
                    switch,
                    f"Switches there: {', '.join(sorted(pinout.switches)) or 'none'}.",
                )
            elif state := f.choice(value, f"{where}: switch {short(switch.text)}", ("on", "off")):
                switches[switch.text] = state
        mated = bool("mated" in found and f.truth(found["mated"], f"{where}: mated"))
        return End(
            name,
            pinout,
            kind,
            side,
            self._number(found.get("tail_mm"), f"{where}: tail_mm", 1, 100_000, "mm"),
            mated,
            frozen(fed),
            frozen(switches),
            place,
        )

    def _fed(self, node: Node, where: str, pinout: Pinout) -> dict[str, Fed]:
        fed = {}
        for key, value in self.f.entries(node, f"{where}: fed"):
            spot, place = f"{where}: fed {short(key.text)}", self.f.place(key)
            if key.text not in pinout.cavities:
                self.f.wrong("unknown-cavity", f"{spot}: its pinout has no cavity {short(key.text)}", key)
                continue
            if isinstance(value, Scalar):
                if value.text.casefold() == "none":
                    fed[key.text] = Fed(key.text, unfused=True, place=place)
                elif (amps := self.f.number(value, spot, 0.1, 1000, "A")) is not None:
                    fed[key.text] = Fed(key.text, fuse_amps=amps, place=place)
                continue
            found = self.f.table(value, spot, FED)
            fuse = self._name(found.get("fuse"), f"{spot}: fuse")
            fed[key.text] = Fed(
                key.text,
                fuse,
                self._number(found.get("fuse_amps"), f"{spot}: fuse_amps", 0.1, 1000, "A"),
                self._number(found.get("found_amps"), f"{spot}: found_amps", 0.1, 1000, "A"),
                self._number(found.get("milliohm"), f"{spot}: milliohm", 0, 100_000, "milliohm"),
                self._number(found.get("length_mm"), f"{spot}: length_mm", 0, 1e6, "mm"),
                (fuse or "").casefold() == "none",
                place,
            )
        return fed

    def _extras(self, node: Node | None, ends: Mapping[str, End]) -> dict[str, Extra]:
        extras: dict[str, Extra] = {}
        for key, value in self.f.entries(node, "extras") if node is not None else ():
            if self._good_name(key, "extra", ends):
                extra = self._extra(key, value)
                if extra is not None:
                    extras[key.text] = extra
        return extras

    def _extra(self, key: Scalar, node: Node) -> Extra | None:
        where, f = f"extra {short(key.text)}", self.f
        found = f.table(node, where, EXTRAS)
        kinds = [k for k in EXTRA_KINDS if k in found]
        if len(kinds) != 1:
            f.wrong(
                "wrong-shape",
                f"{where}: one of fuse, resistor, diode, stud tells what it is",
                node,
                "For example {fuse: blade, amps: 2}, {resistor: 120, watts: 0.5}, {diode: 3} or {stud: M6}.",
            )
            return None
        kind, place = kinds[0], f.place(key)
        at_mm = self._number(found.get("at_mm"), f"{where}: at_mm", 0, 1e6, "mm")
        if kind == "resistor":
            ohms = f.number(found[kind], f"{where}: resistor", 0.001, 1e8, "ohm")
            return Extra(
                key.text,
                kind,
                "",
                ohms=ohms,
                watts=self._number(found.get("watts"), f"{where}: watts", 0.01, 1000, "W"),
                at_mm=at_mm,
                place=place,
            )
        if kind == "diode":
            return Extra(
                key.text,
                kind,
                "",
                amps=f.number(found[kind], f"{where}: diode", 0.001, 1000, "A"),
                at_mm=at_mm,
                place=place,
            )
        detail = f.name(found[kind], f"{where}: {kind}") or ""
        if kind == "stud":
            return Extra(key.text, kind, detail, at_mm=at_mm, place=place)
        amps = found.get("amps")
        wanted = isinstance(amps, Scalar) and amps.text.casefold() == "size"
        return Extra(
            key.text,
            kind,
            detail,
            None if wanted else self._number(amps, f"{where}: amps", 0.1, 1000, "A"),
            wanted,
            at_mm=at_mm,
            place=place,
        )

    # -- circuits ---------------------------------------------------------------------------------

    def _circuits(self, node: Node | None, root: Map) -> tuple[Circuit, ...]:
        if node is None:
            self.f.wrong(
                "missing-key",
                "`circuits` is missing: a job says what is joined",
                root,
                "For example `circuits: [loom.1 - donor.3]`.",
            )
            return ()
        circuits: list[Circuit] = []
        seen: dict[str, Place] = {}
        for item in self.f.items(node, "circuits"):
            circuit = self._line(item) if isinstance(item, Scalar) else self._circuit(item)
            if circuit is None:
                continue
            if circuit.id in seen:
                self.f.wrong(
                    "duplicate-id",
                    f"two circuits are called {short(circuit.id)}",
                    item,
                    "Give one of them another id.",
                    also=((seen[circuit.id], "first here"),),
                )
                continue
            seen[circuit.id] = self.f.place(item)
            circuits.append(circuit)
        return tuple(circuits)

    def _line(self, node: Scalar) -> Circuit | None:
        names = [part.strip() for part in _DASH.split(node.text)]
        if len(names) < 2 or not all(names):
            self.f.wrong(
                "wrong-shape",
                f"circuit `{short(node.text)}`: two points with ` - ` between are wanted",
                node,
                "For example `loom.1 - donor.3`, with a space on each side of the dash.",
            )
            return None
        place = self.f.place(node)
        if not all(self._address(name, node, "circuit") for name in names):
            return None
        return Circuit(names[0], tuple(names), place=place, join_places=(place,) * len(names))

    def _circuit(self, node: Node) -> Circuit | None:
        f, found = self.f, self.f.table(node, "circuit", CIRCUIT)
        get = found.get
        if "join" not in found:
            if isinstance(node, Map):
                f.wrong("missing-key", "circuit: `join` is missing", node, "For example join: [loom.1, donor.3].")
            return None
        join = found["join"]
        if isinstance(join, Scalar) and _DASH.search(join.text):
            line = self._line(join)
            names, nodes = (line.join, [join] * len(line.join)) if line else ((), [])
        else:
            nodes = [i for i in f.items(join, "circuit: join") if isinstance(i, Scalar) or f.name(i, "circuit: join")]  # type: ignore[misc]
            names = tuple(t for i in nodes if (t := f.name(i, "circuit: join")))
        if not names or not all(self._address(n, i, "circuit: join") for n, i in zip(names, nodes, strict=False)):
            return None
        identity = self._name(get("id"), "circuit: id") or names[0]
        where = f"circuit {short(identity)}"
        wire = WireReader()(f.to, n, f"{where}: wire") if (n := get("wire")) else None
        because = (
            tuple(t for i in f.items(n, f"{where}: because") if (t := f.text(i, where)))
            if (n := get("because"))
            else ()
        )
        return Circuit(
            identity,
            names,
            self._choice(get("joint"), f"{where}: joint", JOINTS),
            wire,
            self._number(get("length_mm"), f"{where}: length_mm", 1, 1e6, "mm"),
            self._number(get("at_mm"), f"{where}: at_mm", 0, 1e6, "mm"),
            bool(f.truth(n, f"{where}: supported")) if (n := get("supported")) else False,
            frozen(self._legs(get("legs"), where, names)),
            self._choice(get("grade"), f"{where}: grade", GRADES),
            because,
            f.place(node),
            tuple(f.place(i) for i in nodes),
            frozen({k: f.place(v) for k, v in found.items()}),
        )

    def _address(self, text: str, node: Node, where: str) -> bool:
        if len(text) <= 200 and text and not text.startswith("~"):
            return True
        self.f.wrong("wrong-name", f"{where}: `{short(text)}` is no point such as loom.1", node)
        return False

    def _legs(self, node: Node | None, where: str, names: tuple[str, ...]) -> dict[str, Leg]:
        legs = {}
        for key, value in self.f.entries(node, f"{where}: legs") if node is not None else ():
            spot = f"{where}: leg {short(key.text)}"
            if key.text not in names:
                self.f.wrong(
                    "unknown-name",
                    f"{spot}: this circuit does not join {short(key.text)}",
                    key,
                    f"It joins {', '.join(map(short, names))}.",
                )
                continue
            found = self.f.table(value, spot, ("wire", "length_mm", "at_mm"))
            wire: Wire | None = WireReader()(self.f.to, n, f"{spot}: wire") if (n := found.get("wire")) else None
            legs[key.text] = Leg(
                wire,
                self._number(found.get("length_mm"), f"{spot}: length_mm", 1, 1e6, "mm"),
                self._number(found.get("at_mm"), f"{spot}: at_mm", 0, 1e6, "mm"),
                self.f.place(key),
            )
        return legs

    # -- the rest ---------------------------------------------------------------------------------

    def _not_joined(self, node: Node | None) -> dict[str, NotJoined]:
        found: dict[str, NotJoined] = {}
        if isinstance(node, Seq) and not node.items:
            return found
        for key, value in self.f.entries(node, "not_joined") if node is not None else ():
            where = f"not_joined {short(key.text)}"
            if isinstance(value, Scalar):
                found[key.text] = NotJoined(key.text, self.f.text(value, where) or "", None, self.f.place(key))
                continue
            entry = self.f.table(value, where, ("why", "treat"))
            found[key.text] = NotJoined(
                key.text,
                self._text(entry.get("why"), f"{where}: why") or "",
                self._choice(entry.get("treat"), f"{where}: treat", TREATS),
                self.f.place(key),
            )
        return found

    def _confirmed(self, node: Node | None) -> tuple[Confirmed, ...]:
        found = []
        for item in self.f.items(node, "confirmed") if node is not None else ():
            entry = self.f.table(item, "confirmed", ("circuit", "by", "date", "how"))
            texts = {k: self._text(entry.get(k), f"confirmed: {k}") or "" for k in ("circuit", "by", "date", "how")}
            for key in ("circuit", "by", "how"):
                if not texts[key] and isinstance(item, Map):
                    self.f.wrong(
                        "missing-key",
                        f"confirmed: `{key}` is missing",
                        item,
                        "A settlement names the circuit, the person, and how it was found out.",
                    )
            found.append(Confirmed(texts["circuit"], texts["by"], texts["date"], texts["how"], self.f.place(item)))
        return tuple(found)

    def _supply(self, node: Node | None) -> Supply:
        if node is None:
            return Supply()
        if isinstance(node, Scalar):
            return Supply(self.f.number(node, "supply", 1, 1500, "V"), place=self.f.place(node))
        found = self.f.table(node, "supply", ("volts", "min_volts", "max_volts"))
        volts, low, high = (
            self._number(found.get(k), f"supply: {k}", 0, 1500, "V") for k in ("volts", "min_volts", "max_volts")
        )
        if (low is not None and high is not None and low > high) or (
            volts is not None and ((low is not None and low > volts) or (high is not None and high < volts))
        ):
            self.f.wrong("out-of-range", "supply: min_volts, volts and max_volts must rise in that order", node)
        return Supply(volts, low, high, self.f.place(node))

    def _surroundings(self, node: Node | None) -> Surroundings:
        if node is None:
            return Surroundings()
        f, found = self.f, self.f.table(node, "surroundings", ("ambient_C", "wet", "moves", "bundle"))
        return Surroundings(
            self._number(found.get("ambient_C"), "surroundings: ambient_C", -60, 200, "C"),
            f.truth(n, "surroundings: wet") if (n := found.get("wet")) else None,
            self._text(found.get("moves"), "surroundings: moves"),
            f.whole(n, "surroundings: bundle", 1, 1000) if (n := found.get("bundle")) else None,
            f.place(node),
        )

    def _runs(self, node: Node | None, ends: Mapping[str, End]) -> tuple[Run, ...]:
        runs = []
        for item in self.f.items(node, "runs") if node is not None else ():
            found = self.f.table(item, "run", ("between", "mm", "keep_out"))
            names = (
                [self.f.name(i, "run: between") for i in self.f.items(found["between"], "run: between")]
                if "between" in found
                else []
            )
            if len(names) != 2 or any(n not in ends for n in names):
                self.f.wrong(
                    "unknown-name",
                    "run: `between` names two ends of this job",
                    item,
                    f"Ends here: {', '.join(map(short, ends))}.",
                )
                continue
            keep = (
                tuple(k for i in self.f.items(n, "run: keep_out") if (k := self._keep_out(i)))
                if (n := found.get("keep_out"))
                else ()
            )
            runs.append(
                Run(
                    str(names[0]),
                    str(names[1]),
                    self._number(found.get("mm"), "run: mm", 1, 1e6, "mm"),
                    keep,
                    self.f.place(item),
                )
            )
        return tuple(runs)

    def _keep_out(self, node: Node) -> KeepOut | None:
        found = self.f.table(node, "keep_out", ("from", "to", "why"))
        low, high = (self._number(found.get(k), f"keep_out: {k}", 0, 1e6, "mm") for k in ("from", "to"))
        if low is None or high is None or low > high:
            self.f.wrong("out-of-range", "keep_out: `from` and `to` are wanted, in mm, rising", node)
            return None
        return KeepOut(low, high, self._text(found.get("why"), "keep_out: why") or "")

    def _twists(self, node: Node | None, circuits: tuple[Circuit, ...]) -> dict[str, Twist]:
        ids, twists = {c.id for c in circuits}, {}
        for key, value in self.f.entries(node, "twists") if node is not None else ():
            where = f"twist {short(key.text)}"
            found = self.f.table(value, where, ("circuits", "drain", "mm", "untwisted_mm"))
            names = (
                [t for i in self.f.items(n, where) if (t := self.f.name(i, where))]
                if (n := found.get("circuits"))
                else []
            )
            drain = self._name(found.get("drain"), f"{where}: drain")
            for name in [*names, *([drain] if drain else [])]:
                if name not in ids:
                    self.f.wrong(
                        "unknown-name",
                        f"{where}: there is no circuit {short(name)}",
                        value,
                        "Name circuits by their id (without an id: by their first point).",
                    )
            twists[key.text] = Twist(
                key.text,
                tuple(names),
                drain,
                self._number(found.get("mm"), f"{where}: mm", 1, 1e6, "mm"),
                self._number(found.get("untwisted_mm"), f"{where}: untwisted_mm", 0, 1e6, "mm"),
                self.f.place(key),
            )
        return twists
