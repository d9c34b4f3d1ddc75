"""First power: the steps until the units are mated and asleep, and the verdict over what was read.

It imports from `ringout`, `survey`, `sizing`, `evidence`, `graph` and what lies below them.  Begin
at `plan`, the steps in their order; `faces` knows what feeds which contact, `unmated`, `loads` and
`mating` have a stage each, `judge` holds readings against the steps, `lines` matches typed ones.
"""
