"""The strict reader: what it keeps, what it refuses, and in which words.

The attacks follow the YAML 1.2.2 specification (anchors, tags, directives), Unicode's UAX #9 (bidi controls) and
DerivedCoreProperties (default-ignorable characters), and known habits of PyYAML (YAML 1.1 typing, last key wins).
"""

from __future__ import annotations

import os
import sys
import unicodedata
from pathlib import Path

import pytest
import yaml

from wiremap.files import filebytes, source, strict
from wiremap.files.strict import Document, Map, Scalar, Seq

C_PARSER = strict._Parser


@pytest.fixture(params=["c", "pure"], autouse=True)
def parser(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every test runs with PyYAML's C parser and with its pure Python one."""
    monkeypatch.setattr(strict, "_Parser", C_PARSER if request.param == "c" else yaml.SafeLoader)


def parse(text: str | bytes) -> Document:
    data = text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass")
    clean, faults = source.decode(data, "f.yaml")
    return strict.parse(clean) if clean is not None else Document("f.yaml", None, None, faults)


def only(text: str | bytes) -> tuple[str, int, int, str]:
    """The one fault of a text as rule, line, column and everything it says."""
    found = parse(text).faults
    assert len(found) == 1, [f"{one.place} {one.message}" for one in found]
    place = found[0].place
    assert place is not None and found[0].fault
    return (
        found[0].rule,
        place.line,
        place.col,
        f"{found[0].message} | {found[0].why} | {found[0].fix}",
    )


def plain(node: object) -> object:
    if isinstance(node, Map):
        return {key: plain(value) for key, (_, value) in node.entries.items()}
    return (
        [plain(one) for one in node.items]
        if isinstance(node, Seq)
        else node.text
        if isinstance(node, Scalar)
        else node
    )


def test_scalars_stay_their_source_text() -> None:
    """YAML 1.1 would make 8, 901, True, 750, None, 0.5 and a date of these (see the resolvers of PyYAML)."""
    texts = ["010", "15:1", "on", "12:30", "~", "0.50", "2026-03-02", "1e5", "0x1F", "=", "No"]
    document = parse("".join(f"k{n}: {text}\n" for n, text in enumerate(texts)))
    assert list(plain(document.root).values()) == texts  # type: ignore[union-attr]
    typed = yaml.safe_load("[010, 15:1, on, 12:30, ~, 0.50]")
    assert typed == [8, 901, True, 750, None, 0.5]


def test_places_count_from_one_in_characters() -> None:
    document = parse("a: 1\nb:\n  - x\n  - {c: é𝄞, d: z}\n")
    assert isinstance(document.root, Map)
    key, value = document.root.entries["b"]
    assert (key.line, key.col) == (2, 1)
    assert isinstance(value, Seq)
    inner = value.items[1]
    assert isinstance(inner, Map)
    assert [(k.line, k.col, v.line, v.col) for k, v in inner.entries.values()] == [
        (4, 6, 4, 9),
        (4, 13, 4, 16),
    ]


@pytest.mark.parametrize(
    "text", ["\ufeffa: 1\nb: 2\n", "a: 1\r\nb: 2\r\n", "\ufeffa: 1\r\nb: 2", "a: 1\rb: 2\r"]
)
def test_byte_order_mark_and_line_ends_are_fine(text: str) -> None:
    document = parse(text)
    assert not document.faults and plain(document.root) == {"a": "1", "b": "2"}
    assert isinstance(document.root, Map)
    assert document.root.entries["b"][1].line == 2 and document.root.col == 1


def test_quotes_are_remembered() -> None:
    root = parse("a: x\nb: 'x'\nc: \"x\"\n").root
    assert isinstance(root, Map)
    assert [value.plain for _, value in root.entries.values() if isinstance(value, Scalar)] == [
        True,
        False,
        False,
    ]


def test_duplicate_key_shows_both_lines() -> None:
    document = parse("cavities:\n  7: CAN_H\n  8: x\n  7: CAN_L\n")
    (found,) = document.faults
    assert found.rule == "duplicate-key" and "line 2" in found.message and "line 4" in found.message
    assert found.place is not None and found.place.line == 4
    assert [place.line for place, _ in found.also] == [2]


def test_keys_are_compared_as_text() -> None:
    assert not parse("1: a\n01: b\n1.0: c\ntrue: d\n").faults


def test_many_faults_come_at_once() -> None:
    found = parse("a: 1\na: 2\nb: &x 1\nc: *x\nd: !t 1\n").faults
    assert [one.rule for one in found] == [
        "duplicate-key",
        "yaml-anchor",
        "yaml-anchor",
        "yaml-tag",
    ]


@pytest.mark.parametrize(
    ("text", "rule", "line", "col", "words"),
    [
        ("a: &a [x, x]\n", "yaml-anchor", 1, 4, "anchor"),
        ("a: 1\nb: *a\n", "yaml-anchor", 2, 4, "quotes"),
        ("a: !!python/object/apply:os.system\n  - id\n", "yaml-tag", 1, 4, "tag"),
        ("a: !mine 1\n", "yaml-tag", 1, 4, "!mine"),
        ("%TAG ! tag:x,2000:\n---\na: 1\n", "yaml-tag", 1, 1, "%TAG"),
        ("<<: {a: 1}\n", "yaml-anchor", 1, 1, "merge"),
        ("? {a: 1}\n: x\n", "odd-key", 1, 3, "plain text"),
        ("? [a, b]\n: x\n", "odd-key", 1, 3, "plain text"),
        ("[a]: x\n", "odd-key", 1, 1, "plain text"),
        ("a: 1\n---\nb: 2\n", "several-documents", 2, 1, "second document"),
        ("---\n---\n", "several-documents", 2, 1, "second document"),
        ("a: 1\n...\nb: 2\n", "several-documents", 3, 1, "one document"),
        ("", "empty-file", 1, 1, "empty"),
        ("  \n\n", "empty-file", 1, 1, "empty"),
        ("# only words\n", "empty-file", 1, 1, "comments only"),
        (": x\n", "missing-key", 1, 1, "before this colon"),
    ],
)
def test_refused(text: str, rule: str, line: int, col: int, words: str) -> None:
    found = only(text)
    assert found[:3] == (rule, line, col)
    assert words in found[3]


@pytest.mark.parametrize(
    ("text", "rule", "line", "col", "words"),
    [
        ("c: {signal: +12 always, red}\n", "comma-in-braces", 1, 25, '"+12 always, red"'),
        ("c: {wire: 0,5 RD}\n", "comma-in-braces", 1, 13, "0"),
        ("c: {csa_mm2: 0,35, amps: 1}\n", "comma-in-braces", 1, 16, "0.35"),
        ("c: {signal:Ground, flow: both}\n", "missing-space", 1, 5, "`signal: Ground`"),
        ("a:\n\tb: 2\n", "tab", 2, 1, "spaces"),
        ("a:\tb\n", "tab", 1, 3, "spaces"),
        ("a: 1\nb:\n- c\n\t- d\n", "tab", 4, 1, "spaces"),
        ("a: b\tc\n", "tab", 1, 5, "spaces"),
        ("a:\u00a0on\n", "odd-space", 1, 2, "non-breaking space"),
        ("title: x\nhalf:\u00a0wired\n", "odd-space", 2, 5, "non-breaking space"),
        ("a：b\nc: d\n", "odd-space", 1, 2, "full-width colon"),
        ("title: x\nwiremap:pinout/1\nb: c\n", "missing-space", 2, 8, "after the colon"),
        ("a: b\ntitle:x\n", "missing-space", 2, 6, "after the colon"),
        ("14: -\n", "needs-quotes", 1, 5, '"-"'),
        ("5: ?\n", "needs-quotes", 1, 4, '"?"'),
        ("c: {5: ?, b: c}\n", "needs-quotes", 1, 8, '"?"'),
        ("a: @home\n", "needs-quotes", 1, 4, '"@home"'),
        ("a: `x`\n", "needs-quotes", 1, 4, "quotes"),
        ("a: %5\n", "needs-quotes", 1, 4, '"%5"'),
        ("a: * star\n", "needs-quotes", 1, 4, "quotes"),
        ("a: & more\n", "needs-quotes", 1, 4, "quotes"),
        ("a: >10 V\n", "needs-quotes", 1, 4, "quotes"),
        ("a: |x\n", "needs-quotes", 1, 4, "quotes"),
        ("a: ! x\n", "yaml-tag", 1, 4, "quotes"),
        ("signal: horn: left\n", "needs-quotes", 1, 13, "second"),
        ('a: "x\nb: c\n', "open-quote", 1, 4, "never closed"),
        ("a: 'x\nb: c\n", "open-quote", 1, 4, "never closed"),
        ('a: "-" unused\nb: c\n', "text-after-quote", 1, 8, "unused"),
        ("a: {b: c\nd: e\n", "open-bracket", 1, 4, "not closed"),
        ("a: [1, 2\n", "open-bracket", 1, 4, "not closed"),
        ("a: {b: c}}\nd: e\n", "open-bracket", 1, 10, "closes nothing"),
        ("a: {b: c d: e}\n", "missing-comma", 1, 11, "comma"),
        ("a:\n  b: 1\n c: 2\n", "yaml-layout", 3, 2, "indent"),
        ("a: 1\n  b: 2\n", "yaml-layout", 2, 4, "indent"),
        ("a: - b\n", "yaml-layout", 1, 4, "new line"),
        ('a: "C:\\qq"\n', "odd-escape", 1, None, "single quotes"),
    ],
)
def test_help_for_what_people_type(
    text: str, rule: str, line: int, col: int | None, words: str
) -> None:
    found = only(text)
    assert found[:2] == (rule, line)
    assert col is None or found[2] == col
    assert words in found[3]


@pytest.mark.parametrize(
    "text",
    [
        "a: @x\n",
        "a: {b: c\n",
        "a: 'x\n",
        "14: -\n",
        "a: b: c\n",
        "a:\n  b: 1\n c: 2\n",
        "a: !e!x y\n",
        "%x\na: 1\n",
        "%YAML 3.0\n---\na: 1\n",
        "a: 'b' c\n",
        "? a\n? b\n- c\n",
        "- a\nb: c\n",
        "{a: b}\nc: d\n",
        "a: |\n x\n  y\nz\n",
        "]\n",
        "}\n",
        ",\n",
        "a: [b, , c]\n",
    ],
)
def test_the_librarys_own_sentences_are_never_shown(text: str) -> None:
    loader = yaml.SafeLoader
    with pytest.raises(yaml.YAMLError) as raised:
        yaml.load(text.encode(), loader)
    said = str(getattr(raised.value, "problem", "")) or "\0"
    found = parse(text).faults
    assert found
    for one in found:
        assert (
            said not in one.message and "token" not in one.message and "scanning" not in one.message
        )


def test_escapes_cannot_smuggle_control_characters() -> None:
    for escape in (
        "\\e[2J",
        "\\0",
        "\\a",
        "\\u202e",
        "\\u200b",
        "\\N",
        "\\L",
        "\\P",
        "\\x7f",
        "\\t",
    ):
        rule, line, col, said = only(f'a: 1\nb: "x{escape}"\n')
        assert (rule, line, col) == ("hidden-character", 2, 4), escape
        assert "U+" in said
    assert parse('a: "\\ud800"\n').faults


BIDI = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"  # UAX #9, table of Bidi_Control
IGNORABLE = "\u00ad\u034f\u115f\u1160\u17b4\u180e\u200b\u200c\u200d\u2060\u2064\u206a\u3164\ufe0f\uffa0\U000e0041\U0001d173"


@pytest.mark.parametrize(
    "character",
    [
        *BIDI,
        *IGNORABLE,
        "\x00",
        "\x07",
        "\x1b",
        "\x7f",
        "\x85",
        "\x9b",
        "\u2028",
        "\u2029",
        "\ufffe",
    ],
)
def test_hidden_characters_are_refused_everywhere(character: str) -> None:
    for text in (f"a: x{character}y\n", f"a{character}: x\n", f"a: 1\n# comment {character}\n"):
        found = parse(text).faults
        assert found
        if character == "\x00":
            assert found[0].rule == "not-text"
        else:
            assert (
                found[0].rule == "hidden-character"
                and f"U+{ord(character):04X}" in found[0].message
            )
            assert found[0].place is not None and found[0].place.line in (1, 2)


def test_ordinary_letters_of_many_scripts_pass() -> None:
    text = "a: Größe µ² °C Ω ŠČŘ\nb: Ελλάδα\nc: Привет\nd: 日本語\ne: ÷×±\n"
    assert not parse(text).faults
    assert all(not source.HIDDEN.match(chr(code)) for code in range(0x20, 0x7F))
    hidden = [chr(code) for code in range(0x3000) if unicodedata.category(chr(code)) == "Cf"]
    missed = [one for one in hidden if not source.HIDDEN.match(one)]
    # Prefixed format controls of Arabic and Syriac have a shape of their own (Prepended_Concatenation_Mark).
    assert missed == list("\u0600\u0601\u0602\u0603\u0604\u0605\u06dd\u070f\u0890\u0891\u08e2")


def test_encodings() -> None:
    assert only("a: ü\n".encode("utf-16"))[0] == "not-utf8"
    assert "UTF-16" in only("a: 1\nb: 2\n".encode("utf-16-le"))[3]
    rule, line, col, said = only("a: 1\nb: Größe\n".encode("cp1252"))
    assert (rule, line, col) == ("not-utf8", 2, 6) and "Windows-1252" in said
    assert only(b"\x89PNG\r\n\x1a\n\x00\x00\x00\x0d")[0] == "not-text"
    assert only(b"%PDF-1.7\nhello")[0] == "not-text"
    assert only(b"PK\x03\x04abc")[0] == "not-text"
    assert only("a: \ud800\n")[0] == "not-utf8"


def test_limits_bite_while_reading() -> None:
    deep = "[" * 2000
    assert only(f"a: {deep}")[0] == "over-limit"
    assert (
        only("".join("  " * n + f"k{n}:\n" for n in range(60)) + "  " * 60 + "x: 1\n")[0]
        == "over-limit"
    )
    wide = "a: [" + "1," * (strict.MAX_NODES + 10) + "]\n"
    assert "200,000" in only(wide)[3]
    rule, *_, said = only(b"a: " + b"x" * filebytes.MAX_BYTES)
    assert rule == "over-limit" and "2 MiB" in said


def test_fifty_levels_are_allowed() -> None:
    assert not parse("[" * 49 + "1" + "]" * 49 + "\n").faults


def test_alias_bomb_and_cycle_are_refused_at_once() -> None:
    bomb = "a: &a [x,x,x,x,x,x,x,x,x]\n" + "".join(
        f"{chr(98 + n)}: &{chr(98 + n)} [{','.join(['*' + chr(97 + n)] * 9)}]\n" for n in range(8)
    )
    assert {one.rule for one in parse(bomb).faults} <= {"yaml-anchor", "over-limit"}
    assert [one.rule for one in parse("a: &a [*a]\n").faults] == ["yaml-anchor", "yaml-anchor"]


def test_many_faults_end_somewhere() -> None:
    found = parse("".join("a: 1\n" for _ in range(500))).faults
    assert len(found) <= strict.MAX_FAULTS + 2
    assert found[-1].rule == "over-limit"


def test_paths_that_are_no_files(tmp_path: Path) -> None:
    (tmp_path / "old.yaml").write_text("a: 1\n")
    assert strict.read(tmp_path / "odl.yaml").faults[0].fix == "Did you mean old.yaml?"
    assert strict.read(tmp_path).faults[0].rule == "not-a-file"
    assert strict.read(tmp_path / "old.yaml" / "x").faults[0].rule == "no-such-file"
    assert strict.read(tmp_path / "no" / "x.yaml").faults[0].rule == "no-such-file"
    assert strict.read("x\0y").faults[0].rule == "unreadable-file"
    assert strict.read("n" * 5000).faults[0].rule == "unreadable-file"


@pytest.mark.skipif(
    sys.platform == "win32", reason="no named pipes or devices in the file tree there"
)
def test_pipes_devices_and_loops_do_not_hang(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert strict.read(tmp_path / "pipe").faults[0].rule == "not-a-file"
    assert strict.read("/dev/zero").faults[0].rule == "not-a-file"
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    assert strict.read(tmp_path / "loop").faults[0].rule == "unreadable-file"


def test_reading_agrees_with_the_librarys_text_loader() -> None:
    """PyYAML's BaseLoader keeps every scalar as text too: an independent reading of the same file."""
    text = (
        Path(__file__)
        .parent.parent.joinpath("pinouts_demo", "series1-loom.yaml")
        .read_text("utf-8")
    )
    assert plain(parse(text).root) == yaml.load(text, yaml.BaseLoader)
