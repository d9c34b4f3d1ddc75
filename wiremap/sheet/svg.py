"""A drawing of `content` as an SVG file: black on white, escaped, the same bytes for the same job.

Every text bears the width that was measured for it, so that nothing lies over anything where the
viewer lacks the typeface.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from xml.sax.saxutils import escape, quoteattr

from wiremap.base import visible
from wiremap.content.drawing import Align, Drawing, DrawnLine, Ring, Shape, Spot, Words
from wiremap.sheet.ink import MM
from wiremap.sheet.shapes import measured

FAMILY = "'Fira Sans Condensed', 'Arial Narrow', 'Liberation Sans Narrow', sans-serif"
HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'


def svg(drawing: Drawing, title: str) -> bytes:
    """The whole file; one unit is one millimetre."""
    wide, high = _number(drawing.wide), _number(drawing.high)
    lines = [
        f'{HEAD}<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" '
        f'viewBox="0 0 {wide} {high}" role="img">',
        f"<title>{_text(title)}</title>",
        f'<rect width="{wide}" height="{high}" fill="#fff"/>',
        f'<g stroke-linejoin="round" font-family={quoteattr(FAMILY)}>',
        *shape_lines(drawing.shapes),
        "</g>",
        "</svg>",
    ]
    return ("\n".join(lines) + "\n").encode("utf-8")


def shape_lines(shapes: Sequence[Shape]) -> Iterator[str]:
    """Each shape as one element."""
    for shape in shapes:
        if isinstance(shape, Words):
            yield _words(shape)
        elif isinstance(shape, Ring):
            yield _ring(shape)
        else:
            yield _line(shape)


def _words(words: Words) -> str:
    x, y = _number(words.at.x), _number(words.at.y)
    colour = "#fff" if words.white else "#000"
    anchor = "" if words.align is Align.START else f' text-anchor="{words.align}"'
    turn = f' transform="rotate(-90 {x} {y})"' if words.upright else ""
    size = _number(words.lettering.points / MM)
    weight = ' font-weight="600"' if words.lettering.strong else ""
    long = _number(measured(words.text, words.lettering))
    return (
        f'<text x="{x}" y="{y}" font-size="{size}"{weight}{anchor}{turn} fill="{colour}" '
        f'textLength="{long}" lengthAdjust="spacingAndGlyphs">{_text(words.text)}</text>'
    )


def _ring(ring: Ring) -> str:
    fill = "#000" if ring.filled else "none"
    return (
        f'<circle cx="{_number(ring.middle.x)}" cy="{_number(ring.middle.y)}" '
        f'r="{_number(ring.radius)}" fill="{fill}" stroke="#000" '
        f'stroke-width="{_number(ring.weight)}"/>'
    )


def _line(line: DrawnLine) -> str:
    colour = "#fff" if line.white else "#000"
    fill = colour if line.filled else "none"
    dash = ""
    if line.dash:
        dash = f' stroke-dasharray="{" ".join(_number(part) for part in line.dash)}"'
    element = "polygon" if line.closed else "polyline"
    return (
        f'<{element} points="{_points(line.spots)}" fill="{fill}" stroke="{colour}" '
        f'stroke-width="{_number(line.weight)}"{dash}/>'
    )


def _points(spots: Sequence[Spot]) -> str:
    return " ".join(f"{_number(x)},{_number(y)}" for x, y in spots)


def _number(value: float) -> str:
    """A length to a hundredth of a millimetre, without needless digits."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _text(text: str) -> str:
    """Text as text: markup escaped, what steers a terminal or a reader shown as its code point."""
    return escape(visible(text))
