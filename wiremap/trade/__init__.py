"""Reference tables of the trade: TOML files that name a source for every row, and exact look-ups.

May import nothing of ours but `base`; nothing is worked out here, only read and matched.
Begin with `tables.py`, which reads the files, then open the TOML file of the subject at hand.
"""
