"""A table of pins becomes a pinout, a from/to list a job; nothing is dropped and nothing guessed about the view."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from pkgutil import get_data
from typing import Any, cast

from wiremap.base import Finding, Place, fault
from wiremap.files.dump import dump_job, dump_pinout
from wiremap.files.wires import BadWire, parse_wire
from wiremap.model import (
    Address,
    Basis,
    Cavity,
    Circuit,
    Connector,
    End,
    EndKind,
    Flow,
    Job,
    Need,
    Pinout,
    Side,
    Source,
    Span,
    Wire,
    frozen,
)
from wiremap.naming import Meaning, read_signal
from wiremap.share.sheets import Cell, Rows, read_rows
from wiremap.trade.colours import Letters, paper_letters
from wiremap.trade.functions import FUNCTIONS, normalise

FIELDS = (
    "cavity",
    "signal",
    "function",
    "flow",
    "volts",
    "amps",
    "size",
    "colour",
    "wire",
    "pair",
    "chain",
    "kbit_s",
    "need",
    "basis",
    "from",
    "to",
    "id",
    "notes",
)
AMPS, KBIT_S, MOST_VOLTS = (0.0, 1000.0), (1e-6, 1e7), 2000.0  # what a pinout file may say
UNUSED = frozenset(
    {
        "-",
        "--",
        "unused",
        "nc",
        "n/c",
        "n.c.",
        "not used",
        "not connected",
        "frei",
        "nicht belegt",
        "libre",
        "ledig",
        "vapaa",
    }
)
_MONTH = (
    r"(?:jan|feb|f[eé]v|m[aä]r|avr|apr|ma[yij]|mrz|jui?n|jui?l|aug|ao[uû]|sep|o[ck]t|nov|d[eé][cz]|tammi|helmi|maalis|huhti|touko|"
    r"kes[aä]|hein[aä]|elo|syys|loka|marras|joulu)[^\W\d]*\.?"
)
DATE = re.compile(
    r"\d{1,2}[-./]\d{1,2}[-./]\d{2,4}|\d{4}-\d{2}-\d{2}"
    rf"|\d{{1,2}}[-. ]{{1,2}}{_MONTH}(?:[-. ]\d{{2,4}})?|{_MONTH}[-. ]\d{{2,4}}",
    re.IGNORECASE,
)
EXPONENT = re.compile(
    r"\d(?:[.,]\d+)?E[+-]\d{2,3}", re.IGNORECASE
)  # as spreadsheets write it: sign and two digits
MOST_MM2 = 6.0  # a bare figure above it may be a gauge number
LOOK_DEEP = 12


@dataclass(frozen=True, slots=True)
class Intake:
    """What a table came to: files to write (name -> text), what was assumed, what was found wrong."""

    kind: str  # pinout, job or nothing
    files: Mapping[str, str] = field(default_factory=dict)
    assumed: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    pinout: Pinout | None = None


@cache
def _headers() -> Mapping[str, str]:
    data = get_data("wiremap.share", "headers.toml")
    assert data is not None
    words: dict[str, str] = {}
    for name, wordings in tomllib.loads(data.decode()).items():
        for wording in wordings:
            words.setdefault(_folded(wording), name)
    return words


def _folded(text: str) -> str:
    bare = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    return " ".join(re.sub(r"[^\w#/]+", " ", bare.casefold()).replace("_", " ").split())


def field_of(header: str) -> str | None:
    """The field that a column's heading means, or None."""
    folded = _folded(header)
    return _headers().get(folded) or _headers().get(_folded(re.sub(r"[(\[].*", "", header)))


def intake(
    path: Path | str,
    *,
    columns: Mapping[str, str] | None = None,
    letters: str | None = None,
    title: str | None = None,
) -> Intake:
    """Read a table; `columns` maps fields to headings or column numbers (from 1) where they cannot be told from the headings."""
    path = Path(path)
    table = read_rows(path)
    if table.findings:
        return Intake("nothing", findings=table.findings)
    if not table.rows:
        return Intake(
            "nothing",
            findings=(fault("empty-file", "the table holds no rows", Place(path.as_posix())),),
        )
    taker = _Taker(path, table, letters, title or path.stem)
    chosen = taker.columns(columns or {})
    if chosen is None:
        return Intake("nothing", assumed=tuple(taker.assumed), findings=tuple(taker.findings))
    if "from" in chosen and "to" in chosen:
        return taker.job(chosen)
    return taker.pinout(chosen)


class _Taker:
    def __init__(self, path: Path, table: Rows, letters: str | None, title: str) -> None:
        self.path, self.table, self.letters, self.title = path, table, letters, title
        self.assumed = [a for a in table.assumed if a]
        self.findings: list[Finding] = []
        self.heads: tuple[str, ...] = ()
        self.first = 0

    def _wrong(self, rule: str, message: str, row: int, fix: str = "") -> None:
        self.findings.append(fault(rule, message, Place(self.path.as_posix(), row), fix=fix))

    # -- columns --------------------------------------------------------------------------------

    def columns(self, asked: Mapping[str, str]) -> dict[str, int] | None:
        """Which column holds which field; None with a finding where that is not told."""
        rows = self.table.rows
        best, told = -1, dict[int, str]()
        for i, (_, cells) in enumerate(rows[:LOOK_DEEP]):
            found = {j: f for j, c in enumerate(cells) if (f := field_of(c.text))}
            if len(set(found.values())) >= 2 and len(found) > len(told):
                best, told = i, found
        if best < 0 and (named := {_folded(w) for w in asked.values() if not w.isdigit()}):
            heads = (
                i
                for i, (_, cells) in enumerate(rows[:LOOK_DEEP])
                if named <= {_folded(c.text) for c in cells}
            )
            best = next(heads, -1)
        if best >= 0:
            self.first, self.heads = best + 1, tuple(c.text for c in rows[best][1])
            for row, cells in rows[:best]:
                self.assumed.append(
                    f"row {row} above the headings is no pin: {' '.join(c.text for c in cells if c.text)[:200]}"
                )
        chosen: dict[str, int] = {}
        for j, f in sorted(told.items()):
            chosen.setdefault(f, j)
        for name, where in asked.items():
            index = self._asked(name, where)
            if index is None:
                return None
            chosen = {f: j for f, j in chosen.items() if j != index} | {name: index}
        if best < 0 and not asked and self._bare_pair():
            chosen = {"cavity": 0, "signal": 1}
            self.assumed.append(
                "no headings: first column taken as the cavity, second as the signal"
            )
        if "cavity" in chosen or {"from", "to"} <= chosen.keys():
            return chosen
        self._wrong(
            "no-cavity-column",
            "no column is headed as the cavity (pin, contact, position ...)",
            rows[max(best, 0)][0],
            "Name it: --columns cavity=1,signal=2 (numbers or headings).",
        )
        return None

    def _asked(self, name: str, where: str) -> int | None:
        width = max(len(cells) for _, cells in self.table.rows)
        if name not in FIELDS:
            self._wrong(
                "unknown-field",
                f"`{name}` is no field of a table; fields are {', '.join(FIELDS)}",
                1,
            )
            return None
        if where.isdigit() and 1 <= int(where) <= width:
            return int(where) - 1
        fit = [j for j, h in enumerate(self.heads) if _folded(h) == _folded(where)]
        if len(fit) == 1:
            return fit[0]
        self._wrong(
            "no-such-column",
            f"there is no one column {where!r} for {name}",
            1,
            f"Headings: {', '.join(h for h in self.heads if h) or 'none'}; or a number from 1 to {width}.",
        )
        return None

    def _bare_pair(self) -> bool:
        firsts = [cells[0].text for _, cells in self.table.rows if cells]
        return (
            all(0 < len(f) <= 12 and (len(f) <= 2 or any(c.isdigit() for c in f)) for f in firsts)
            and len(set(firsts)) == len(firsts)
            and any(len(cells) > 1 and cells[1].text for _, cells in self.table.rows)
        )

    def _rows(self) -> list[tuple[int, tuple[Cell, ...]]]:
        rows = list(self.table.rows[self.first :])
        for row, cells in rows:
            self.assumed += [
                f"row {row}: `{c.text[:60]}` is {c.damage} in the workbook: look whether it was meant"
                for c in cells
                if c.damage
            ]
        return rows

    def _name(self, cell: Cell, row: int, what: str) -> str | None:
        """A cavity's name, unless a spreadsheet has spoilt it."""
        text = cell.text
        if cell.damage or DATE.fullmatch(text) or EXPONENT.fullmatch(text):
            was = cell.damage or ("a date" if DATE.fullmatch(text) else "a number in exponent form")
            self._wrong(
                "spreadsheet-damage",
                f"row {row}: {what} `{text}` looks like {was}; a spreadsheet has changed it",
                row,
                "Format the column as text, type it again as the connector says, and save anew.",
            )
            return None
        if len(text) > 200:
            self._wrong("over-limit", f"row {row}: {what} is longer than 200 characters", row)
            return None
        return text

    # -- pinouts ----------------------------------------------------------------------------------

    def pinout(self, chosen: Mapping[str, int]) -> Intake:
        """One pinout from all rows."""
        rows = self._rows()
        paper = None if self.letters else paper_letters(_get(c, chosen, "colour") for _, c in rows)
        cavities: dict[str, Cavity] = {}
        comments: dict[str, str] = {}
        where: dict[str, int] = {}
        for row, cells in rows:
            name = self._name(
                cells[chosen["cavity"]] if chosen["cavity"] < len(cells) else Cell(""),
                row,
                "the cavity",
            )
            if name is None:
                continue
            if not name:
                self._wrong(
                    "missing-cavity",
                    f"row {row}: no cavity, but {' '.join(c.text for c in cells if c.text)[:80]!r}",
                    row,
                    "Fill it in, or delete the row.",
                )
                continue
            for single in self._singles(name):
                if single in cavities:
                    self._wrong(
                        "duplicate-cavity",
                        f"row {row}: cavity {single} stands twice, first in row {where[single]}",
                        row,
                        "Keep one.",
                    )
                    continue
                where[single] = row
                cavities[single], rest = self._cavity(single, cells, chosen, paper)
                if rest:
                    comments[single] = rest
        self._zeros(list(cavities))
        if self.findings or not cavities:
            if not cavities and not self.findings:
                self._wrong("empty-file", "the table names no cavity", 1)
            return Intake("nothing", assumed=tuple(self.assumed), findings=tuple(self.findings))
        pinout = Pinout(
            title=self.title,
            path=self.path.stem + ".yaml",
            cavities=frozen(cavities),
            connector=Connector(),
            letters=self.letters,
            source=Source(self.path.name, Basis.TOLD),
        )
        text = dump_pinout(pinout, header=self._header(), comments=comments)
        return Intake(
            "pinout", {f"{_file(self.path.stem)}.yaml": text}, tuple(self.assumed), (), pinout
        )

    def _singles(self, name: str) -> list[str]:
        """A cell such as `6-7` stands for a range of cavities."""
        hit = re.fullmatch(r"(\d{1,4})\s*[-–]\s*(\d{1,4})", name)
        if not hit or int(hit.group(1)) >= int(hit.group(2)):
            return [name]
        self.assumed.append(f"`{name}` is taken as the cavities {hit.group(1)} to {hit.group(2)}")
        return [str(i) for i in range(int(hit.group(1)), int(hit.group(2)) + 1)]

    def _header(self) -> list[str]:
        return [
            f"Taken from {self.path.name}.",
            *(f"Assumed: {a}." for a in self.assumed),
            "No face is drawn: a table does not tell from which side it was numbered.",
        ]

    def _cavity(
        self, name: str, cells: tuple[Cell, ...], chosen: Mapping[str, int], paper: Letters | None
    ) -> tuple[Cavity, str]:
        def get(key: str) -> str:
            return _get(cells, chosen, key)

        signal, stated = get("signal"), None
        left = self._left(cells, set(chosen.values()))
        if text := get("function"):
            stated = normalise(text)
            if stated is None and not signal:
                signal = text  # people head the column of names so
            elif stated is None:
                left.append(f"function: {text}")
                meant = read_signal(text).function
                stated = (
                    meant if FUNCTIONS[meant].refused else None
                )  # what must not be touched is never a mere remark
        wire, doubt = self._wire(
            self._sized(get("size"), chosen), get("colour"), get("wire"), paper
        )
        if doubt:
            left.append(doubt)
        volts, amps, kbit = (
            _span(get("volts")),
            _within(get("amps"), *AMPS),
            _within(get("kbit_s"), *KBIT_S),
        )
        for key, value in (("volts", volts), ("amps", amps), ("kbit_s", kbit)):
            if get(key) and value is None:
                left.append(f"{key}: {get(key)}")
        words: dict[str, Any] = {}
        for key, options in (("flow", Flow), ("need", Need), ("basis", Basis)):
            if get(key) in tuple(options):
                words[key] = options(get(key))
            elif get(key):
                left.append(f"{key}: {get(key)}")
        if note := get("notes"):
            left.append(note)
        if stated == "unused" or (stated is None and signal.casefold() in UNUSED):
            reading, signal = (
                Meaning("unused", how="stated", settled=True),
                signal if stated else "",
            )
        else:
            reading = read_signal(
                signal, stated=stated, volts=(volts.low, volts.high) if volts else None
            )
        return Cavity(
            name=name,
            reading=reading,
            signal=signal,
            volts=volts,
            amps=amps,
            kbit_s=kbit,
            wire=wire,
            pair=get("pair") or None,
            chain=get("chain") or None,
            **words,
        ), "; ".join(left)

    def _sized(self, size: str, chosen: Mapping[str, int]) -> str:
        """A size with its unit: a bare figure under a heading that says AWG is a gauge, a large one elsewhere is left alone."""
        heading = (
            _folded(self.heads[chosen["size"]])
            if "size" in chosen and chosen["size"] < len(self.heads)
            else ""
        )
        if re.fullmatch(r"\d+(?:/0)?", size) and "awg" in heading:
            return f"{size} AWG"
        bare = _number(size.rstrip("?"))
        if bare is not None and "mm" not in heading and ("gauge" in heading or bare > MOST_MM2):
            return f"{size} (mm2 or gauge?)"
        return size

    def _wire(
        self, size: str, colour: str, whole: str, paper: Letters | None
    ) -> tuple[Wire | None, str]:
        text = " ".join(t for t in (_size(size), colour) if t) or whole
        if not text:
            return None, ""
        found = parse_wire(text, cast(Letters | None, self.letters), paper)
        if not isinstance(found, BadWire):
            return found, f"wire: {whole}" if whole and text != whole else ""
        kept = (
            parse_wire(_size(size), None, None) if size else None
        )  # an unsure colour does not lose the size
        said = (
            f"wire as written: {' '.join(t for t in (size, colour, whole) if t)} ({found.message})"
        )
        return (kept if isinstance(kept, Wire) else None), said

    def _zeros(self, names: Sequence[str]) -> None:
        digits = [n for n in names if n.isdigit()]
        wide = {len(n) for n in digits if n.startswith("0")}
        if len(wide) == 1 and (short := [n for n in digits if len(n) < min(wide)]):
            self.assumed.append(
                f"cavities {', '.join(short[:5])} may have lost a leading zero: the others have {min(wide)} digits"
            )

    # -- jobs -------------------------------------------------------------------------------------

    def job(self, chosen: Mapping[str, int]) -> Intake:
        """A job from a from/to list, with a bare pinout for each end that it names."""
        ends: dict[str, dict[str, Cavity]] = {}
        joins: list[tuple[str, str]] = []
        remarks: dict[str, list[str]] = {}
        ids: dict[str, str] = {}
        for row, cells in self._rows():
            pair, before = [], len(self.findings)
            for key in ("from", "to"):
                text = self._name(
                    cells[chosen[key]] if chosen[key] < len(cells) else Cell(""), row, f"`{key}`"
                )
                hit = re.fullmatch(r"([^\s.:/-]+)\s*[.:/-]\s*(\S(?:.*\S)?)", text or "")
                if text and not hit:
                    self._wrong(
                        "wrong-point",
                        f"row {row}: `{text}` names no end and cavity such as loom.1",
                        row,
                        "Write connector and pin with a dot between.",
                    )
                if hit:
                    pair.append((hit.group(1), hit.group(2)))
            if len(pair) == 2:
                signal = _get(cells, chosen, "signal")
                one, two = (f"{end}.{cavity}" for end, cavity in pair)
                for end, cavity in pair:
                    there = ends.setdefault(end, {}).setdefault(
                        cavity, Cavity(name=cavity, reading=read_signal(signal), signal=signal)
                    )
                    if there.signal != signal and signal:
                        remarks.setdefault(one, []).append(
                            f"{end}.{cavity} is called {signal} as well"
                        )
                joins.append((one, two))
                if name := _get(cells, chosen, "id"):
                    ids.setdefault(one, name)
                remarks.setdefault(one, []).extend(
                    self._left(cells, {chosen.get(k) for k in ("from", "to", "signal", "id")})
                )
            elif len(self.findings) == before:
                self._wrong(
                    "wrong-point",
                    f"row {row}: from or to is empty",
                    row,
                    "Fill it in, or delete the row.",
                )
        if self.findings or not joins:
            return Intake("nothing", assumed=tuple(self.assumed), findings=tuple(self.findings))
        circuits = [
            Circuit(
                id=next((ids[p] for p in points if p in ids), points[0]),
                join=tuple(map(Address.read, points)),
            )
            for points in _gathered(joins)
        ]
        told = {c.id: "; ".join(r for p in c.join for r in remarks.get(p, ())) for c in circuits}
        return self._written(ends, circuits, {name: text for name, text in told.items() if text})

    def _left(self, cells: Sequence[Cell], used: set[int | None]) -> list[str]:
        """What stands in the columns that are not used, each with its heading."""
        return [
            f"{self.heads[j] if j < len(self.heads) and self.heads[j] else f'column {j + 1}'}: {c.text}"
            for j, c in enumerate(cells)
            if c.text and j not in used
        ]

    def _written(
        self,
        ends: Mapping[str, Mapping[str, Cavity]],
        circuits: Sequence[Circuit],
        comments: Mapping[str, str],
    ) -> Intake:
        names = list(ends)
        if len({_file(n).casefold() for n in names}) < len(names):
            self._wrong(
                "same-file",
                "two connectors of the list would be written into one file",
                1,
                "Rename one of them in the list.",
            )
            return Intake("nothing", assumed=tuple(self.assumed), findings=tuple(self.findings))
        self.assumed.append(
            f"{names[0]} is taken as the machine's cut tail, the other end as the unit's pigtail: correct it in the job"
        )
        pinouts = {
            n: Pinout(
                title=n,
                path=f"{_file(n)}.yaml",
                cavities=frozen(c),
                source=Source(self.path.name, Basis.TOLD),
            )
            for n, c in ends.items()
        }
        built = {
            n: End(
                name=n,
                pinout=pinouts[n],
                kind=EndKind.CUT_TAIL if i == 0 else EndKind.PIGTAIL,
                side=Side.MACHINE if i == 0 else Side.UNIT,
            )
            for i, n in enumerate(names)
        }
        job = Job(title=self.title, path="job.yaml", ends=frozen(built), circuits=tuple(circuits))
        files = {
            f"{_file(n)}.yaml": dump_pinout(
                p, header=[f"Taken from {self.path.name}: only what the list names."]
            )
            for n, p in pinouts.items()
        }
        stem = _file(self.path.stem)
        files[f"{stem}.yaml" if f"{stem}.yaml" not in files else f"{stem}-job.yaml"] = dump_job(
            job, header=self._header()[:-1], comments=comments
        )
        return Intake("job", files, tuple(self.assumed))


def _gathered(joins: Sequence[tuple[str, str]]) -> list[tuple[str, ...]]:
    """Rows that share a point become one circuit, in the order of the rows."""
    group: dict[str, dict[str, None]] = {}
    for one, two in joins:
        a, b = group.setdefault(one, {one: None}), group.setdefault(two, {two: None})
        if a is not b:
            a, b = (a, b) if len(a) >= len(b) else (b, a)
            a.update(b)
            group.update(dict.fromkeys(b, a))
    order = {point: i for i, point in enumerate(dict.fromkeys(p for pair in joins for p in pair))}
    found = {id(points): points for points in group.values()}
    return sorted(
        (tuple(sorted(points, key=order.__getitem__)) for points in found.values()),
        key=lambda c: order[c[0]],
    )


def _get(cells: Sequence[Cell], chosen: Mapping[str, int], key: str) -> str:
    index = chosen.get(key)
    return cells[index].text.strip() if index is not None and index < len(cells) else ""


def _size(text: str) -> str:
    """A size as a wire's text begins with: decimal point, no unit but AWG."""
    text = re.sub(r"\s*(mm2|mm²|mm\^2|qmm|sq\.? ?mm)", "", text.strip(), flags=re.IGNORECASE)
    return re.sub(r"(\d),(\d)", r"\1.\2", text)


def _number(text: str) -> float | None:
    hit = re.fullmatch(r"([+-]?\d+(?:[.,]\d+)?)\s*(?:V|A|kbit/s)?", text.strip())
    return float(hit.group(1).replace(",", ".")) if hit else None


def _within(text: str, low: float, high: float) -> float | None:
    """A figure that a pinout may hold; any other is left to the remarks."""
    value = None if text.lstrip().startswith("-") else _number(text)
    return value if value is not None and low <= value <= high else None


def _span(text: str) -> Span | None:
    hit = re.fullmatch(
        r"(\d+(?:[.,]\d+)?)\s*(?:to|\.\.\.?|-|–|bis)\s*(\d+(?:[.,]\d+)?)\s*V?", text.strip()
    )
    if hit:
        low, high = (float(g.replace(",", ".")) for g in hit.groups())
        return Span(low, high) if low <= high <= MOST_VOLTS else None
    value = _number(text)
    return None if value is None or abs(value) > MOST_VOLTS else Span.of(value)


def _file(name: str) -> str:
    return re.sub(r"[^\w.-]+", "-", name).strip("-.") or "table"
