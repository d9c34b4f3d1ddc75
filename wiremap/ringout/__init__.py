"""What to probe at a finished harness, what that would show, and which readings of it count.
Imports `mistakes`, `graph`, `evidence` and what lies below; the verdict over the readings is the
next room, `diagnose`. Begin with `plan.py` (the probes in their order), then `coverage.py` and
`gaps.py` (what they find and what they cannot), `readings.py` (which readings count).
"""
