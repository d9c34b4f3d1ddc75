"""What one slip of the hand would do.

Every plausible single mistake, told in a sentence and graded.
Imports `mistakes` (what a slip does to the metal) and `rules` (what the changed metal means); the
commands and the sheet show its report.  Begin with `plausible.py` (which slips), then `rewire.py`
(the metal after one) and `outcome.py` (what comes of it).
"""

from wiremap.slips.effect import GRADES
from wiremap.slips.plausible import KINDS
from wiremap.slips.report import LikeSlips, Slip, SlipReport, slips

__all__ = ["GRADES", "KINDS", "LikeSlips", "Slip", "SlipReport", "slips"]
