"""Commented blanks to fill in: a pinout with its cavities laid out, a job between two pinouts."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from string import Template

from wiremap.files.dump import comment, row, word
from wiremap.files.schemas import first_lines
from wiremap.model import Cavity, Pinout

MAX_CAVITIES = 4096

PINOUT = Template("""\
wiremap: pinout/1
title: $title

# Which letters does the paper use for colours?  Needed only where one is ambiguous \
(gr, B, L, P ...).
# letters: iec            # or german, japanese

# Where do you know this from?  told, document or measured; a cavity may say its own.
# source: {name: workshop drawing sheet 4, basis: document}

$face\
# One line a cavity.  Short:  1: +12 always, red      14: "-" (nothing there)      \
5: "?" (not known yet)
# Full:   1: {signal: Permanent supply, function: permanent-supply, wire: 0.75 RD, \
amps: 3, volts: 12,
#             flow: to-unit, need: must, basis: measured, source: "12.6 V, ignition off"}
# A text with a comma, a colon or a bracket in it stands in quotes.  flow is told \
from the machine's side.
cavities:
$cavities
# What a meter sees between two cavities, everything unplugged and the battery off:
# inside: [{between: [6, 7], ohms: 120}]                                    # \
looking into the unit
# behind: [{between: [6, 7], ohms: 120}, {between: [3, chassis], ohms: 7.5}]  # \
looking into the loom
""")

KNOWN_FACE = Template("""\
# Compare the digits moulded beside the first and the last contact with these rows.
half: $half               # wired: the half that carries the wires; unit: the \
unit's own header
connector:
  face: {view: $view, rows: $rows}   # add key: top, right, bottom or left

""")

UNKNOWN_FACE = Template("""\
# The face: take the hashes away when you know from which side it is drawn, mating \
or wire-entry, and whose
# it is: half: wired (carries the wires) or unit (the unit's own header).  The two \
views are mirror images.
# half: wired
# connector:
#   shell: 14-way sealed
#   contacts: socket
#   face: {view: mating, key: top, rows: $rows}
#   accepts: {csa_mm2: [0.35, 0.75], insulation_mm: [1.2, 1.9], amps: 8}

""")

JOB = Template("""\
wiremap: job/1
title: $title
# supply: {volts: 12, min_volts: 9, max_volts: 15}
# surroundings: {ambient_C: 60, wet: true, moves: none}
ends:
  # tail_mm is the free length from the last tie.
  loom: {pinout: $old, is: cut-tail, side: machine}
  donor: {pinout: $new, is: pigtail, side: unit}
# How each supply is fed: loom gets  fed: {1: {fuse: F7, found_amps: 10, length_mm: \
4000}}  or  fed: {1: none}
# runs: [{between: [loom, donor], mm: 390}]
# extras: {F1: {fuse: blade, amps: size}, G1: {stud: M6}, R1: {resistor: 120, \
watts: 0.5}}

# Join what belongs together, one circuit a line:
#   - loom.1 - donor.3
#   - {id: supply, join: [loom.1, donor.3, donor.4], joint: butt-crimp}
${tables}\
circuits: []

# Every cavity that stays out says why, and what is done with it (blank, cap or leave):
#   donor.11: {why: "brine pump relay, no brine tank here", treat: cap}
not_joined: {}
# readings: [notebook.yaml]
""")


def rows_of(cavities: int, rows: int) -> list[list[str]]:
    """Cavity numbers row by row, the first rows the longer ones."""
    least, longer_rows = divmod(cavities, rows)
    numbered = []
    first = 1
    for line in range(rows):
        after = first + least
        if line < longer_rows:
            after += 1
        numbered.append([str(number) for number in range(first, after)])
        first = after
    return numbered


def blank_pinout(
    cavities: int,
    rows: int,
    *,
    title: str,
    view: str | None,
    half: str | None,
    schema: str | None,
) -> str:
    """A pinout in which every cavity is still a question; raises ValueError for counts that make no
    connector.

    The face stands ready as a comment until view and half are known, because neither has a safe
    default.
    """
    if not 1 <= cavities <= MAX_CAVITIES:
        raise ValueError(f"a connector has 1 to {MAX_CAVITIES} cavities, not {cavities}")
    if rows < 0 or rows > cavities:
        raise ValueError(f"{cavities} cavities stand in 1 to {cavities} rows, not {rows}")
    text = PINOUT.substitute(
        title=word(title or "name the connector and its generation"),
        face=_face(cavities, rows, view, half),
        cavities="".join(_questions(cavities)),
    )
    return _below_schema("pinout", schema, text)


def _below_schema(kind: str, schema: str | None, text: str) -> str:
    """A blank below the line that tells an editor its schema."""
    return "\n".join([*first_lines(kind, schema), text])


def _questions(cavities: int) -> Iterator[str]:
    """A line a cavity that is not known yet, the marks below one another."""
    width = len(str(cavities)) + 1
    for number in range(1, cavities + 1):
        yield f'  {f"{number}:".ljust(width)} "?"\n'


def _face(cavities: int, rows: int, view: str | None, half: str | None) -> str:
    if not rows:
        return ""
    shown = row(row(line) for line in rows_of(cavities, rows))
    if view and half:
        return KNOWN_FACE.substitute(half=half, view=view, rows=shown)
    return UNKNOWN_FACE.substitute(rows=shown)


def blank_job(
    old: Pinout,
    new: Pinout,
    old_file: str,
    new_file: str,
    *,
    title: str = "",
    schema: str | None = None,
) -> str:
    """A job between two pinouts with nothing joined yet, and both tables beside it as comments."""
    tables = [
        *_table("loom", old.cavities.values()),
        *_table("donor", new.cavities.values()),
    ]
    text = JOB.substitute(
        title=word(title or "name the unit and the machine"),
        old=word(old_file),
        new=word(new_file),
        tables="".join(tables),
    )
    return _below_schema("job", schema, text)


def _table(end: str, cavities: Collection[Cavity]) -> Iterator[str]:
    """A remark a cavity: its address, what it carries, its wire."""
    width = max((len(f"{end}.{cavity.name}") for cavity in cavities), default=0)
    for cavity in cavities:
        address = comment(f"{end}.{cavity.name}").ljust(width)
        yield f"#   {address}  {comment(_carried(cavity))}\n"


def _carried(cavity: Cavity) -> str:
    parts = [cavity.signal or cavity.function]
    if cavity.wire is not None:
        parts.append(cavity.wire.written)
    return ", ".join(filter(None, parts))
