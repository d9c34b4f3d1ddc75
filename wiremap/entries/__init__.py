"""What is typed or kept in a notebook, read in one place and to plain values.

It imports from `files`, `graph`, `model`, `trade` and `base`: nothing here knows what a reading
proves or where one is asked for.  Begin at `numbers`, the one grammar of figures and units;
`probe_lines`, `survey_lines` and `power_lines` read a line each, `notebook` keeps entries, `deeds`
says what a ticked step belongs to.
"""
