"""Reference tables of the trade: TOML files that name a source for every row, and exact look-ups.

May import nothing of ours but `base`; no engineering is done here, only reading and matching of words.
Begin with `tables.py`, which reads the files, then open the TOML file of the subject at hand.
"""
