"""The command line: one small file for each command, which translates and nothing else.

It may import every room below it; no room imports it, and no engineering lives in it.
Begin reading at `main.py`, which finds the command, and at `check.py`, the plainest of them.
"""
