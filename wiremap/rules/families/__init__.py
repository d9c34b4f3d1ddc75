"""One file for each theme of a family, with nothing in it but rules.

A file may ask everything that `wiremap.rules` may import.  A new rule is one function in its
theme's file, or one new file; the order of the files' names is the order of the printed book.
"""
