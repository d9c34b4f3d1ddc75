"""Jobs between published generations of connectors, to make mistakes in.

Contact allocations: ISO 1724 (12N) and ISO 11446-1, as printed side by side in trade tables; EIA/TIA-574 and EIA-232 with the
ITU-T V.24 circuit numbers, as printed in published conversion tables.  Read in such copies, not in the standards themselves.
"""

from __future__ import annotations

from pathlib import Path

LAMPS = (  # 12N and 13-contact alike
    ("1", "Left direction indicator", "lamp-feed", "L"),
    ("2", "Rear fog light", "lamp-feed", "54g"),
    ("4", "Right direction indicator", "lamp-feed", "R"),
    ("5", "Right rear position light", "lamp-feed", "58R"),
    ("6", "Stop lights", "lamp-feed", "54"),
    ("7", "Left rear position light", "lamp-feed", "58L"),
)
MORE_13 = (
    ("8", "Reversing light", "lamp-feed", None),
    ("9", "Permanent supply", "permanent-supply", "30"),
    ("10", "Supply switched by the ignition", "switched-supply", "15"),
)
SERIAL = (  # 9-contact, 25-contact, name, V.24 circuit, flow seen from the DTE as the machine
    ("1", "8", "Received line signal detector", "109", "from-unit"),
    ("2", "3", "Received data", "104", "from-unit"),
    ("3", "2", "Transmitted data", "103", "to-unit"),
    ("4", "20", "DTE ready", "108/2", "to-unit"),
    ("6", "6", "DCE ready", "107", "from-unit"),
    ("7", "4", "Request to send", "105", "to-unit"),
    ("8", "5", "Clear to send", "106", "from-unit"),
    ("9", "22", "Ring indicator", "125", "from-unit"),
)
HEAD = (
    "wiremap: pinout/1\ntitle: {}\nsource: {{name: published table, basis: measured}}\ncavities:\n"
)


def trailer(folder: Path) -> Path:
    """A 12N socket's loom spliced to a 13-contact trailer."""
    old, new = HEAD.format("12N"), HEAD.format("13 contacts")
    for n, signal, function, din in LAMPS:
        line = f"  {n}: {{signal: {signal}, function: {function}, mark: {{din72552: '{din}'}}, wire: 1.5 black}}\n"
        old, new = old + line, new + line
    old += "  3: {signal: Common return, function: power-ground, mark: {din72552: '31'}, wire: 2.5 white}\n"
    new += (
        "  3: {signal: Return for contacts 1 to 8, function: restricted-ground, serves: [1, 2, 4, 5, 6, 7, 8], "
        "wire: 2.5 white}\n"
    )
    for n, signal, function, din in MORE_13:
        mark = f", mark: {{din72552: '{din}'}}" if din else ""
        new += (
            f"  {n}: {{signal: {signal}, function: {function}{mark}, wire: 2.5 red, need: may}}\n"
        )
    new += "  11: {signal: Return for contact 10, function: restricted-ground, serves: [10], wire: 2.5 white}\n"
    new += "  12: reserved\n"
    new += "  13: {signal: Return for contact 9, function: restricted-ground, serves: [9], wire: 2.5 white}\n"
    joins = "".join(
        f"  - {{id: c{n}, join: [old.{n}, new.{n}], joint: butt-crimp}}\n" for n in "1234567"
    )
    left = "".join(
        f"  new.{n}: {{why: no source on 12N, treat: cap}}\n" for n in (8, 9, 10, 11, 12, 13)
    )
    said = (
        "confirmed:\n  - {circuit: c3, by: RK, date: 2026-03-02, how: both tables side by side}\n"
    )
    path = _written(folder, old, new, joins, left + said)
    lamps = ", ".join(f"old.{n}" for n, *_ in LAMPS)
    (folder / "job-notebook.yaml").write_text(
        "wiremap: notebook/1\nentries:\n  - {kind: accept, rule: protection-unjudged, "
        f"subject: [{lamps}], by: RK, date: 2026-03-02, why: the machine's lamp fuses were read}}\n",
        encoding="utf-8",
    )
    return path


def serial(folder: Path) -> Path:
    """A 9-contact port led to a 25-contact one, straight through."""
    old, new = HEAD.format("9 contacts"), HEAD.format("25 contacts")
    joins = ""
    for a, b, signal, v24, flow in SERIAL:
        line = f"{{signal: {signal}, function: single-ended-data, flow: {flow}, mark: {{v24: '{v24}'}}, wire: 0.14 grey}}\n"
        old, new = old + f"  {a}: {line}", new + f"  {b}: {line}"
        joins += (
            f"  - {{id: v{v24.replace('/', '-')}, join: [old.{a}, new.{b}], joint: butt-crimp}}\n"
        )
    old += "  5: {signal: Signal common, function: signal-ground, mark: {v24: '102'}, wire: 0.14 black}\n"
    new += "  7: {signal: Signal common, function: signal-ground, mark: {v24: '102'}, wire: 0.14 black}\n"
    new += "  1: {signal: Protective ground, function: frame-ground, mark: {v24: '101'}, wire: 0.14 bare}\n"
    joins += "  - {id: common, join: [old.5, new.7], joint: butt-crimp}\n"
    return _written(
        folder, old, new, joins, "  new.1: {why: the housing is grounded elsewhere, treat: cap}\n"
    )


def _written(folder: Path, old: str, new: str, joins: str, left: str) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "old.yaml").write_text(old, encoding="utf-8")
    (folder / "new.yaml").write_text(new, encoding="utf-8")
    job = folder / "job.yaml"
    job.write_text(
        "wiremap: job/1\ntitle: between generations\nsupply: {volts: 12}\nends:\n"
        "  old: {pinout: old.yaml, is: cut-tail, side: machine}\n  new: {pinout: new.yaml, is: pigtail, side: unit}\n"
        f"circuits:\n{joins}not_joined:\n{left}",
        encoding="utf-8",
    )
    return job
