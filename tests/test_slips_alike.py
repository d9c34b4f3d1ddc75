"""Like slips are worked out once: told the same, word for word, as when each is worked out."""

from __future__ import annotations

import random
import sys
from pathlib import Path

import pytest

from wiremap.cli.main import main
from wiremap.files import load_job
from wiremap.graph import Harness
from wiremap.slips import plausible, slips
from wiremap.slips.alike import Outcomes

HERE = Path(__file__).resolve().parent
JOBS = (
    HERE.parent / "pinouts_demo" / "job.yaml",
    *sorted(HERE.glob("cases/*/bad.yaml"))[::4],
)
WORDS = (
    "function: lamp, flow: {flow}, amps: 0.5, volts: 12",
    "function: lamp, flow: {flow}",
    "function: high-side-drive, flow: {flow}, amps: 2, volts: 12, mark: {{din72552: '58L'}}",
    "function: permanent-supply, amps: 1, volts: {volts}",
    "function: switched-supply, volts: 12",
    "function: power-ground, amps: 3",
    "function: sensor-supply, volts: 5",
    "function: sensor-return",
    "function: sensor-input, flow: {flow}, volts: 5",
    "function: can-high, pair: bus{pair}, kbit_s: 250",
    "function: can-low, pair: bus{pair}, kbit_s: 250",
    "function: interlock-out, chain: guard{pair}",
    "function: interlock-back, chain: guard{pair}",
    "function: coding",
    "function: shield, pair: bus{pair}",
    "function: wake, flow: {flow}, volts: 12",
)
NAMES = ("Lamp {n}", "Valve fan", "Valve fan speed", "Left lamp {n}", "Sensor {n}", "Spare", "Gate")


def random_job(folder: Path, seed: int) -> Path:
    """A job of two or three connectors with up to sixty joined contacts, whatever they carry."""
    rng = random.Random(seed)
    ends, points = [], {}
    for name, kind in (("loom", "cut-tail"), ("unit", "pigtail"), ("mid", "pigtail"))[
        : rng.choice((2, 2, 3))
    ]:
        count = rng.randint(4, 30)
        lines = [f"wiremap: pinout/1\ntitle: {name}\ncavities:"]
        for pin in range(1, count + 1):
            said = rng.choice(WORDS).format(
                flow=rng.choice(("to-unit", "from-unit", "both")),
                volts=rng.choice((12, 24)),
                pair=rng.choice("ab"),
            )
            wire = rng.choice(("0.5 RD", "0.5 BK", "0.5 GN/WH", "0.5 WH/GN", "0.5 BU"))
            signal = rng.choice(NAMES).format(n=pin)
            lines.append(f"  {pin}: {{signal: {signal}, {said}, wire: {wire}}}")
        (folder / f"{name}.yaml").write_text("\n".join(lines) + "\n")
        side = "machine" if name == "loom" else "unit"
        ends.append(f"  {name}: {{pinout: {name}.yaml, is: {kind}, side: {side}}}")
        points[name] = [f"{name}.{pin}" for pin in range(1, count + 1)]
    joins = _joins(rng, points)
    text = "wiremap: job/1\ntitle: any\nsupply: {volts: 12}\nends:\n" + "\n".join(ends)
    job = folder / "job.yaml"
    job.write_text(text + "\ncircuits:\n" + "\n".join(joins) + "\n")
    return job


def _joins(rng: random.Random, points: dict[str, list[str]]) -> list[str]:
    """Circuits of two, sometimes three or four contacts."""
    for of_end in points.values():
        rng.shuffle(of_end)
    joins = []
    while all(points.values()):
        join = [of_end.pop() for of_end in points.values()]
        for of_end in points.values():
            if of_end and rng.random() < 0.15:
                join.append(of_end.pop())
        if rng.random() < 0.9:
            joins.append(f"  - {{join: [{', '.join(join)}], joint: butt-crimp}}")
    return joins or ["  - loom.1 - unit.1"]


def told(path: Path, monkeypatch: pytest.MonkeyPatch, *, each: bool) -> list[object]:
    """The slips of a job; `each`: with every one of them worked out by itself."""
    loaded = load_job(path)
    if loaded.value is None:
        pytest.skip("this job is told as unreadable")
    with monkeypatch.context() as patched:
        if each:
            patched.setattr(Outcomes, "_rows_around", lambda self, planned: None)
        report = slips(Harness(loaded.value))
    return [*report.slips, *report.points]


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.parent.name)
def test_like_slips_are_told_as_if_each_were_worked_out(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert told(path, monkeypatch, each=True) == told(path, monkeypatch, each=False)


@pytest.mark.parametrize("seed", range(25))
def test_so_they_are_of_any_job(seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = random_job(tmp_path, seed)
    assert told(path, monkeypatch, each=True) == told(path, monkeypatch, each=False)


def test_many_like_wires_are_worked_out_few_times(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A hundred lamps of one colour at each of two ends: 9,900 exchanges, a handful of classes."""
    job = lamps(tmp_path, 100)
    worked_out: list[object] = []
    plain = Outcomes._effects

    def counted(self: Outcomes, planned: plausible.Planned) -> list[object]:
        worked_out.append(planned)
        return list(plain(self, planned))

    monkeypatch.setattr(Outcomes, "_effects", counted)
    loaded = load_job(job)
    assert loaded.value is not None
    report = slips(Harness(loaded.value))
    assert len(report.slips) > 9900
    assert len(worked_out) < 40


def test_more_than_can_be_told_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The limit is in the message; at the limit all are told."""
    job = str(lamps(tmp_path, 10))
    monkeypatch.setattr(plausible, "MOST_LIKE", 90)
    assert 0 == main(["slips", job])
    monkeypatch.setattr(plausible, "MOST_LIKE", 89)
    assert 2 == main(["slips", job])
    assert "90 pairs of like-coloured wires" in capsys.readouterr().err


def lamps(folder: Path, count: int) -> Path:
    """A job of so many lamps, all of one colour."""
    lines = [f"  {pin}: {{signal: Lamp {pin}, wire: 0.5 BU}}" for pin in range(1, count + 1)]
    head = "wiremap: pinout/1\ntitle: lamps\ncavities:\n"
    for name in ("old", "new"):
        (folder / f"{name}.yaml").write_text(head + "\n".join(lines) + "\n")
    joins = [f"  - old.{pin} - new.{pin}" for pin in range(1, count + 1)]
    job = folder / "job.yaml"
    ends = "ends: {old: old.yaml, new: new.yaml}\n"
    job.write_text("wiremap: job/1\ntitle: l\n" + ends + "circuits:\n" + "\n".join(joins) + "\n")
    return job


if __name__ == "__main__":  # by hand: python tests/test_slips_alike.py FIRST LAST
    import tempfile

    for number in range(int(sys.argv[1]), int(sys.argv[2])):
        with tempfile.TemporaryDirectory() as scratch:
            test_so_they_are_of_any_job(number, Path(scratch), pytest.MonkeyPatch())
