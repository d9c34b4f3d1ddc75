"""The options of `wiremap sheet` for wire flags: a table, flags to cut out, or labels."""

from __future__ import annotations

import argparse
import re
from pathlib import Path

from wiremap.base import Finding, fault
from wiremap.content.flags import flag_rows, flags_csv, job_mark
from wiremap.content.given import Given
from wiremap.content.labels import LEAST_HIGH, LEAST_WIDE, LabelSheet
from wiremap.sheet import flags_pdf, labels_pdf, paper_mm

GRID = re.compile(r"([1-9]\d?)x([1-9]\d?)")
MARGINS = re.compile(r"(\d+(?:\.\d+)?),(\d+(?:\.\d+)?)")
ENDINGS = (".csv", ".pdf")


def add_flags(parser: argparse.ArgumentParser) -> None:
    """Add the options."""
    parser.add_argument(
        "--flags",
        metavar="FILE",
        help="also write the wire flags: a table (.csv) or a PDF to cut out (.pdf)",
    )
    parser.add_argument(
        "--labels",
        metavar="AxD",
        default="",
        help="with --flags FILE.pdf: for label paper, so many across and down, as 3x8",
    )
    parser.add_argument(
        "--label-margins",
        metavar="TOP,LEFT",
        default="0,0",
        help="margins of the label paper in mm, as 13,7 (default 0,0)",
    )


def flags_file(args: argparse.Namespace, given: Given) -> bytes | Finding:
    """The flags in the form that the file's ending asks for, or what is wrong with the call."""
    ending = Path(args.flags).suffix.lower()
    if ending not in ENDINGS:
        words = f"`{args.flags}` does not say what the flags shall be"
        return fault("call", words, fix="Let its name end in .pdf or .csv.")
    if args.labels and ending != ".pdf":
        words = "--labels is for flags on paper, not for a table"
        return fault("call", words, fix="Let the name of --flags end in .pdf.")
    if ending == ".csv":
        return flags_csv(given)
    if not args.labels:
        return flags_pdf(given, args.paper)
    labels = _label_sheet(args)
    if isinstance(labels, Finding):
        return labels
    return labels_pdf(tuple(flag_rows(given)), job_mark(given), labels, args.paper)


def _label_sheet(args: argparse.Namespace) -> LabelSheet | Finding:
    """The label paper that the options tell of."""
    grid, margins = GRID.fullmatch(args.labels), MARGINS.fullmatch(args.label_margins)
    if grid is None:
        words = f"`{args.labels}` is no sheet of labels"
        return fault("call", words, fix="Say how many across and down, as --labels 3x8.")
    if margins is None:
        words = f"`{args.label_margins}` are no margins"
        return fault("call", words, fix="Say them from above and from the left in mm: 13,7.")
    wide, high = paper_mm(args.paper)
    across, down = map(int, grid.groups())
    top, left = map(float, margins.groups())
    labels = LabelSheet(across=across, down=down, wide=wide, high=high, top=top, left=left)
    if labels.fits:
        return labels
    words = f"labels of {labels.label_wide:.0f} by {labels.label_high:.0f} mm are too small"
    fix = f"A label is at least {LEAST_WIDE:.0f} by {LEAST_HIGH:.0f} mm."
    return fault("call", words, fix=fix)
