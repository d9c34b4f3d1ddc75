"""Jobs that are hard to print, and a reader of what was printed."""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import pdfplumber
from demo_jobs import DEMO_JOB

from wiremap.check import check_job
from wiremap.content.gather import given_of
from wiremap.content.pieces import Section
from wiremap.content.steps import Step, Steps, TwoNames
from wiremap.files import load_job
from wiremap.sheet import ANNEX_PARTS, Given, compose, pdf

MM = 72 / 25.4
LIVE = (180.0, 259.0)


@lru_cache(maxsize=1)
def demo_given() -> Given:
    """The demo job, checked, sized and planned."""
    loaded = load_job(DEMO_JOB)
    assert loaded.value is not None, loaded.findings
    return given_of(check_job(loaded.value, read=loaded.findings))


@lru_cache(maxsize=4)
def demo_pdf(paper: str = "a4", annex: bool = True) -> bytes:
    """The demo's sheet."""
    return pdf(compose(demo_given(), ANNEX_PARTS if annex else ()), paper)


def given_from(folder: Path, job: str, **pinouts: str) -> Given:
    """A job written into a folder with its pinouts, read back and checked."""
    for name, text in pinouts.items():
        (folder / f"{name}.yaml").write_text(f"wiremap: pinout/1\n{text}", encoding="utf-8")
    (folder / "job.yaml").write_text(f"wiremap: job/1\n{job}", encoding="utf-8")
    loaded = load_job(folder / "job.yaml")
    assert loaded.value is not None, [str(f.message) for f in loaded.findings]
    return given_of(check_job(loaded.value, read=loaded.findings))


def steps_of(section: Section | None) -> list[Step]:
    """Every step of a section that is there, those of a stop among them."""
    assert section is not None
    listed = [block for block in section.blocks if isinstance(block, (Steps, TwoNames))]
    return [step for block in listed for step in block.steps]


def straight(
    folder: Path,
    count: int,
    face: str = "",
    *,
    signal: str = "Input {n}",
    title: str = "Straight through",
    extra: str = "",
) -> Given:
    """Two connectors of `count` cavities joined one to one, their wires in every pair of colours."""
    letters = ("BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK")
    wires = [f"0.5 {a}/{b}" for a in letters for b in letters if a != b]

    def pinout(name: str) -> str:
        head = f"title: {name}\n" + (
            f"half: wired\nconnector: {{shell: big, face: {face}}}\n" if face else ""
        )
        rows = "".join(
            f'  {n}: {{signal: "{signal.format(n=n)}", function: analogue-input, wire: {wires[n % len(wires)]}}}\n'
            for n in range(1, count + 1)
        )
        return f"{head}cavities:\n{rows}"

    joins = "".join(f"  - old.{n} - new.{n}\n" for n in range(1, count + 1))
    job = (
        f'title: "{title}"\nid: straight\nrevision: 1\nends:\n'
        "  old: {pinout: old.yaml, is: cut-tail, side: machine, tail_mm: 300}\n"
        "  new: {pinout: new.yaml, is: pigtail, side: unit, tail_mm: 300}\n"
        f"runs: [{{between: [old, new], mm: 400}}]\ncircuits:\n{joins}{extra}"
    )
    return given_from(folder, job, old=pinout("old"), new=pinout("new"))


@dataclass(frozen=True)
class Read:
    """One page as read back: its text, every character and every stroke, in mm from the live area's upper left corner."""

    number: int
    text: str
    chars: tuple[tuple[str, float, float, float, float, bool], ...]
    strokes: tuple[tuple[float, float, float, float], ...]
    words: tuple[tuple[str, float, float, float, float], ...]


def read(data: bytes) -> list[Read]:
    """Every page of a PDF."""
    pages = []
    with pdfplumber.open(io.BytesIO(data)) as document:
        for n, page in enumerate(document.pages, 1):
            left, top = (
                (float(page.width) / MM - LIVE[0]) / 2,
                (float(page.height) / MM - LIVE[1]) / 2,
            )

            def box(
                o: dict[str, float], left: float = left, top: float = top
            ) -> tuple[float, float, float, float]:
                return (
                    o["x0"] / MM - left,
                    o["top"] / MM - top,
                    o["x1"] / MM - left,
                    o["bottom"] / MM - top,
                )

            chars = tuple((c["text"], *box(c), bool(c["upright"])) for c in page.chars)
            strokes = tuple(box(o) for o in (*page.lines, *page.rects, *page.curves))
            words = tuple((w["text"], *box(w)) for w in page.extract_words())
            pages.append(Read(n, page.extract_text() or "", chars, strokes, words))
    return pages


def outside(page: Read, slack: float = 0.3) -> list[object]:
    """What lies outside the live area."""

    def out(x0: float, y0: float, x1: float, y1: float) -> bool:
        return x0 < -slack or y0 < -slack or x1 > LIVE[0] + slack or y1 > LIVE[1] + slack

    return [c for c in page.chars if c[0].strip() and out(*c[1:5])] + [
        s for s in page.strokes if out(*s)
    ]


def overlaps(page: Read) -> list[tuple[str, str]]:
    """Pairs of characters whose bodies lie over each other."""
    found: list[tuple[str, str]] = []
    cells: dict[tuple[int, int], list[tuple[str, float, float, float, float]]] = {}
    for text, x0, y0, x1, y1, upright in page.chars:
        if not text.strip():
            continue
        along, across = (
            0.2,
            0.27,
        )  # kerning along the line; ascent and descent above and below a body across it
        dx, dy = (
            (x1 - x0) * (along if upright else across),
            (y1 - y0) * (across if upright else along),
        )
        body = (text, x0 + dx, y0 + dy, x1 - dx, y1 - dy)
        seen = set()
        for cx in range(int(body[1] // 4), int(body[3] // 4) + 1):
            for cy in range(int(body[2] // 4), int(body[4] // 4) + 1):
                for other in cells.setdefault((cx, cy), []):
                    if (
                        id(other) not in seen
                        and min(body[3], other[3]) > max(body[1], other[1]) + 0.05
                        and min(body[4], other[4]) > max(body[2], other[2]) + 0.05
                    ):
                        found.append((other[0], text))
                    seen.add(id(other))
                cells[(cx, cy)].append(body)
    return found


def plain(text: str) -> str:
    """Text without any blank, as lines break where they will."""
    return "".join(text.split())
