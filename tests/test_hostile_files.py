"""Hostile files and names: no traceback, no control sequence on a terminal, no markup in a PDF, nothing lost or written.

Kinds of attack: CWE-150 (terminal escapes), CWE-1236 (spreadsheet formulas), Unicode UAX #9 and UTS #39 (bidi controls and
look-alikes), markup of HTML and of PDF paragraph writers, YAML 1.2.2 tags and anchors, paths that leave a folder (CWE-22).
"""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
import unicodedata
from collections.abc import Callable
from pathlib import Path

import pytest
from demo_jobs import DEMO

from wiremap.cli.main import main
from wiremap.files import load_any, load_job, load_pinout
from wiremap.files.dump import dump_pinout

PASSING = [  # odd but honest text: it must come through unchanged
    '<a href="http://x.invalid">GND</a>',
    '<img src="/etc/passwd"/>',
    "<b>bold",
    "</para><para>",
    "&lt;b&gt; &amp; &#27;",
    "<!--",
    "</script><script>alert(1)</script>",
    '" onmouseover="x',
    "<font color=red>x</font>",
    "<seq id=1/>",
    "<onDraw name=x/>",
    '=HYPERLINK("http://x.invalid")',
    "+12V_PERM",
    "-12V",
    "@SUM(A1)",
    "=1+1",
    "|cmd",
    "%s%n%x",
    "{0}{name}",
    "${HOME}",
    "$(id)",
    "`id`",
    "../../etc/passwd",
    "C:\\CON",
    "NUL",
    "..",
    "a/b\\c",
    "?",
    "*",
    "!!python/object",
    "&anchor",
    "*alias",
    "%YAML 1.1",
    "# no comment",
    "a: b",
    "a, b",
    "- item",
    "[1, 2]",
    "{a: b}",
    "'single'",
    '"double"',
    "yes",
    "null",
    "010",
    "15:1",
    "1e5",
    "2026-03-02",
    ".inf",
    "C\u0391N_H",
    "\u0421AN_L",
    "ﬁ ligature",
    "Ω µ ± ² °",
    "Größe",
    "Ελλάδα",
    "Привет",
    "日本語",
    "عربي",
    "😀",
    "\ue000 private",
    "x" * 200,
    "1 OR 1=1; --",
    "\\u001b[2J",
    "\\x1b]0;x\\a",
    "%0a%0d",
    "CAN\u00a0H",
    "e\u0301",
]
REFUSED = [  # never let in
    "\x1b[2J",
    "\x1b]0;title\x07",
    "a\x00b",
    "a\x7fb",
    "\x9b31m",
    "a\x85b",
    "GND\u202e21+",
    "CAN_\u200bH",
    "a\u200fb",
    "a\u2066b\u2069",
    "a\u061cb",
    "\ufeffa",
    "a\u2028b",
    "a\u2029b",
    "a\u00adb",
    "a\ufe0fb",
    "a\u3164b",
    "\U000e0041",
    "a\ufffeb",
    "x" * 201,
    "x" * 10_000,
    "two\nlines",
    "a\tb",
    "cr\rhere",
    "bell\x07",
]


def escaped(text: str) -> str:
    """A double-quoted YAML scalar in which everything odd is an escape, so that only the reader can find it."""
    return (
        json.dumps(text, ensure_ascii=True)
        if all(ord(one) < 0x10000 for one in text)
        else json.dumps(text, ensure_ascii=False)
    )


def clean(text: str) -> bool:
    """Whether nothing in a text can steer a terminal or hide from a reader."""
    return all(
        one == "\n" or unicodedata.category(one) not in ("Cc", "Cf", "Cs", "Zl", "Zp")
        for one in text
    )


def run_cleanly(words: list[str], capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    try:
        code = main(words)
    except SystemExit as stop:
        code = int(stop.code or 0)
    shown = capsys.readouterr()
    assert "Traceback" not in shown.err and "fault of our own" not in shown.err, shown.err
    assert clean(shown.out) and clean(shown.err)
    return code, shown.out, shown.err


def test_there_are_enough_of_them() -> None:
    assert len(set(PASSING)) >= 40 and len(set(REFUSED)) >= 20


@pytest.mark.parametrize("name", REFUSED, ids=lambda text: ascii(text)[:20])
def test_hidden_and_endless_names_are_refused_in_plain_words(
    tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    bodies = (
        f"title: {escaped(name)}\ncavities: {{1: x}}\n",
        f"title: t\ncavities:\n  1: {escaped(name)}\n",
        f"title: t\ncavities:\n  1: {{signal: {escaped(name)}}}\n",
        f"title: t\ncavities:\n  {escaped(name)}: x\n",
    )
    for index, body in enumerate(bodies):
        if index == 3 and len(name) > 1000:
            continue  # YAML itself ends a simple key at 1,024 characters
        path = tmp_path / "p.yaml"
        path.write_text("wiremap: pinout/1\n" + body, encoding="utf-8")
        loaded = load_pinout(path)
        assert loaded.value is None
        for one in loaded.findings:
            assert (
                clean(one.message)
                and clean(one.fix)
                and len(one.message) < 500
                and one.place is not None
                and one.place.line > 1
            )
        code, out, err = run_cleanly(["check", str(path)], capsys)
        assert code == 2 and (out or err)
        code, out, _ = run_cleanly(["check", "--json", str(path)], capsys)
        assert code == 2 and json.loads(out)["findings"]


def hostile_job(folder: Path) -> tuple[Path, list[str]]:
    """A job whose signals, titles, reasons, ends and files' words are all hostile."""
    words = [text for text in PASSING if text != "?"]
    for name, half in (("old", "machine"), ("new", "unit")):
        lines = [
            "wiremap: pinout/1",
            f"title: {escaped(words[0] + half)}",
            f"source: {{name: {escaped(words[1])}, basis: document}}",
            f"connector: {{shell: {escaped(words[6])}}}",
            "cavities:",
        ]
        for number, text in enumerate(words, 1):
            lines.append(
                f"  {number}: {{signal: {escaped(text)}, wire: 0.5 GN/WH, caution: {escaped(text)}, chain: {escaped(text)}, source: "
                f"{escaped(text)}, function: digital-input}}"
            )
        (folder / f"{name}.yaml").write_text("\n".join(lines) + "\n", encoding="utf-8")
    body = [
        "wiremap: job/1",
        f"title: {escaped(words[2])}",
        "supply: {volts: 12, min_volts: 9, max_volts: 15}",
        "ends: {'<b>loom': old.yaml, '=donor': new.yaml}",
        "extras: {'{F1}': {fuse: '<i>blade', amps: 2}}",
        "circuits:",
    ]
    for number, text in enumerate(words[:40], 1):
        body.append(
            f"  - {{id: {escaped(text + str(number))}, join: ['<b>loom.{number}', '=donor.{number}'], "
            f"grade: ask, because: [{escaped(text)}]}}"
        )
    body.append("not_joined:")
    for number, text in enumerate(words[40:], 41):
        body += [
            f"  '<b>loom.{number}': {{why: {escaped(text)}, treat: cap}}",
            f"  '=donor.{number}': {escaped(text)}",
        ]
    body.append("confirmed:")
    body += [
        f"  - {{circuit: {escaped(text + str(number))}, by: {escaped(text[:50])}, date: 2026-03-02, how: {escaped(text)}}}"
        for number, text in enumerate(words[:40], 1)
    ]
    path = folder / "job.yaml"
    path.write_text("\n".join(body) + "\n", encoding="utf-8")
    return path, words


def test_honest_oddities_come_through_unchanged(tmp_path: Path) -> None:
    path, words = hostile_job(tmp_path)
    loaded = load_job(path)
    assert loaded.value is not None, [one.message for one in loaded.findings][:5]
    signals = [cavity.signal for cavity in loaded.value.ends["<b>loom"].pinout.cavities.values()]
    assert signals == [unicodedata.normalize("NFC", text).strip() for text in words]
    again = tmp_path / "again.yaml"
    again.write_text(dump_pinout(loaded.value.ends["<b>loom"].pinout), encoding="utf-8")
    copy = load_pinout(again).value
    assert copy is not None and [cavity.signal for cavity in copy.cavities.values()] == signals


COMMANDS: list[Callable[[str, str], list[str]]] = [
    lambda job, folder: ["check", job],
    lambda job, folder: ["check", "--json", job],
    lambda job, folder: ["check", "--sarif", job],
    lambda job, folder: ["slips", job],
    lambda job, folder: ["slips", "--json", job],
    lambda job, folder: ["ringout", job],
    lambda job, folder: ["ringout", "--json", job],
    lambda job, folder: ["ringout", "--power", job],
    lambda job, folder: ["survey", job],
    lambda job, folder: ["next", job],
    lambda job, folder: ["compare", job, job],
    lambda job, folder: ["propose", f"{folder}/old.yaml", f"{folder}/new.yaml"],
    lambda job, folder: ["propose", "--json", f"{folder}/old.yaml", f"{folder}/new.yaml"],
    lambda job, folder: [
        "start",
        "job",
        f"{folder}/old.yaml",
        f"{folder}/new.yaml",
        "-o",
        f"{folder}/blank.yaml",
    ],
    lambda job, folder: ["sheet", job, "-o", f"{folder}/sheet.pdf", "--annex"],
]


@pytest.mark.parametrize(
    "words",
    COMMANDS,
    ids=lambda make: "-".join(w for w in make("J", "D")[:2] if w.isalpha() or w[0] == "-"),
)
def test_hostile_names_through_every_command(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    words: Callable[[str, str], list[str]],
) -> None:
    monkeypatch.chdir(tmp_path)  # a proposal names the pinouts as seen from where it is written
    path, _ = hostile_job(tmp_path)
    code, out, err = run_cleanly(words(path.as_posix(), tmp_path.as_posix()), capsys)
    assert code in (0, 1), err
    if "--json" in words("", ""):
        json.loads(out)
    proposed = tmp_path / "proposed.yaml"
    if words("", "")[0] == "propose" and "--json" not in words("", ""):
        proposed.write_text(out, encoding="utf-8")
        assert load_job(proposed).value is not None, [
            one.message for one in load_job(proposed).findings
        ][:3]


def test_no_markup_of_a_name_is_obeyed_by_the_sheet(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Read back with pypdf: the tags stand there as text; no link, image, script or foreign file came of them."""
    from pypdf import PdfReader

    path, _ = hostile_job(tmp_path)
    pdf = tmp_path / "s.pdf"
    code, _, err = run_cleanly(["sheet", str(path), "-o", str(pdf)], capsys)
    assert code in (0, 1), err
    reader = PdfReader(pdf)
    text = "".join(page.extract_text() for page in reader.pages)
    squeezed = "".join(text.split())
    for word in ("<ahref=", "<imgsrc=", "<b>bold", "=HYPERLINK(", "</script>"):
        assert word in squeezed
    for page in reader.pages:
        assert not page.get("/Annots") and not page.images
    root = reader.trailer["/Root"]
    assert "/OpenAction" not in root and "/AA" not in root and "/Names" not in root
    assert b"root:" not in pdf.read_bytes()


BROKEN = {
    "missing": lambda folder: folder / "missing.yaml",
    "folder": lambda folder: folder,
    "empty": lambda folder: _file(folder, b""),
    "binary": lambda folder: _file(folder, bytes(range(256)) * 20),
    "picture": lambda folder: _file(folder, b"\x89PNG\r\n\x1a\n\x00\x00"),
    "utf-16": lambda folder: _file(folder, "wiremap: job/1\n".encode("utf-16")),
    "pinout": lambda folder: folder / "old.yaml",
    "no pinout": lambda folder: _file(folder, b"wiremap: job/1\nends: {a: gone.yaml}\n"),
    "outside": lambda folder: _file(folder, b"wiremap: job/1\nends: {a: ../../old.yaml}\n"),
    "absolute": lambda folder: _file(folder, b"wiremap: job/1\nends: {a: /etc/passwd}\n"),
    "version": lambda folder: _file(folder, b"wiremap: job/7\nends: {a: old.yaml}\n"),
    "kind": lambda folder: _file(folder, b"wiremap: harness/1\n"),
    "text": lambda folder: _file(folder, b"Dear all,\nplease find the table attached\n"),
    "json list": lambda folder: _file(folder, b"[1, 2]\n"),
    "itself": lambda folder: _file(folder, b"wiremap: job/1\nends: {a: f.yaml}\n"),
    "a file as folder": lambda folder: folder / "old.yaml" / "x.yaml",
    "name of 5000": lambda folder: folder / ("n" * 5000),
}


def _file(folder: Path, data: bytes) -> Path:
    (folder / "f.yaml").write_bytes(data)
    return folder / "f.yaml"


@pytest.fixture
def with_old(tmp_path: Path) -> Path:
    (tmp_path / "old.yaml").write_text("wiremap: pinout/1\ntitle: t\ncavities: {1: ground}\n")
    return tmp_path


@pytest.mark.parametrize("kind", BROKEN)
def test_what_cannot_be_read_ends_with_2_one_clear_line_and_nothing_written(
    with_old: Path, kind: str, capsys: pytest.CaptureFixture[str]
) -> None:
    path = BROKEN[kind](with_old)
    before = sorted(one.name for one in with_old.iterdir())
    for command in (
        ["sheet", str(path), "-o", str(with_old / "s.pdf")],
        ["slips", str(path)],
        ["ringout", str(path)],
    ):
        code, out, err = run_cleanly(command, capsys)
        assert code == 2 and err.strip() and not out, (command, code, out, err)
    if kind not in ("pinout", "folder"):
        code, out, err = run_cleanly(["check", str(path)], capsys)
        assert code == 2 and (out + err).strip()
        loaded = load_any(path)
        assert loaded.value is None and len([one for one in loaded.findings if one.fault]) == 1
        assert loaded.findings[0].fix and loaded.findings[0].place is not None
    assert sorted(one.name for one in with_old.iterdir()) == before


@pytest.mark.skipif(sys.platform == "win32", reason="no named pipes in the file tree there")
def test_a_pipe_ends_at_once(with_old: Path) -> None:
    os.mkfifo(with_old / "pipe.yaml")
    done = subprocess.run(
        [sys.executable, "-m", "wiremap", "check", "pipe.yaml"],
        cwd=with_old,
        capture_output=True,
        text=True,
        timeout=30,
        env={**os.environ, "PYTHONPATH": str(DEMO.parent)},
    )
    assert done.returncode == 2 and "pipe" in done.stdout + done.stderr


def test_a_secret_file_is_never_quoted(with_old: Path) -> None:
    """A job that names a file which is no pinout must not print what stands in it."""
    (with_old / "secret.yaml").write_text("password hunter2\n")
    (with_old / "f.yaml").write_text("wiremap: job/1\nends: {a: secret.yaml}\n")
    assert not any(
        "hunter2" in one.message + one.fix for one in load_job(with_old / "f.yaml").findings
    )


ODD = (
    b"\t",
    b"{",
    b"}",
    b"[",
    b"]",
    b":",
    b": ",
    b"- ",
    b"&a ",
    b"*a",
    b"!x ",
    b'"',
    b"'",
    b"\n",
    b"#",
    b"\xc2\xa0",
    b"\xff",
    b"\x00",
    b"? ",
    b"|",
    b">",
    b"%",
    b"@",
    b"---\n",
    b"~",
    b",",
    b"\xe2\x80\xae",
    b"0x",
    b"1e999",
    b".nan",
    b"99999999999999999999",
)  # bytes with a meaning of their own in YAML, or none in UTF-8


@pytest.mark.parametrize("seed", range(4))
def test_torn_files_never_raise(tmp_path: Path, seed: int) -> None:
    """Bytes of the demo files cut, doubled, flipped and exchanged at random: always a model or a fault with a place."""
    chance = random.Random(seed)
    names = ["series1-loom.yaml", "gateway.yaml", "job.yaml", "notebook.yaml"]
    for path in DEMO.glob("*.yaml"):
        (tmp_path / path.name).write_bytes(path.read_bytes())
    for turn in range(60):
        data = bytearray((DEMO / names[turn % 4]).read_bytes())
        for _ in range(chance.randint(1, 4)):
            at = chance.randrange(len(data))
            how = chance.randrange(4)
            if how == 0:
                data[at:at] = chance.choice(ODD)
            elif how == 1:
                del data[at : at + chance.randint(1, 30)]
            elif how == 2:
                data[at:at] = data[at : at + chance.randint(1, 60)]
            else:
                data[at] = chance.randrange(256)
        path = tmp_path / "torn.yaml"
        path.write_bytes(bytes(data))
        loaded = load_any(path)
        faults = [one for one in loaded.findings if one.fault]
        assert (loaded.value is None) == bool(faults)
        for one in loaded.findings:
            assert (
                one.place is not None and one.place.line >= 1 and one.place.col >= 1 and one.message
            )


@pytest.mark.parametrize("name", ["1-99999999999", f"1-{10**40}", "5000000000-4"])
def test_a_range_that_no_connector_has_is_no_name(name: str, tmp_path: Path) -> None:
    """However many digits it has, it is a range that is refused, not a cavity of that name."""
    path = tmp_path / "wide.yaml"
    path.write_text(f"wiremap: pinout/1\ntitle: x\ncavities:\n  {name}: CAN\n")
    read = load_pinout(path)
    assert read.value is None
    assert "the range" in read.findings[0].message
