"""Prints as JSON what plan and diagnosis make of the kind of mistake in `new_kind`.

Run in a process of its own, in which that folder's file stands beside those of `wiremap/mistakes`.
"""

import json
from pathlib import Path

import wiremap.mistakes

wiremap.mistakes.__path__.append(str(Path(__file__).with_name("new_kind")))

from demo_jobs import settled_demo  # noqa: E402
from ringout_simulator import Copper  # noqa: E402

from wiremap.diagnose.judge import judge  # noqa: E402
from wiremap.graph import Harness  # noqa: E402
from wiremap.reports.ringout import plan_full  # noqa: E402
from wiremap.ringout.plan import plan  # noqa: E402
from wiremap.sizing.job import size_job  # noqa: E402


def main() -> None:
    job = settled_demo()
    harness = Harness(job)
    made = plan(harness, "near", "adapter")
    copper = Copper(job)
    copper.exchange("donor.12", "donor.13")  # what 12 has comes to 13, ...
    copper.exchange("donor.12", "donor.14")
    judged = judge(harness, [copper.answer(probe) for probe in made.probes], planned=made)
    shown = {
        "counted": made.coverage.as_dict()["three-round"],
        "plan": list(plan_full(made, harness, size_job(harness))),
        "faults": [each.as_dict()["faults"] for each in judged.explanations],
        "verdict": judged.told(),
    }
    print(json.dumps(shown))


main()
