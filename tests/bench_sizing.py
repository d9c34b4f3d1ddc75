"""Times of the sizing room, run by hand: `python tests/bench_sizing.py`.  Prints each time against its target."""

from __future__ import annotations

import time

from sizing_jobs import cavity, pinout

from wiremap.graph import Harness
from wiremap.model import (
    Circuit,
    End,
    EndKind,
    Extra,
    ExtraKind,
    Fed,
    Job,
    KeepOut,
    Run,
    Side,
    Supply,
    Surroundings,
    frozen,
)
from wiremap.sizing import heat
from wiremap.sizing.conductor import cable
from wiremap.sizing.job import size_job

SIZES = (0.35, 0.5, 0.75, 1.0, 1.5, 2.5)


def harness_of_size(circuits: int) -> Harness:
    """Half feeds and grounds with fuses found, half signals, unlike sizes and loads."""
    loom, donor, joins, fed, extras = [], [], [], {}, {}
    for i in range(circuits):
        n, csa = str(i + 1), SIZES[i % len(SIZES)]
        kind = ("permanent-supply", "power-ground", "high-side-drive", "digital-input")[i % 4]
        amps = 0.3 + (i * 7 % 50) / 10
        loom.append(cavity(n, kind, csa, amps, good=20))
        donor.append(cavity(n, kind, SIZES[(i + 1) % len(SIZES)], amps, good=13))
        joins.append(Circuit(id=f"c{n}", join=(f"loom.{n}", f"donor.{n}")))
        if kind == "permanent-supply":
            fed[n] = Fed(
                cavity=n,
                fuse=f"F{n}",
                fuse_amps=(3, 5, 10, 15)[i // 4 % 4],
                found_amps=None,
                milliohm=20,
                length_mm=1000.0 + 10 * i,
            )
    ends = [
        End(
            name="loom",
            pinout=pinout("loom", loom),
            kind=EndKind.CUT_TAIL,
            side=Side.MACHINE,
            tail_mm=700,
            fed=frozen(fed),
        ),
        End(
            name="donor",
            pinout=pinout("donor", donor),
            kind=EndKind.PIGTAIL,
            side=Side.UNIT,
            tail_mm=700,
        ),
    ]
    return Harness(
        Job(
            title="bench",
            path="bench.yaml",
            ends=frozen({e.name: e for e in ends}),
            circuits=tuple(joins),
            extras=frozen({x: Extra(name=x, kind=ExtraKind.FUSE) for x in extras}),
            supply=Supply(volts=12, min_volts=9, max_volts=16),
            surroundings=Surroundings(ambient_C=60.0, wet=True, moves="none"),
            runs=(Run(a="loom", b="donor", mm=900, keep_out=(KeepOut(0, 40), KeepOut(860, 900))),),
        )
    )


def main() -> None:
    """Print the times: one cold solve, a whole job."""
    wire = cable("0.75")
    start = time.perf_counter()
    for i in range(200):
        heat.heat_at_W_per_m.__wrapped__(105.0, 23.0 + i / 100, wire.conductor_mm, 1.9)
    print(f"one ampacity solve: {(time.perf_counter() - start) / 200 * 1e3:.3f} ms (target 1 ms)")
    start = time.perf_counter()
    for i in range(200):
        heat.steady_temperature_C.__wrapped__(wire, 10 + i / 100, 23.0)
    print(
        f"one temperature solve: {(time.perf_counter() - start) / 200 * 1e3:.3f} ms (target 1 ms)"
    )
    for circuits in (50, 200, 400):
        harness = harness_of_size(circuits)
        start = time.perf_counter()
        found = size_job(harness)
        took = time.perf_counter() - start
        print(
            f"{circuits} circuits, {len(found.feeds)} feeds: {took:.3f} s (target for 200: 0.5 s)"
        )


if __name__ == "__main__":
    main()
