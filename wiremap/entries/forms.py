"""How readings are typed, in words for a help text; nothing is loaded for it."""

ACCEPTED = (
    "b beep, s silent, o or open or OL (0L) open, n not sure, d diode, no diode, "
    "a number of ohms (61.2, 4.7k or 4k7, 1M, >20M)"
)
FORM = """lines of the ring-out (ringout --readings), parted by commas or line ends; # a remark:
  loom.1 - donor.3 b                b beep, s silent, o open (or OL), n not sure, d diode
  loom.3 to gateway.7 7.4           ohms; 4.7k, 4k7, 1M and >20M too
  loom.1+loom.2 - donor.5 s         several clipped together, joined by +
  F1.a - F1.b b with F1             with that fuse put in
  D1.a - D1.k no diode              silence in diode range
  donor.14 - donor.15 s parted      what meets outside the harness parted for this reading
  donor.1 - donor.14 s ground parted   which circuit, where the probes are on two that could be
  donor.4 - donor.1 s shrunk        second ring-out: sleeves shrunk, wires moved by hand"""
POWER_FORM = """lines of first power (ringout --power --readings); # begins a remark:
  15 off 0.02 V                     a step's number as printed, ignition if you like, V or mV
  3-10 done                         what is looked at or done; 12/13 done, 12 done, 12 not so
  14 0.35 A                         amps where the step asks for them: A or mA
  16/34 12.4 12.5 V                 ignition off and on at one contact, in the order of the numbers
  donor.3 - donor.1 12.6 V ignition on             its probes, red first; ignition if both are
  gateway.8 - gateway.7 12.3 V ignition on F1 in   the state where the list asks for one"""
SURVEY_FORM = """lines of the survey (survey --readings), parted by commas or line ends; # a remark:
  loom.1 12.6 V ignition off         V or mV, ignition (or only off, on); black on battery minus
  loom.4 to chassis 0 V ignition on  `to` or a dash, and where else it stood: a cavity, chassis
  loom.12 - loom.8 1800 ohm          ohms; 1.8k, 1k8, 1M, 120R and >20M too
  loom.12 to loom.8 0.02 V 1.8k      the volts before, then the ohms, which do not count above 0.1 V
  loom.13 to loom.8 open             o or open or OL (0L) open, b beep, s silent
  loom.9 to loom.10 open guard lifted   the state, as the row names it
An end's name may be left out where the file is one pinout. In a notebook the same reads:
  - {kind: survey, red: loom.1, black: chassis, volts: 12.6, key: off, by: RK, date: 2026-03-02}
  - {kind: survey, red: loom.12, black: loom.8, volts: 0.02, seen: 1800, by: RK, date: 2026-03-02}
(seen: ohms, open, beep, silent)"""
