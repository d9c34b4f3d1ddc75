"""What to read and ask before the cut.

It imports from `rules`, `propose`, `evidence` and what lies below them.  Begin at `rows`, the
readings in two blocks that are never mixed; `lines` matches typed readings with them, `lock_out`
says what is secured before the ignition is turned, `questions` picks what to ask next.
"""
