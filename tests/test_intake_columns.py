"""How columns are named is printed as a call that does what it says when it is pasted."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from wiremap.cli.main import main
from wiremap.files import load_pinout
from wiremap.share.intake import intake

ODD = "foo,bar,baz,qux\n1,+12 always,red,1.0\n2,ground,brown,0.75\n3,horn,grey/pink,0.5\n"
BARE = "1,+12 always,red,1.0\n2,ground,brown,0.75\n3,horn,grey/pink,0.5\n"
TURNED = "1,+12 always,red 1.0\n2,ground,brown 0.75\n3,horn,grey/pink 0.5\n"
CALL = re.compile(r"wiremap (intake .*)")


def pasted(capsys: pytest.CaptureFixture[str]) -> list[str]:
    calls = [found[1] for found in CALL.finditer(capsys.readouterr().err)]
    (call,) = [each for each in calls if "--columns" in each]
    return shlex.split(call)


@pytest.mark.parametrize(
    ("table", "named"),
    [
        (ODD, "cavity=foo,signal=bar,colour=baz,size=qux"),
        (BARE, "cavity=1,signal=2,colour=3,size=4"),
        (TURNED, "cavity=1,signal=2,wire=3"),
    ],
)
def test_the_call_takes_every_column_in(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    table: str,
    named: str,
) -> None:
    """Headings that nobody knows, none at all, and the size behind the colour."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "200")
    Path("my table.csv").write_text(table, "utf-8")
    main(["intake", "my table.csv"])
    call = pasted(capsys)
    assert call == ["intake", "my table.csv", "--columns", named]
    assert main([*call, "-o", "."]) == 0
    pinout = load_pinout("my-table.yaml").value
    assert pinout is not None
    wires = [cavity.wire for cavity in pinout.cavities.values()]
    assert [wire.csa_mm2 for wire in wires if wire] == [1.0, 0.75, 0.5]
    assert all(wire is not None and wire.colour is not None for wire in wires)
    assert list(pinout.cavities) == ["1", "2", "3"]


def test_a_designation_beside_a_function_is_a_name(tmp_path: Path) -> None:
    """The column headed Function says what a contact does, in the paper's own words if no others."""
    table = tmp_path / "t.csv"
    table.write_text(
        "Pin;Designation;Function\n1;X1.1;Permanent supply\n2;-X1:2;Left valve\n3;Y5;horn\n",
        "utf-8",
    )
    pinout = intake(table).pinout
    assert pinout is not None
    found = {name: (c.signal, c.function) for name, c in pinout.cavities.items()}
    assert found == {
        "1": ("X1.1", "permanent-supply"),
        "2": ("-X1:2 Left valve", "high-side-drive"),
        "3": ("Y5 horn", "high-side-drive"),
    }


def test_a_designation_that_every_row_bears_names_the_plug(tmp_path: Path) -> None:
    table = tmp_path / "t.csv"
    table.write_text("Pin;Designation;Function\n1;X1;Ground\n2;X1;Left valve\n", "utf-8")
    taken = intake(table)
    assert taken.pinout is not None
    assert [cavity.signal for cavity in taken.pinout.cavities.values()] == ["Ground", "Left valve"]
    assert any("names the plug" in told for told in taken.assumed)
