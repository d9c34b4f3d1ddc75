"""`wiremap ringout`: plan, walk, judge and diagnose the continuity test; first power; the map as built."""

from __future__ import annotations

import argparse
import os
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any, TextIO

from wiremap.base import fault
from wiremap.cli.common import HOLDS, OK, UNREAD, emit_json, json_flag, note, say
from wiremap.cli.open_job import (
    OpenJob,
    day,
    not_counted,
    not_yet,
    notebook_options,
    open_job,
    save,
    save_readings,
    stdin_text,
    tell_not_counted,
    unread,
)
from wiremap.cli.withdrawn import tell_withdrawn
from wiremap.diagnose.as_built import revision
from wiremap.diagnose.bought import first_probes, judge_adapter
from wiremap.diagnose.judge import expected, judge
from wiremap.diagnose.walk import BACK, HELP, KEPT, KEYS, WHY, Walk, meant
from wiremap.entries.forms import FORM, POWER_FORM
from wiremap.entries.notebook import added, readings_from, respelled
from wiremap.entries.probe_lines import batch
from wiremap.evidence.stamping import no_such_points
from wiremap.files import load_pinout
from wiremap.files.dump import dump_job
from wiremap.files.write import write_text
from wiremap.firstpower.judge import CAUTION, power_judge, power_plan
from wiremap.firstpower.lines import power_reader
from wiremap.ringout.before_start import outset
from wiremap.ringout.fuses import fuses_out
from wiremap.ringout.plan import plan
from wiremap.sizing.job import size_job

EXAMPLES = f"""examples:
  wiremap ringout job.yaml
  wiremap ringout job.yaml --method ganged --kind adapter
  wiremap ringout job.yaml --walk --by RK
  wiremap ringout job.yaml --readings bench.txt --save --by RK
  wiremap ringout old.yaml new.yaml                          what to read first of an adapter without a job
  wiremap ringout old.yaml new.yaml --readings bench.txt     what it is, and whether it is in order
  wiremap ringout job.yaml --power
  wiremap ringout job.yaml --power --readings power.txt --save --by RK

{FORM}

{POWER_FORM}
exit codes: 0 a plan, or readings that pass; 1 readings fail or are incomplete; 2 unread
"""


def add(commands: Any) -> None:
    """Register the command."""
    parser = commands.add_parser(
        "ringout",
        help="plan, judge and diagnose the continuity test",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument(
        "files",
        nargs="+",
        metavar="FILE",
        help="a job; or two or more pinouts of an adapter without a job",
    )
    parser.add_argument(
        "--method",
        choices=("near", "rest", "all", "ganged"),
        help="how nets are proven apart: near (the default: those side by side or dangerous together; other pairs "
        "stay untested), rest (each against a comb of all the others: few readings that prove every pair), all "
        "(every pair), ganged (combs on both probes: the fewest readings)",
    )
    parser.add_argument(
        "--kind",
        choices=("adapter", "splice-in"),
        help="default: splice-in if an end was cut from its machine",
    )
    parser.add_argument(
        "--readings",
        metavar="FILE",
        help="a notebook or batch lines to judge (- for standard input)",
    )
    parser.add_argument(
        "--judge", action="store_true", help="judge what the job's own notebooks hold"
    )
    parser.add_argument("--save", action="store_true", help="append the readings to the notebook")
    parser.add_argument("--walk", action="store_true", help="go through the probes one at a time")
    parser.add_argument("--power", action="store_true", help="first power instead of ring-out")
    parser.add_argument(
        "--as-built", metavar="FILE", help="write what was built as a new revision of the job"
    )
    notebook_options(parser)
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Hand over to the part that was asked for."""
    clash = _clash(args)
    if clash:
        return _usage(args, clash[0], clash[1])
    if (ahead := not_yet(args)) is not None:
        return unread(args, "ringout", [ahead])
    if len(args.files) > 1:
        return _adapter(args)
    opened, findings = open_job(args.files[0], args.notebook)
    if opened is not None and opened.bare:
        return _usage(
            args,
            "one pinout alone cannot be rung out",
            "give a job, or the pinouts of both faces with --readings",
        )
    if opened is None or any(f.fault for f in findings):
        return unread(args, "ringout", findings)
    tell_not_counted(opened, not_counted(opened))
    steps = _steps(opened) if args.power else ()
    entries, faults = _entries(args, opened, steps)
    if faults:
        return unread(args, "ringout", faults)
    if args.power:
        return _power(args, opened, entries, steps)
    if args.walk:
        return _walk(args, opened)
    return (
        _judge(args, opened, entries)
        if args.readings or args.judge or args.as_built
        else _plan(args, opened)
    )


def _clash(args: argparse.Namespace) -> tuple[str, str] | None:
    """Options that say nothing together, and what to do instead."""
    if args.walk and (
        others := [
            name
            for name, on in (
                ("--readings", args.readings),
                ("--judge", args.judge),
                ("--power", args.power),
                ("--as-built", args.as_built),
                ("--save", args.save),
            )
            if on
        ]
    ):
        return (
            f"--walk takes its readings by itself and does not go with {', '.join(others)}",
            "run them one after the other",
        )
    if args.power and args.as_built:
        return (
            "--power says nothing of the metal and does not go with --as-built",
            "run them one after the other",
        )
    if len(args.files) > 1 and args.save:
        return "an adapter without a job has no notebook to save in", (
            "write its map with --as-built FILE, then: wiremap ringout FILE --readings bench.txt --save --by NAME"
        )
    if args.save and not args.readings:
        return "--save has nothing to save", "add --readings FILE"
    if (args.save or args.walk) and not args.by.strip():
        return (
            f"a reading counts with a name under it, and {'--save' if args.save else '--walk'} keeps readings",
            "add --by NAME",
        )
    if len(args.files) > 1 and (args.walk or args.power or args.judge):
        return (
            "several pinouts can only be judged from --readings",
            "make a job of them for --walk, --judge and --power",
        )
    if len(args.files) > 1 and (args.method or args.kind):
        return (
            "--method and --kind belong to the plan of a job and say nothing of an adapter without one",
            "leave them out",
        )
    if len(args.files) > 1 and args.as_built and not args.readings:
        return "--as-built writes what readings say and none are given", "add --readings FILE"
    return None


def _usage(args: argparse.Namespace, message: str, fix: str) -> int:

    return unread(args, "ringout", [fault("usage", message, fix=fix)])


def _steps(opened: OpenJob) -> tuple[Any, ...]:

    return power_plan(opened.harness)


def _read(args: argparse.Namespace, lines: Any) -> tuple[tuple[Any, ...], tuple[Any, ...]]:
    """The entries of `--readings`, its lines read by `lines`, and what could not be read."""

    if args.readings == "-":
        return lines(stdin_text(), "standard input", args.by, day(args))  # type: ignore[no-any-return]
    return readings_from(args.readings, args.by, day(args), lines)


def _entries(
    args: argparse.Namespace, opened: OpenJob, steps: tuple[Any, ...]
) -> tuple[list[Any], tuple[Any, ...]]:
    """The entries of the job's notebooks and of `--readings`, saved on wish; `steps` of first power if that is asked for."""

    own = [e for n in opened.job.notebooks for e in n.entries]
    if not args.readings:
        return own, ()
    if any(os.path.abspath(n.path) == os.path.abspath(args.readings) for n in opened.job.notebooks):
        return own, ()
    read, findings = _read(args, power_reader(steps) if args.power else batch)
    read = respelled(opened.harness.points, read)
    findings = (*findings, *no_such_points(opened.harness, read))
    if any(f.fault for f in findings):
        return [], findings
    fresh = (
        tuple(read) if args.readings == "-" else added(own, read)
    )  # what is typed anew was measured anew
    if args.save and (fault := save_readings(opened, read, fresh)) is not None:
        return [], (fault,)
    return [*own, *fresh], ()


def _plan(args: argparse.Namespace, opened: OpenJob) -> int:

    made = plan(opened.harness, args.method or "near", args.kind)
    sizes = size_job(opened.harness)
    before, out = outset(opened.harness, made.kind, sizes), fuses_out(opened.harness, sizes)
    if args.json:
        emit_json(
            "ringout",
            made.as_dict() | {"before": list(before), "fuses_out": [f.as_dict() for f in out]},
        )
        return OK
    for line in before:
        say(f"before: {line}")
    say(
        f"{made.kind}, {made.points} points, {made.nets} nets, {len(made.probes)} readings, "
        f"{made.moves} settings of a probe (no order needs fewer than {made.moves_bound})"
    )
    for p in made.probes:
        notes = "; ".join((*p.proves, *filter(None, (p.why, p.setting))))
        state = f", {p.state}" if p.state else ""
        say(
            f"{p.n}. {p.kind}: {'+'.join(p.red)} to {'+'.join(p.black)}{state}: {expected(p)}  ({notes})"
        )
    found = ", ".join(f"{kind} {f} of {m}" for kind, (m, f) in made.coverage.counts.items())
    say(f"mistakes made on paper and found: {found}")
    for gap in made.not_proven:
        say(f"not proven: {', '.join(gap.subject)}{': ' if gap.subject else ''}{gap.why}")
    return OK


def _judge(args: argparse.Namespace, opened: OpenJob, entries: list[Any]) -> int:

    judged = judge(opened.harness, entries, args.method or "near", args.kind)
    if args.as_built:
        code = _as_built(args, opened, judged)
        if code == UNREAD:
            return code
    if args.json:
        emit_json("ringout", judged.as_dict())
    else:
        for line in judged.told():
            say(line)
    return OK if judged.verdict == "pass" else HOLDS


def _as_built(args: argparse.Namespace, opened: OpenJob, judged: Any) -> int:

    whole = [e for e in judged.explanations if not e.unexplained]
    if judged.disagree and (not whole or judged.verdict != "fail"):
        note(
            "the readings are not explained yet, so no new revision is written; go on with the next probe"
        )
        return HOLDS
    if not judged.disagree:
        note("nothing differs from the drawing; no new revision is needed")
        return OK
    job = revision(opened.harness, whole[0].build)
    header = [
        "As built: the ring-out names these mistakes.",
        *(f"{f.kind}: {', '.join(f.subject)}" for f in whole[0].mistakes),
    ]

    at = os.path.dirname(os.path.abspath(args.as_built))
    files = {n: _from(at, e.pinout.path) for n, e in job.ends.items()}
    text = dump_job(
        job, header=header, files=files, notebooks=[_from(at, n.path) for n in job.notebooks]
    )
    fault = write_text(args.as_built, text, inputs=[opened.job.path])
    if fault is not None:
        return unread(args, "ringout", [fault])
    note(
        f"revision {job.revision} written to {args.as_built}: check it, a mistake that is kept must still be in order"
    )
    return OK


def _from(folder: str, path: str) -> str:

    return os.path.relpath(os.path.abspath(path), folder).replace(os.sep, "/")


def _power(
    args: argparse.Namespace, opened: OpenJob, entries: list[Any], steps: tuple[Any, ...]
) -> int:

    judged = power_judge(opened.harness, entries, steps) if args.readings or args.judge else None
    if args.json:
        body: dict[str, Any] = {"power": [s.as_dict() for s in steps], "caution": CAUTION}
        emit_json("ringout", body | (judged.as_dict() if judged else {}))
    elif judged is None:
        for s in steps:
            say(
                f"{s.n}. {s.do}{_wanted(s)}"
                + (f"  ({s.why})" if s.why else "")
                + (f"  [{s.source}]" if s.source else "")
            )
        say(CAUTION)
    else:
        for line in judged.told():
            say(line)
    return OK if judged is None or judged.verdict == "pass" else HOLDS


def _wanted(s: Any) -> str:
    """Probes and limits of a reading of first power, and what its notebook entry must name."""
    if not s.quantity:
        return ""
    probes = f": {s.red} to {s.black}" if s.red else ""
    band = "write it down" if s.high is None else f"{s.low:g} to {s.high:g} {s.quantity}"
    return f"{probes}: {band}" + (f", noted with state: {s.state}" if s.state else "")


def _adapter(args: argparse.Namespace) -> int:
    """Two or more faces: what to read first; with readings the adapter as it was built, and what the rule book says of it."""

    read: tuple[Any, ...] = ()
    findings: list[Any] = []
    if args.readings:
        read, faults = _read(args, batch)
        findings += faults
    pinouts, files = {}, dict(zip(_face_names(args.files, read), args.files, strict=True))
    for name, file in files.items():
        loaded = load_pinout(file)
        findings += loaded.findings
        if loaded.value is not None:
            tell_withdrawn(loaded.value)
            pinouts[name] = loaded.value
    if any(f.fault for f in findings):
        return unread(args, "ringout", findings)
    if not args.readings:
        lines = first_probes(pinouts)
        if args.json:
            emit_json("ringout", {"first": list(lines)})
        for line in () if args.json else lines:
            say(line)
        return OK
    points = [p for e in read for p in (*e.red, *e.black)]
    lost = [
        p
        for p in points
        if (at := p.partition("."))[0] not in pinouts or at[2] not in pinouts[at[0]].cavities
    ]
    if lost:
        return _usage(
            args,
            f"no such point: {', '.join(dict.fromkeys(lost))}",
            f"the faces are {', '.join(files)}",
        )
    if not read:
        return _usage(args, "no readings were found", "write them as: old.1 - new.3 b")
    return _judge_adapter(args, pinouts, files, read)


def _face_names(files: list[str], read: tuple[Any, ...]) -> list[str]:
    """What the faces are called in the readings: `old` and `new` of two, otherwise their files' stems."""

    stems = [Path(f).stem for f in files]
    plain = len(set(stems)) == len(stems) and not any("." in s or " " in s for s in stems)
    names = stems if plain else [f"end{i}" for i in range(len(stems))]
    alias = ["old", "new"] if len(stems) == 2 else names
    used = {p.partition(".")[0] for e in read for p in (*e.red, *e.black)}
    return alias if used <= set(alias) else names


def _judge_adapter(
    args: argparse.Namespace, pinouts: dict[str, Any], files: dict[str, str], read: tuple[Any, ...]
) -> int:

    out = args.as_built or "as-built.yaml"
    made = judge_adapter(pinouts, read, out)
    text = dump_job(
        made.job, header=made.header, files={n: _from_here(out, f) for n, f in files.items()}
    )
    if args.as_built:
        fault = write_text(args.as_built, text, inputs=args.files)
        if fault is not None:
            return unread(args, "ringout", [fault])
        note(f"the map as built is written to {args.as_built}")
    if args.json:
        emit_json("ringout", {"job": text} | made.as_dict())
    else:
        if not args.as_built:
            say(text)
        for line in made.told():
            say(line)
    return OK if made.verdict == "in-order" else HOLDS


def _from_here(out: str, file: str) -> str:

    return _from(os.path.dirname(os.path.abspath(out)), file)


def _walk(args: argparse.Namespace, opened: OpenJob) -> int:

    entries = [e for n in opened.job.notebooks for e in n.entries]
    walk = Walk(opened.harness, plan(opened.harness, args.method or "near", args.kind), entries)
    tell_line = (
        note if args.json else say
    )  # with --json standard output belongs to the verdict alone
    for line in (*(f"before: {x}" for x in outset(opened.harness, walk.plan.kind)), KEYS):
        tell_line(line)
    while (turn := walk.turn()) is not None:
        tell_line("")
        number = (
            f"probe {turn.probe.n} of {len(walk.plan.probes)}"
            if turn.probe and not turn.telling
            else "telling probe"
        )
        for line in (f"{number}:", *walk.show(turn)):
            tell_line(line)
        typed = _typed(sys.stderr if args.json else sys.stdout)
        asks = KEPT if typed is None else meant(typed)
        if typed is None or asks == KEPT:
            tell_line("kept; the same command goes on from here")
            if args.json:
                emit_json("ringout", walk.judged().as_dict())
            return HOLDS
        if asks in (WHY, HELP):
            tell_line(KEYS if asks == HELP else turn.why or "it is part of the plan")
            continue
        before = len(walk.entries)
        if asks == BACK:
            said = walk.undo()
            tell_line("taken back" if said else "nothing to take back")
        else:
            said = walk.answer(turn, typed, args.by, day(args))
            if said is None:
                tell_line(walk.refused(turn, typed))
        if len(walk.entries) > before and said is not None:
            fault = save(opened, [said])
            if fault is not None:
                return unread(args, "ringout", [fault])
            opened = replace(opened, named=True)  # where it lies was said once
            for line in walk.said():
                tell_line(line)
    judged = walk.judged()
    if args.json:
        emit_json("ringout", judged.as_dict())
    else:
        say()
        for line in judged.told():
            say(line)
    return OK if judged.verdict == "pass" else HOLDS


def _typed(on: TextIO) -> str | None:
    """One typed line, asked for where the prompts go; None at the end of input."""
    print("> ", end="", flush=True, file=on)
    try:
        return input().strip()
    except EOFError:
        return None
