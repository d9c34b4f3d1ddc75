"""What a spreadsheet makes of a cavity's name: dates, and numbers in exponent form."""

from __future__ import annotations

import re

_MONTH = (
    r"(?:jan|feb|f[eé]v|m[aä]r|avr|apr|ma[yij]|mrz|jui?n|jui?l|aug|ao[uû]|sep|o[ck]t|nov|d[eé][cz]"
    r"|tammi|helmi|maalis|huhti|touko|kes[aä]|hein[aä]|elo|syys|loka|marras|joulu)[^\W\d]*\.?"
)
DATE = re.compile(
    r"\d{1,2}[-./]\d{1,2}[-./]\d{2,4}|\d{4}-\d{2}-\d{2}"
    rf"|\d{{1,2}}[-. ]{{1,2}}{_MONTH}(?:[-. ]\d{{2,4}})?|{_MONTH}[-. ]\d{{2,4}}",
    re.IGNORECASE,
)
EXPONENT = re.compile(r"\d(?:[.,]\d+)?E[+-]\d{2,3}", re.IGNORECASE)  # sign and two digits
