"""What the figure of a row of the survey means beside that of another."""

from __future__ import annotations

from wiremap.content.given import Given
from wiremap.content.read_here import pair_rows
from wiremap.content.words import sentence_case
from wiremap.model import OnOff
from wiremap.survey.bus_pairs import bus_pairs
from wiremap.survey.rows import SurveyRow


def beside(given: Given, row: SurveyRow) -> str:
    """The note of a row; one read in the unit names the row of the machine's own pair, with which
    its figure is to be compared.
    """
    rows = pair_rows(given, (row.red, row.black)) if row.at_unit and row.note else []
    machine = next((f"With S{other.n}: " for other in rows if not other.at_unit), "")
    return f"{machine}{row.note}" if machine else sentence_case(row.note)


def beside_low(given: Given, row: SurveyRow) -> str:
    """Of the high wire of a bus that talks, that it is never below the low one: by itself either
    band fits both.  Empty of all other rows.
    """
    if row.block != "volts" or row.key != OnOff.ON:
        return ""
    for end in given.job.ends.values():
        for high, low in bus_pairs(end):
            if row.red == f"{end.name}.{high.name}":
                return f"never below {end.name}.{low.name}"
    return ""
