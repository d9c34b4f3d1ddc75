"""How large, how hot, how long: one file for each thing sized, every figure with formula, source and standing.

May import `graph`, `model`, `trade` and `base`; it judges figures, while findings are made in `rules`.
Begin with `sized.py`, the shape of every answer, then `job.py`, which sizes a whole job in one pass.
"""
