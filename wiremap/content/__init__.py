"""What sheet, page and reports show, as plain data: pages, rows, cards and the words in them.

It may import every room that works something out, and knows nothing of paper, ink, screens or
fonts.  Begin at `compose.py`, which lists the pages in their order (each page is one file with one
function), then read `given.py` (what a page is made from) and `pieces.py` (what it is made of).
"""
