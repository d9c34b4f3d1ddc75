"""How large, how hot, how long: each figure with its formula, source and standing.

May import `graph`, `model`, `trade` and `base`; it judges figures, findings are made in `rules`.
Begin with `sized.py`, the shape of every answer, then `job.py`, which sizes a job in one pass.
"""
