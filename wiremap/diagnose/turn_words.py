"""What to do now in words, with a drawing of each face."""

from __future__ import annotations

from wiremap.diagnose.places import AT_JOINT, is_at_joint, words_at
from wiremap.diagnose.turn import Turn
from wiremap.graph import Harness
from wiremap.mistakes.expectation import Shows
from wiremap.mistakes.face import draw
from wiremap.mistakes.mistake import mending
from wiremap.ringout.probe import state_deed

DRAWN = 3  # points of one probe whose faces are drawn; of more the names are enough


def turn_words(harness: Harness, kind: str, turn: Turn) -> list[str]:
    """The probe in words with a drawing of each face; or what to mend."""
    if turn.mend:
        told = dict.fromkeys(m.words() for m in turn.mend)
        lead = "certain" if turn.certain else "one of these"
        return [*(f"{lead}: {words}" for words in told), *_to_do(turn)]
    lines = []
    sides = [("red", turn.red)]
    if turn.probe is not None and turn.probe.together:
        lines.append(f"black: {turn.probe.together}: {', '.join(turn.black)}")
    else:
        sides.append(("black", turn.black))
    for colour, points in sides:
        for address in points[:DRAWN]:
            lines += _point_lines(harness, kind, colour, address)
        if len(points) > DRAWN:
            lines.append(f"{colour}: and {', '.join(points[DRAWN:])}")
    set_up = state_deed(turn.state) if turn.probe is None else turn.probe.setting
    lines += [set_up] if set_up else []
    figure = (
        ["read the ohms: a beep alone does not tell"]
        if turn.telling and turn.unit == Shows.OHMS
        else []
    )
    if turn.is_one_by_one:
        figure += [f"type the contact that beeps, as {turn.black[0]}; s if none does"]
    return [
        *lines,
        *figure,
        f"expected: {turn.expect}" if turn.expect else f"this tells: {turn.why}",
    ]


def _to_do(turn: Turn) -> list[str]:
    """How these mistakes are mended, and what is typed once that is done."""
    if not turn.certain:
        return ["mend the one that you find, then type m and its contacts (q keeps and stops)"]
    how = mending(turn.mend)
    told = [f"to mend: {how}"] if how else []
    return [*told, "type m when it is mended (q keeps and stops)"]


def _point_lines(harness: Harness, kind: str, colour: str, address: str) -> list[str]:
    point = harness.points[address]
    cavity, end = point.cavity, point.end
    words = words_at(harness, address)
    if cavity is None or end is None:
        return [f"{colour}: {', '.join((address, *words))}"]
    named = ", ".join((f"{end.name} cavity {cavity.name}", *words))
    if is_at_joint(harness, kind, address):
        return [f"{colour}: {named}, {AT_JOINT}"]
    if end.connector.face is None:
        return [f"{colour}: {named} (no face is drawn: read the moulded digit)"]
    face = end.connector.face.probed
    return [
        f"{colour}: {named}, {place_words(face.padded(), cavity.name, face.view)}",
        *(f"    {x}" for x in draw(face, cavity.name)),
    ]


def place_words(rows: tuple[tuple[str | None, ...], ...], name: str, view: str) -> str:
    """Where a cavity sits: row from the top, place from the left, on the stated side."""
    for number, row in enumerate(rows, 1):
        if name in row:
            return f"row {number}, place {row.index(name) + 1} from the left, {view} side"
    return f"not on the drawn face ({view} side)"
