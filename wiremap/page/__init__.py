"""The page beside the machine: one card at a time in a browser, written as the commands write.

It imports from `content` and what lies below it, and Flask, waitress and segno, which no other
room needs.  Begin at `app`, which has a method for each page; `gate` and `doors` say who may
come in, `work` reads the job and keeps answers, `server` bounds what is taken in.
"""
