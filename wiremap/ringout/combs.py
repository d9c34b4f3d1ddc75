"""Nets read apart by combs: each against all the others, or combs on both probes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import expected_apart
from wiremap.ringout.held import proves_apart
from wiremap.ringout.planner import Planner
from wiremap.ringout.probe import Probe, ProbeKind


def each_from_the_rest(planner: Planner) -> Iterator[Probe]:
    """Each net against a comb of all that are still to come, the most harmful first: m - 1."""
    harm = {net: planner.harm(net) for net in planner.separable()}
    ranked = sorted(harm, key=lambda net: (harm[net], planner.place(net)))
    while len(ranked) > 1:
        net = ranked.pop(0)
        yield _comb(planner, [net], ranked)


def ganged(planner: Planner) -> Iterator[Probe]:
    """Combs on both probes, by the bits of a number for each net: ceil(log2 m)."""
    nets = planner.separable()
    code = _codes(planner.drawn, nets)
    bits = (len(nets) - 1).bit_length()
    for bit in range(bits):
        ones = [net for net in nets if code[net] >> bit & 1]
        zeros = [net for net in nets if not code[net] >> bit & 1]
        yield _comb(planner, ones, zeros)


def _comb(planner: Planner, one: Sequence[int], two: Sequence[int]) -> Probe:
    red = tuple(map(planner.first, one))
    black = tuple(map(planner.first, two))
    return Probe(
        kind=ProbeKind.APART,
        red=red,
        black=black,
        expectation=expected_apart(planner.drawn.sound, red, black),
        proves=(proves_apart(red, black),),
    )


def _codes(drawn: Drawn, nets: Sequence[int]) -> Mapping[int, int]:
    """A binary number for each net; nets that a tie connects differ in as few bits as can be.

    So few combs part them, and read ohms in place of a silence that tells more.
    """
    free = list(range(len(nets)))
    code: dict[int, int] = {}
    tied = drawn.tied
    # of each number, by how many bits it differs from those that the nets tied together have
    differ: dict[frozenset[int], list[int]] = {}

    def turn(net: int) -> tuple[bool, int, int]:
        return net not in tied, min(tied.get(net, (net,))), net

    for net in sorted(nets, key=turn):
        if net not in tied:
            code[net] = free.pop(0)
            continue
        bits = differ.setdefault(tied[net], [0] * len(nets))
        best = min(free, key=bits.__getitem__)
        differ[tied[net]] = [n + (number ^ best).bit_count() for number, n in enumerate(bits)]
        code[net] = best
        free.remove(best)
    return code
