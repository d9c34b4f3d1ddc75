"""The verdict over the readings of a ring-out, the mistake that explains them, the next probe.
Imports `ringout`, `mistakes` and what lies below; it asks nobody and prints nothing. Begin with
`judge.py` (the verdict), then `diagnosis.py` (which mistake, which probe next); `walk.py` leads
through a ring-out one probe at a time, and `bought.py` judges an adapter without a job.
"""
