"""A harness as drawn, as it may have been built, and the mistakes that hands make between the two.
Imports `evidence` and what lies below it; slips, the plan's coverage and the diagnosis make these
mistakes. Begin with `drawn.py` (what is rung out), then `build.py` (one way it may have been built)
and `mistake.py` (what every mistake can tell of itself).  A file with kinds of mistake names them
in its constant `MODELLED`, by which `every.py` finds it.
"""
