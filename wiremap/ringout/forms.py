"""How readings are typed, in words for a help text; nothing is loaded for it."""

ACCEPTED = "b beep, s silent, o or open or OL (0L) open, n not sure, d diode, a number of ohms (61.2, 4.7k, 1M)"
FORM = """batch lines, one reading each, parted by commas or line ends; # begins a remark:
  loom.1 - donor.3 b                b beep, s silent, o open (or OL), n not sure, d diode
  loom.3 - gateway.7 7.4            ohms; 4.7k and 1M too
  loom.1+loom.2 - donor.5 s         a comb: points joined by +
  F1.a - F1.b b with F1             with that fuse put in
  donor.14 - donor.15 s parted      what meets outside the harness parted for this reading"""
