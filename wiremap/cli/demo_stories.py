"""What `wiremap demo` tells: two small jobs, each with its files and the commands that it runs."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class DemoStep:
    """One command of a demo: its words with `{f}` for the folder, the file that it makes.

    `what` says what the file is, `look` what to look for in it.  The command writes the file itself
    (`-o`) if `writes` is set; otherwise what it prints is kept there.  `output` are the words of
    that option as a person types it.
    """

    file: str
    words: tuple[str, ...]
    what: str
    look: str
    writes: bool = False
    output: tuple[str, ...] = ()

    def call(self, folder: str) -> list[str]:
        """The words of the command."""
        return [word.format(f=folder) for word in self.words]

    def as_typed(self, folder: str) -> str:
        """The command as a person would type it."""
        return " ".join(("wiremap", *self.words, *self.output)).format(f=folder)


@dataclass(frozen=True, kw_only=True)
class Story:
    """One demo: where its files lie in `pinouts_demo`, where they go, what is run and told.

    `within` is the folder below `pinouts_demo`, empty for that folder itself; `folder` the one
    below the results.  `closing` bears `{f}` for the folder of the results.
    """

    within: str
    folder: str
    introduction: tuple[str, ...]
    contents: str
    steps: tuple[DemoStep, ...]
    closing: tuple[str, ...]


_JOB = "{f}/spreader/job.yaml"
_ADAPTER = "{f}/adapter/job.yaml"


def _bench_sheet(job: str, file: str, *, what: str, look: str) -> DemoStep:
    """The last step of a demo: its sheet with the annex."""
    return DemoStep(
        file=file,
        words=("sheet", job, "--annex"),
        what=what,
        look=look,
        writes=True,
        output=("-o", f"{{f}}/{file}", "--force"),
    )


def _closing(job: str, *, pair: str, try_next: str) -> tuple[str, ...]:
    """What is said at the end of a demo."""
    return (
        f"Wiring only: none of this proves that {pair} understand each other,",
        "and no paper is a permission to power up.",
        f"In a browser, or on a phone with --lan: wiremap page {job}",
        f"next: {try_next} and check again: wiremap check {job}",
    )


SPREADER = Story(
    within="",
    folder="spreader",
    introduction=(
        "A salt spreader's series 1 controller is dead; a series 2 controller is fitted, its "
        "pigtail cut from a wreck.",
        "All of it is invented, on a 12 V carrier. On a 24 V truck this is another job, and the "
        "check stops it.",
    ),
    contents="the raw papers, the finished job, its notebook",
    steps=(
        DemoStep(
            file="proposed.yaml",
            words=(
                "propose",
                "{f}/spreader/papers/series1-loom.yaml",
                "{f}/spreader/papers/series2-donor.yaml",
            ),
            what="the mapping proposed from the two raw papers",
            look="no circuit that matters is `certain` there: the two valves, the merged supplies "
            "and the coding contact are questions, the bus of 250 and 500 kbit/s needs a gateway, "
            "and service data (loom 14) finds no partner",
            writes=True,
        ),
        DemoStep(
            file="proposed-check.txt",
            words=("check", "{f}/proposed.yaml"),
            what="the rule book on that raw proposal",
            look="HOLD, and why: nobody has settled the questions yet",
        ),
        DemoStep(
            file="check.txt",
            words=("check", _JOB),
            what="the rule book on the finished job",
            look="paper in order; every caution is signed by name",
        ),
        DemoStep(
            file="slips.txt",
            words=("slips", _JOB),
            what="what one slip of the hand would do",
            look="the 12 V beside the 5 V, the mirrored face, the exchanged valves",
        ),
        DemoStep(
            file="ringout.txt",
            words=("ringout", _JOB),
            what="the continuity test, fewest probes first",
            look="what each probe proves, and what no probe can",
        ),
        _bench_sheet(
            _JOB,
            "sheet.pdf",
            what="the splice sheet for the bench",
            look="the map with both faces of each connector, the joints one wire at a time",
        ),
    ),
    closing=_closing(
        _JOB,
        pair="the two controllers",
        try_next="say otherwise: wiremap next {f}/spreader/job.yaml --about loom.1 "
        '--answer power-ground --how "a try" --by ME',
    ),
)

ADAPTER = Story(
    within="adapter",
    folder="adapter",
    introduction=(
        "The spreader's work lamps and its camera have a plug each; a new head has both behind "
        "one plug.",
        "Nothing is cut: an adapter goes between the two old plugs and the new one. All of it is "
        "invented.",
    ),
    contents="the pinouts of the three plugs, the finished job, its notebook, a first build gone "
    "wrong, the same head spliced",
    steps=(
        DemoStep(
            file="adapter-proposed.yaml",
            words=(
                "propose",
                "--adapter",
                "--old",
                "{f}/adapter/lamp-plug.yaml",
                "{f}/adapter/camera-plug.yaml",
                "--new",
                "{f}/adapter/head.yaml",
            ),
            what="the mapping proposed from two old plugs and a new one",
            look="each earth goes to its own; the camera's feed and the lens heater's are one "
            "question; the beacon and the microphone find no partner",
            writes=True,
        ),
        DemoStep(
            file="adapter-check.txt",
            words=("check", _ADAPTER),
            what="the rule book on the finished adapter",
            look="paper in order, rung out; the microphone's contact was never measured, and is "
            "not joined",
        ),
        DemoStep(
            file="adapter-ways.txt",
            words=("compare", "--ways", "{f}/adapter/splice.yaml", _ADAPTER),
            what="the same head spliced on, against the adapter",
            look="fewer contacts with the splice, nothing cut with the adapter",
        ),
        DemoStep(
            file="adapter-slips.txt",
            words=("slips", _ADAPTER),
            what="what one slip of the hand would do",
            look="a plug read mirrored, a feed in the contact beside its own",
        ),
        DemoStep(
            file="adapter-first-build.txt",
            words=("ringout", _ADAPTER, "--readings", "{f}/adapter/first-build.txt"),
            what="the readings of a first build",
            look="the two wires of the picture pair are named as exchanged",
        ),
        _bench_sheet(
            _ADAPTER,
            "adapter-sheet.pdf",
            what="the sheet for the bench",
            look="one row for each wire from plug to plug, both faces of each of the three",
        ),
    ),
    closing=_closing(
        _ADAPTER,
        pair="head and screen",
        try_next="exchange head.8 and head.9 in {f}/adapter/job.yaml",
    ),
)
