"""How readings are typed, in words for a help text; nothing is loaded for it."""

ACCEPTED = (
    "b beep, s silent, o or open or OL (0L) open, n not sure, d diode, no diode, "
    "a number of ohms (61.2, 4.7k or 4k7, 1M, >20M)"
)
FORM = """batch lines, one reading each, parted by commas or line ends; # begins a remark:
  loom.1 - donor.3 b                b beep, s silent, o open (or OL), n not sure, d diode
  loom.3 to gateway.7 7.4           ohms; 4.7k, 4k7, 1M and >20M too
  loom.1+loom.2 - donor.5 s         several clipped together, joined by +
  F1.a - F1.b b with F1             with that fuse put in
  D1.a - D1.k no diode              silence in diode range
  donor.14 - donor.15 s parted      what meets outside the harness parted for this reading
  donor.1 - donor.14 s ground parted   which circuit, where the probes are on two that could be"""
POWER_FORM = """lines of first power, one reading each, parted by commas or line ends; # a remark:
  15 off 0.02 V                     a step's number as printed, ignition if you like, V or mV
  14 0.35 A                         amps where the step asks for them: A or mA
  16/34 12.4 12.5 V                 ignition off and on at one contact, in the order of the numbers
  donor.3 - donor.1 12.6 V ignition on             its probes, red first; ignition if both are
  gateway.8 - gateway.7 12.3 V ignition on F1 in   the state where the list asks for one"""
