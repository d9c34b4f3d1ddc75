"""What workshops exchange: packs, tables taken in and given out, two revisions told apart, folders.

It may import every room up to `check`; content and the commands import it.
Begin reading at `pack.py` for what leaves the house, and at `opening.py` for what comes into it.
"""
