"""Mutates every input that the tool takes and holds what it promises of hostile input.

By hand, any number of cases: `python tests/fuzz.py --cases 20000 --seed 7 [--kind pinout]`.  A case
fails if a command ends with another code than 0, 1 or 2, or takes more than five seconds.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import random
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import openpyxl

from wiremap.cli.main import main as wiremap
from wiremap.share.pack import pack

LONGEST_S = 5.0
OLD = """wiremap: pinout/1
title: old plug
connector: {face: {view: mating, key: top, rows: [[1, 2, 3], [4, 5, 6]]}, sealed: true}
half: wired
cavities:
  1: +12 always, red
  2: {signal: earth, function: ground, wire: 0.75 BN, amps: 3}
  3: "?, white/green"
  4-5: CAN
  6: "-"
"""
NEW = """wiremap: pinout/1
title: new plug
cavities:
  a: {signal: supply, function: permanent-supply, wire: 0.75 RD, volts: [9, 16], need: must}
  b: ground
  c: {signal: CAN high, pair: bus, kbit_s: 250, mark: {din72552: '58L'}}
  d: {signal: CAN low, pair: bus, kbit_s: 250, ohms: [500, open]}
inside: [{between: [c, d], ohms: 120}]
"""
JOB = """wiremap: job/1
title: a small job
supply: {volts: 12, min_volts: 9, max_volts: 15}
ends:
  old: {pinout: old.yaml, is: cut-tail, side: machine, tail_mm: 300, fed: {1: {fuse_amps: 5}}}
  new: {pinout: new.yaml, is: pigtail, side: unit, tail_mm: 300}
extras:
  F1: {fuse: blade, amps: 3}
circuits:
  - {id: feed, join: [old.1, F1.a]}
  - {join: [F1.b, new.a], wire: 0.75 RD, length_mm: 200}
  - old.2 - new.b
not_joined:
  old.3: {why: nobody knows it, treat: cap}
readings: [notebook.yaml]
"""
NOTEBOOK = """wiremap: notebook/1
entries:
  - {kind: answer, about: supply.volts, answer: 12, by: RK, date: 2026-03-02, how: read}
  - {kind: probe, red: [old.2], black: [new.b], seen: beep, by: RK, date: 2026-03-02}
  - {kind: survey, red: old.1, black: chassis, volts: 12.6, key: off, by: RK, date: 2026-03-02}
  - {kind: accept, rule: wire-length, subject: [feed], by: RK, date: 2026-03-02, why: short}
"""
TABLE = "pin;signal;colour;size;volts\n1;Supply;RD;0,75;12\n2;Ground;BN;20 AWG;\n3-5;CAN;;;9..16\n"
LIST = "from,to,signal\nX1.1,X2.4,supply\nX1.2,X2.5,ground\nX1.2,X3.1,ground\n"
PROBES = "old.2 - new.b b\nold.1 - new.a s, old.2 to new.a OL\nold.1+old.2 - new.b 7.4k\n"
VOLTS = "old.1 12.6 V key off\nold.2 to chassis 0.02 V 1.8k\nold.4 to old.5 61 ohm\n"
ANSWERS = "supply.volts: 12\nold.3: pulse-input # seen\nsurroundings.wet: yes\n"
TOKENS = [
    "inf",
    "nan",
    "-1",
    "0",
    "1e400",
    "1e-400",
    "99999999999999999999",
    "null",
    "~",
    "true",
    "on",
    "010",
    "0x1F",
    "15:1",
    "[]",
    "{}",
    "[[",
    "}}",
    ":",
    "-",
    "#",
    "&a",
    "*a",
    "!!python/object",
    "?",
    "|",
    ">",
    "'",
    '"',
    "\\",
    "../x",
    "/etc/passwd",
    "CON",
    "=",
    ";",
    "\u202e",
    "\x00",
    "\ufeff",
    "\ud7ff",
    "ß",
    "🔥",
    "=1+1",
    "＝1",
    "<<:",
    "loom.1",
    "old.",
    ".1",
    "..",
    "old.1.1",
    "pinout/1",
    "job/1",
    "notebook/1",
    "1-99999",
    "60",
    "DC",
    "48",
    "V",
    "230",
    "V~",
]


@dataclass(frozen=True)
class Kind:
    """An input: the file that is mutated and the calls that read it; `{f}` is its folder."""

    file: str
    calls: tuple[tuple[str, ...], ...]


KINDS = {
    "pinout": Kind(
        "old.yaml", (("check", "{f}/old.yaml"), ("propose", "{f}/old.yaml", "{f}/new.yaml"))
    ),
    "job": Kind("job.yaml", (("check", "{f}/job.yaml"), ("slips", "{f}/job.yaml", "--json"))),
    "notebook": Kind("notebook.yaml", (("check", "{f}/job.yaml"), ("next", "{f}/job.yaml"))),
    "table": Kind(
        "table.csv", (("intake", "{f}/table.csv"), ("intake", "{f}/table.csv", "--json"))
    ),
    "list": Kind("list.csv", (("intake", "{f}/list.csv"),)),
    "workbook": Kind("table.xlsx", (("intake", "{f}/table.xlsx"),)),
    "pack": Kind("job.zip", (("compare", "{f}/job.zip", "{f}/job.yaml"),)),
    "probes": Kind("probes.txt", (("ringout", "{f}/job.yaml", "--readings", "{f}/probes.txt"),)),
    "volts": Kind("volts.txt", (("survey", "{f}/job.yaml", "--readings", "{f}/volts.txt"),)),
    "power": Kind(
        "probes.txt", (("ringout", "{f}/job.yaml", "--power", "--readings", "{f}/probes.txt"),)
    ),
    "answers": Kind("answers.txt", (("next", "{f}/job.yaml", "--batch", "{f}/answers.txt"),)),
}


def prepared(folder: Path) -> None:
    """Write one sound input of each kind."""
    texts = {
        "old.yaml": OLD,
        "new.yaml": NEW,
        "job.yaml": JOB,
        "notebook.yaml": NOTEBOOK,
        "table.csv": TABLE,
        "list.csv": LIST,
        "probes.txt": PROBES,
        "volts.txt": VOLTS,
        "answers.txt": ANSWERS,
    }
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    packed = pack(folder / "job.yaml", author="RK", licence="MIT", date="2026-03-02")
    assert packed.data is not None, packed.findings
    (folder / "job.zip").write_bytes(packed.data)
    book = openpyxl.Workbook()
    for line in TABLE.splitlines():
        book.active.append(line.split(";"))
    book.save(folder / "table.xlsx")


def _bytes_changed(data: bytes, chance: random.Random) -> bytes:
    """A few bytes flipped, put in or cut out, or the rest cut off."""
    found = bytearray(data)
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(found) + 1)
        what = chance.randrange(4)
        if what == 0 and found:
            found[at % len(found)] = chance.randrange(256)
        elif what == 1:
            found[at:at] = bytes(chance.randrange(256) for _ in range(chance.randint(1, 6)))
        elif what == 2:
            del found[at : at + chance.randint(1, 20)]
        else:
            del found[at + 1 :]
    return bytes(found)


def _words_changed(data: bytes, chance: random.Random) -> bytes:
    """A word or line of a text exchanged, doubled, moved or left out."""
    lines = data.decode("utf-8", "replace").splitlines()
    for _ in range(chance.randint(1, 3)):
        if not lines:
            break
        at = chance.randrange(len(lines))
        what = chance.randrange(5)
        if what == 0:
            lines.insert(at, lines[chance.randrange(len(lines))])
        elif what == 1:
            del lines[at]
        elif what == 2:
            lines[at] = " " * chance.randint(0, 6) + lines[at].strip()
        else:
            words = lines[at].split(" ")
            words[chance.randrange(len(words))] = chance.choice(TOKENS)
            lines[at] = " ".join(words)
    return ("\n".join(lines) + "\n").encode("utf-8", "replace")


def mutated(data: bytes, chance: random.Random) -> bytes:
    """The same input with something wrong in it."""
    if data.startswith(b"PK") or chance.random() < 0.4:
        return _bytes_changed(data, chance)
    return _words_changed(data, chance)


def _quietly(words: list[str]) -> int | str:
    """A command's exit code, or what it raised."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        try:
            code: int | str = wiremap(words)
        except SystemExit as stop:
            code = int(str(stop.code or 0))
    return code if code in (0, 1, 2) else f"{code}: {out.getvalue()[-400:]}"


def failures(kind: str, cases: int, seed: int) -> Iterator[str]:
    """What broke a promise, with the number of the case."""
    chance = random.Random(f"{kind} {seed}")
    told = KINDS[kind]
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        prepared(folder)
        target = folder / told.file
        sound = target.read_bytes()
        for case in range(cases):
            target.write_bytes(mutated(sound, chance))
            words = [word.format(f=scratch) for word in chance.choice(told.calls)]
            began = time.process_time()
            code = _quietly(words)
            took = time.process_time() - began
            if isinstance(code, str) or took > LONGEST_S:
                yield f"{kind} case {case} (seed {seed}): {took:.1f} s, {code}\n{target.read_bytes()!r}"


def main() -> None:
    """Run as many cases as asked for, over all kinds or one."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=int, default=3000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kind", choices=sorted(KINDS))
    args = parser.parse_args()
    kinds = [args.kind] if args.kind else list(KINDS)
    count = 0
    for kind in kinds:
        for failure in failures(kind, args.cases // len(kinds), args.seed):
            count += 1
            print(failure, flush=True)
    print(f"{args.cases} cases, {count} broke a promise")
    raise SystemExit(count > 0)


if __name__ == "__main__":
    main()
