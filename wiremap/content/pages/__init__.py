"""One file a page: each makes a `Section` of plain data and names it in its constant `PAGE`.

A new file is found by itself; `stages.Stage` and `order` say where it comes in the order of work.
May import the rest of `content`, and no other page.
"""
