"""The JSON Schemas: valid draft-07, helpful to an editor, and of one mind with the loader.

Meta-schema and validator: JSON Schema draft-07 (json-schema.org/draft-07/schema) through the `jsonschema` library.
"""

from __future__ import annotations

import copy
import json
import re
import socket
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from demo_jobs import DEMO, ROOT
from jsonschema import Draft7Validator
from referencing import Registry

from wiremap.files import circuits, contacts, ends, layout, left_out, load_any, parts, shell
from wiremap.files import job as job_room
from wiremap.files import notebook as notebook_room
from wiremap.files import pinout as pinout_room
from wiremap.files.schemas import KINDS, first_lines, reference, schema, schema_text
from wiremap.files.source import decode
from wiremap.files.strict import Map, Node, Scalar, Seq, parse
from wiremap.files.wires import WIRE
from wiremap.trade.functions import FUNCTIONS

P = "wiremap: pinout/1\ntitle: t\n"
J = "wiremap: job/1\nends: {loom: old.yaml, donor: new.yaml}\n"
N = "wiremap: notebook/1\nentries:\n  - "
REFERENCES = frozenset(
    {
        "bad-reference",
        "wrong-wire",
        "outside-folder",
        "no-such-file",
        "wrong-kind",
        "look-alike-name",
    }
)


@pytest.fixture(autouse=True)
def no_network(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing here may reach for the network."""

    def refuse(*args: object, **kwargs: object) -> None:
        raise AssertionError("a socket was opened")

    monkeypatch.setattr(socket, "socket", refuse)
    monkeypatch.setattr(socket, "create_connection", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)


def validator(kind: str) -> Draft7Validator:
    return Draft7Validator(dict(schema(kind)), registry=Registry())


def as_text(node: Node | None) -> Any:
    """The tree with every scalar as text, as the loader sees it."""
    if isinstance(node, Map):
        return {key: as_text(value) for key, (_, value) in node.entries.items()}
    if isinstance(node, Seq):
        return [as_text(one) for one in node.items]
    return (
        None
        if isinstance(node, Scalar) and node.plain and node.text in ("", "~", "null")
        else node.text
        if node
        else None
    )


def as_editor(node: Node | None) -> Any:
    """The tree typed by the core schema of YAML 1.2.2 (section 10.3.2), as an editor's language server sees it."""
    if isinstance(node, Map):
        return {key: as_editor(value) for key, (_, value) in node.entries.items()}
    if isinstance(node, Seq):
        return [as_editor(one) for one in node.items]
    assert isinstance(node, Scalar)
    text = node.text
    if not node.plain:
        return text
    if text in ("", "~", "null", "Null", "NULL"):
        return None
    if text in ("true", "True", "TRUE", "false", "False", "FALSE"):
        return text.lower() == "true"
    if re.fullmatch(r"[-+]?[0-9]+", text):
        return int(text)
    if re.fullmatch(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?", text):
        return float(text)
    return text


def tree(text: str) -> Node:
    clean, faults = decode(text.encode(), "f")
    assert clean is not None and not faults
    document = parse(clean)
    assert document.root is not None, document.faults
    return document.root


def schema_errors(text: str, typed: Any = as_editor) -> list[str]:
    root = tree(text)
    kind = str(as_text(root)["wiremap"]).partition("/")[0]
    return [
        f"{error.json_path}: {error.message}" for error in validator(kind).iter_errors(typed(root))
    ]


def loader_faults(folder: Path, text: str) -> list[str]:
    path = folder / "f.yaml"
    path.write_text(text, encoding="utf-8")
    for name in ("old", "new"):
        (folder / f"{name}.yaml").write_text(P + "cavities: {1-20: x}\n")
    return [
        f"{one.place} {one.message}"
        for one in load_any(path).findings
        if one.fault and one.rule not in REFERENCES
    ]


def walk(part: Any, path: str = "$") -> Iterator[tuple[str, dict[str, Any]]]:
    if isinstance(part, dict):
        yield path, part
        for key, value in part.items():
            if key not in ("examples", "enum", "const", "default"):
                yield from walk(value, f"{path}.{key}")
    elif isinstance(part, list):
        for index, value in enumerate(part):
            yield from walk(value, f"{path}[{index}]")


@pytest.mark.parametrize("kind", KINDS)
def test_schema_is_valid_draft_07(kind: str) -> None:
    Draft7Validator.check_schema(dict(schema(kind)))
    assert schema(kind)["$schema"] == "http://json-schema.org/draft-07/schema#"
    assert schema(kind)["title"] and schema(kind)["description"]


@pytest.mark.parametrize("kind", KINDS)
def test_schema_needs_no_other_file_and_speaks_to_people(kind: str) -> None:
    for path, part in walk(schema(kind)):
        assert "oneOf" not in part, path
        assert str(part.get("$ref", "#")).startswith("#"), path
        for key, value in (
            part.get("properties", {}).items() if not re.search(r"\.(if|then)$", path) else ()
        ):
            if isinstance(value, dict) and not re.search(r"\.(if|then)\.", path + "." + key):
                assert (
                    "description" in value or "$ref" in value or "const" in value or "if" in path
                ), f"{path}.{key}"
        if part.get("type") == "object" and "properties" in part:
            assert part["additionalProperties"] is False, path
    for definition in schema(kind).get("definitions", {}).values():
        assert definition["description"]


@pytest.mark.parametrize("kind", KINDS)
def test_examples_in_the_schemas_hold(kind: str) -> None:
    whole = dict(schema(kind))
    count = 0
    for path, part in walk(whole):
        for example in part.get("examples", ()):
            own = {"definitions": whole.get("definitions", {}), **part}
            errors = list(Draft7Validator(own, registry=Registry()).iter_errors(example))
            assert not errors, (path, example, errors[0].message)
            count += 1
    assert count >= 3


def test_functions_of_the_schema_are_those_of_the_trade_table() -> None:
    listed = schema("pinout")["definitions"]["function"]["enum"]
    assert set(listed) == {
        *FUNCTIONS,
        *(alias for one in FUNCTIONS.values() for alias in one.aliases),
    }
    assert listed == sorted(listed)


def test_schema_and_loader_know_the_same_keys() -> None:
    pinout, job, notebook = schema("pinout"), schema("job"), schema("notebook")
    part = pinout["definitions"]
    pairs: list[tuple[Any, Any]] = [
        (pinout["properties"], pinout_room.PINOUT),
        (part["cavity"]["properties"], contacts.CAVITY),
        (part["link"]["properties"], pinout_room.LINK),
        (part["accepts"]["properties"], contacts.ACCEPTS),
        (part["leaflet"]["properties"], contacts.LEAFLET),
        (part["wire"]["properties"], WIRE),
        (pinout["properties"]["connector"]["properties"], shell.SHELL),
        (pinout["properties"]["connector"]["properties"]["face"]["properties"], shell.FACE),
        (
            pinout["properties"]["switches"]["additionalProperties"]["properties"],
            pinout_room.SWITCH,
        ),
        (part["cavity"]["properties"]["also"]["items"]["properties"], contacts.CLAIM),
        (job["properties"], job_room.JOB),
        (job["properties"]["ends"]["additionalProperties"]["properties"], ends.END),
        (job["properties"]["extras"]["additionalProperties"]["properties"], parts.EXTRA),
        (job["definitions"]["circuit"]["properties"], circuits.CIRCUIT),
        (job["definitions"]["run"]["properties"], layout.RUN),
        (job["properties"]["confirmed"]["items"]["properties"], left_out.CONFIRMED),
        (job["properties"]["twists"]["additionalProperties"]["properties"], layout.TWIST),
        (job["properties"]["supply"]["properties"], job_room.SUPPLY),
        (job["properties"]["surroundings"]["properties"], job_room.SURROUNDINGS),
        (notebook["properties"], notebook_room.NOTEBOOK),
        (notebook["properties"]["entries"]["items"]["properties"], notebook_room.ENTRY),
    ]
    for one, other in pairs:
        assert set(one) == set(other)


GOOD = [
    P + "cavities: {1: '+12 always, red', 2: \"-\", 3: '?', 6-7: CAN, 31: 31}\n",
    P
    + "revision: 3\nwithdrawn: burned\nid: x\nletters: german\nhalf: unit\nbasis: measured\nsource: sheet\nconnector: "
    "{shell: a, "
    "contacts: pin, sealed: true, face: {view: mating, key: top, rows: [[1, ~], [2]]}}\ncavities: {1: x, 2: {signal: 31}}\n",
    P
    + "cavities: {1: {function: can-h, wire: {csa_mm2: 0.5, colour: RD}, volts: [9, 16], ohms: [1, open], serves: 2, "
    "codes: {2: a}}, 2: {wire: 20 AWG RD, also: {function: wake}, mark: {din72552: 30}}}\nbehind: [{between: [1, "
    "chassis], ohms: open}]\n",
    J,
    J + "circuits: []\nnot_joined: {}\n",
    J + "circuits: [loom.1 - donor.1]\nsupply: 12\nreadings: []\n",
    J
    + "circuits: [{join: loom.1 - donor.1}, {id: 7, join: [loom.2, donor.2], because: x, grade: ask}]\nnot_joined: "
    "{loom.3: , loom.4: y}\n",
    J
    + "extras: {F1: {fuse: blade, amps: size}, G: {stud: M6}, D: {diode: 3}, R: {resistor: 120, watts: 0.5}}\nruns: "
    "{between: [loom, donor]}\n",
    "wiremap: job/1\nends: {a: {pinout: old.yaml, is: tap, side: machine, mated: no, fed: {1: none, 2: {fuse: F1, "
    "fuse_amps: 5}}}}\n",
    N + "{kind: probe, red: loom.1, black: [donor.1], seen: 61.2}\n",
    N + "{kind: survey, red: 1, volts: 0.0, key: off}\n",
    "wiremap: notebook/1\nentries:\n",
    "wiremap: notebook/1\nentries: []\n",
]
BAD = [
    P,
    P + "cavities: {}\n",
    P + "cavities: [1]\n",
    P + "cavities: {1: }\n",
    P + "cavities: {1: [a]}\n",
    P + "colour: x\ncavities: {1: x}\n",
    P + "cavities: {1: {fuction: wake}}\n",
    P + "cavities: {1: {function: wakee}}\n",
    P + "cavities: {1: {amps: x}}\n",
    P + "cavities: {1: {amps: -1}}\n",
    P + "cavities: {1: {amps: [1, 2]}}\n",
    P + "cavities: {1: {volts: [1, 2, 3]}}\n",
    P + "cavities: {1: {volts: {a: 1}}}\n",
    P + "cavities: {1: {flow: up}}\n",
    P + "cavities: {1: {signal: ''}}\n",
    P + "cavities: {1: {signal: {a: b}}}\n",
    P + f"cavities: {{1: {'x' * 201}}}\n",
    P + "letters: greek\ncavities: {1: x}\n",
    P + "revision: 1.5\ncavities: {1: x}\n",
    P + "cavities: {1: x}\ninside: [{between: [1, 2]}]\n",
    P + "cavities: {1: x}\ninside: [{between: [1], ohms: 1}]\n",
    P + "cavities: {1: x}\ninside: {a: 1}\n",
    P + "cavities: {1: x}\nconnector: {face: {view: mating, rows: [[1]]}}\n",
    P + "half: wired\nconnector: {face: {rows: [[1]]}}\ncavities: {1: x}\n",
    P + "cavities: {1: {wire: {csa_mm2: 0}}}\n",
    P + "cavities: {1: {wire: {csa_mm2: 1, gauge: 20}}}\n",
    P + "cavities: {1: {wire: [0.5, RD]}}\n",
    P + "cavities: {1: {also: [{basis: told}]}}\n",
    P + "cavities: {1: {mark: {iso: 3}}}\n",
    P + "cavities: {1: {tinned: maybe}}\n",
    P + "cavities: {1: {ohms: closed}}\n",
    P + "cavities: {1: x}\nswitches: {T: {between: [1, 2], ohms: 0}}\n",
    "wiremap: job/1\n",
    "wiremap: job/1\nends: {}\n",
    "wiremap: job/1\nends: [a]\n",
    "wiremap: job/1\nends: {a.b: old.yaml}\n",
    "wiremap: job/1\nends: {chassis: old.yaml}\n",
    "wiremap: job/1\nends: {a: {pinout: old.yaml}}\n",
    "wiremap: job/1\nends: {a: {pinout: old.yaml, is: plug, side: unit}}\n",
    "wiremap: job/1\nends: {a: {is: tap, side: unit}}\n",
    "wiremap: job/1\nends: {a: {pinout: old.yaml, is: tap, side: unit, fed: {1: 10}}}\n",
    J + "extras: {F: {}}\n",
    J + "extras: {F: {fuse: a, stud: M6}}\n",
    J + "extras: {F: {stud: M6, amps: 3}}\n",
    J + "extras: {F: {fuse: a, amps: big}}\n",
    J + "circuits: {a: 1}\n",
    J + "circuits: [loom.1-donor.1]\n",
    J + "circuits: [{id: x}]\n",
    J + "circuits: [{join: [loom.1]}]\n",
    J + "circuits: [{join: [loom.1, donor.1], joint: glue}]\n",
    J + "circuits: [{join: [loom.1, donor.1], tinned: true}]\n",
    J + "not_joined: [loom.1]\n",
    J + "not_joined: {loom.1: {treat: x}}\n",
    J + "confirmed: [{circuit: x}]\n",
    J + "supply: {volt: 12}\n",
    J + "surroundings: {bundle: 0}\n",
    J + "runs: [{mm: 3}]\n",
    J + "twists: {a: {mm: 3}}\n",
    J + "parts: []\n",
    N + "{by: RK}\n",
    N + "{kind: guess}\n",
    N + "{kind: probe, red: 1, black: 2}\n",
    N + "{kind: probe, red: 1, black: 2, seen: bep}\n",
    N + "{kind: accept, rule: a, subject: b}\n",
    N + "{kind: survey, red: 1}\n",
    N + "{kind: built, pieces: some}\n",
    "wiremap: notebook/1\n",
]


@pytest.mark.parametrize("text", GOOD)
def test_both_accept_what_is_good(tmp_path: Path, text: str) -> None:
    assert loader_faults(tmp_path, text) == []
    assert schema_errors(text) == []
    assert schema_errors(text, as_text) == []


@pytest.mark.parametrize("text", BAD)
def test_both_refuse_what_is_bad(tmp_path: Path, text: str) -> None:
    assert loader_faults(tmp_path, text)
    assert schema_errors(text)


@pytest.mark.parametrize(
    "name", ["series1-loom", "series2-donor", "gateway", "socket16", "job", "notebook"]
)
def test_demo_files_fit_their_schema(name: str) -> None:
    text = (DEMO / f"{name}.yaml").read_text("utf-8")
    assert schema_errors(text) == [] and schema_errors(text, as_text) == []
    kind = str(as_text(tree(text))["wiremap"]).partition("/")[0]
    assert text.splitlines()[:2] == list(first_lines(kind, f"../schemas/{kind}-1.json"))


def spots(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    if isinstance(value, dict):
        for key, one in value.items():
            yield (*path, key)
            yield from spots(one, (*path, key))
    elif isinstance(value, list):
        for index, one in enumerate(value[:4]):
            yield from spots(one, (*path, index))


def changed(whole: Any, path: tuple[Any, ...], how: str) -> Any:
    fresh = copy.deepcopy(whole)
    at = fresh
    for step in path[:-1]:
        at = at[step]
    if how == "drop":
        del at[path[-1]]
    elif how == "rename":
        at[f"{path[-1]}zz"] = at.pop(path[-1])
    else:
        at[path[-1]] = {"list": [["a"]], "map": {"zz": "a"}, "word": "zz-zz"}[how]
    return fresh


@pytest.mark.parametrize("how", ["drop", "rename", "list", "map", "word"])
@pytest.mark.parametrize("name", ["gateway", "job", "notebook"])
def test_both_agree_on_every_single_change_of_the_demo(tmp_path: Path, name: str, how: str) -> None:
    """JSON is YAML: each key in turn is dropped, renamed or given a value of another kind."""
    whole = as_text(tree((DEMO / f"{name}.yaml").read_text("utf-8")))
    for path in DEMO.glob("*.yaml"):
        (tmp_path / path.name).write_text(path.read_text("utf-8"))
    if name == "job":
        whole["circuits"], whole["confirmed"] = whole["circuits"][:3], whole["confirmed"][:1]
        del whole["twists"]
    seen = 0
    for spot in spots(whole):
        if spot[0] == "wiremap":
            continue
        text = json.dumps(changed(whole, spot, how))
        path = tmp_path / "f.yaml"
        path.write_text(text)
        refused = [one for one in load_any(path).findings if one.fault]
        if any(one.rule in REFERENCES for one in refused):
            continue  # a reference, wire or file: the schema cannot know
        errors = schema_errors(text, as_text)
        assert bool(refused) == bool(errors), (
            spot,
            how,
            [one.message for one in refused],
            errors[:2],
        )
        seen += 1
    assert seen >= 10


def test_schemas_are_found_and_travel_in_the_wheel(tmp_path: Path) -> None:
    for kind in KINDS:
        assert schema_text(kind) == (ROOT / "schemas" / f"{kind}-1.json").read_text("utf-8")
    with pytest.raises(KeyError):
        schema_text("harness")
    build = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["hatch"]["build"][
        "targets"
    ]["wheel"]
    assert build["force-include"]["schemas"] == "wiremap/data/schemas"


def test_reference_is_the_nearest_schemas_folder(tmp_path: Path) -> None:
    inner = tmp_path / "a" / "b"
    inner.mkdir(parents=True)
    assert reference("job", inner) == "schemas/job-1.json"
    (tmp_path / "schemas").mkdir()
    (tmp_path / "schemas" / "job-1.json").write_text("{}")
    assert reference("job", inner) == "../../schemas/job-1.json"


def test_a_foreign_reference_is_refused_without_looking(monkeypatch: pytest.MonkeyPatch) -> None:
    """Draft-07 allows `$ref` to any URI; an empty registry must refuse it before any look-up."""
    from referencing.exceptions import Unresolvable

    for target in ("http://example.invalid/x.json", "file:///etc/passwd"):
        with pytest.raises(Exception) as raised:
            list(Draft7Validator({"$ref": target}, registry=Registry()).iter_errors(1))
        assert isinstance(raised.value.__cause__ or raised.value, Unresolvable | LookupError)
