"""Names meant to do harm go through every output: nothing steers a terminal, nothing is taken for markup or a formula."""

from __future__ import annotations

import csv
import io
import json
import re
import unicodedata
from html.parser import HTMLParser
from pathlib import Path

import pytest

from wiremap.cli.main import main
from wiremap.files import load_pinout
from wiremap.files.dump import quoted

REFUSED = (  # told at their place, never taken in
    "esc\x1b[2J",
    "title\x1b]0;x\x07",
    "nul\x00",
    "bell\x07",
    "back\x08space",
    "c1\x9b31m",
    "del\x7f",
    "bidi\u202e+12",
    "iso\u2066late\u2069",
    "mark\u200f",
    "letter\u061c",
    "zero\u200bwidth",
    "joiner\u200d",
    "soft\u00adhyphen",
    "tag\U000e0041",
    "line\u2028sep",
    "para\u2029sep",
    "bom\ufeff",
    "filler\u3164",
    "noncharacter\ufdd0",
)
KEPT = (  # odd, but a person may have meant them
    "<a href='http://x'>GND</a>",
    "<img src='/etc/passwd'/>",
    "<b>bold",
    "</para>",
    "<script>alert(1)</script>",
    "&lt;&amp;",
    "a & b < c",
    '=HYPERLINK("http://x")',
    "+12V_PERM",
    "-CAN",
    "@SUM(A1)",
    "\uff1d1+1",
    ";=cmd|' /C calc'!A0",
    "a;=1",
    " =1+1",
    "'quoted'",
    '"quoted"',
    "{brace}",
    "[bracket]",
    "%s %d {0} {x}",
    "${HOME}",
    "`id`",
    "$(id)",
    "; rm -rf /",
    "..\\..\\x",
    "../../etc/passwd",
    "C:\\x",
    "CON",
    "null",
    "~",
    "true",
    "010",
    "1e5",
    "2026-11-25",
    "12:30",
    "#not a comment",
    ": colon",
    "- dash",
    "? ask",
    "| pipe",
    "> fold",
    "C\u0391N high",
    "c\u0430n low",
    "\u540d\u524d",
    "\U0001f525 hot",
    "Ko\u0308rper",
    "\u00d8\u00c5\u00c4",
    "W" * 199,
    "a b  c",
    "\\x1b[2J",
)
SAFE = "\n"


def shown(text: str) -> None:
    """Nothing in a text may steer a terminal."""
    bad = {
        c
        for c in text
        if c not in SAFE and unicodedata.category(c) in ("Cc", "Cf", "Cs", "Zl", "Zp")
    }
    assert set() == bad


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two pinouts and a job whose every name is odd."""
    where = tmp_path_factory.mktemp("names")
    for side in ("old", "new"):
        cavities = "\n".join(
            f"  {i}: {{signal: {quoted(name)}, wire: 0.5 RD}}" for i, name in enumerate(KEPT, 1)
        )
        (where / f"{side}.yaml").write_text(
            f"wiremap: pinout/1\ntitle: {quoted(KEPT[0])}\ncavities:\n{cavities}\n",
            encoding="utf-8",
        )
    joins = "\n".join(
        f"  - {{id: {quoted(name)}, join: [loom.{i}, donor.{i}]}}" for i, name in enumerate(KEPT, 1)
    )
    (where / "job.yaml").write_text(
        f"wiremap: job/1\ntitle: {quoted(KEPT[1])}\nends: {{loom: old.yaml, donor: new.yaml}}\n"
        f"circuits:\n{joins}\n",
        encoding="utf-8",
    )
    return where


FORMULAS = ('=HYPERLINK("http://x")', "\uff1d1+1", ";=cmd|' /C calc'!A0", "@SUM(A1)")
COMMANDS = (
    ["check", "job.yaml"],
    ["check", "job.yaml", "--sarif"],
    ["propose", "old.yaml", "new.yaml"],
    ["slips", "job.yaml"],
    ["survey", "job.yaml"],
    ["ringout", "job.yaml"],
    ["ringout", "job.yaml", "--power"],
    ["next", "job.yaml"],
    ["compare", "old.yaml", "new.yaml"],
    ["intake", "--back", "old.yaml"],
    ["intake", "--back", "job.yaml"],
)


@pytest.mark.parametrize(
    "words",
    [*COMMANDS, *([*c, "--json"] for c in COMMANDS if "--sarif" not in c and "--back" not in c)],
    ids=" ".join,
)
def test_no_output_steers_a_terminal(
    words: list[str],
    folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Every command reads the odd names and prints them harmlessly; JSON stays JSON."""
    monkeypatch.chdir(folder)
    assert main(words) in (0, 1)
    out, err = capsys.readouterr()
    shown(out)
    shown(err)
    if "--json" in words or "--sarif" in words:
        json.loads(out)


def test_there_are_enough_of_them() -> None:
    assert len(KEPT) >= 40 and len(REFUSED) >= 20


@pytest.mark.parametrize("name", REFUSED, ids=ascii)
@pytest.mark.parametrize("escaped", [False, True], ids=["raw", "escaped"])
def test_hidden_characters_are_refused_and_shown_as_code_points(
    name: str, escaped: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Raw in the file or as a YAML escape: refused with place, and the message itself is clean."""
    text = '"' + "".join(f"\\U{ord(c):08X}" for c in name) + '"' if escaped else f"'{name}'"
    (tmp_path / "p.yaml").write_bytes(
        f"wiremap: pinout/1\ntitle: t\ncavities:\n  1: {text}\n".encode()
    )
    assert 2 == main(["check", str(tmp_path / "p.yaml")])
    out, err = capsys.readouterr()
    shown(out)
    shown(err)
    assert "p.yaml:4" in out + err or "p.yaml:1" in out + err


def test_formulas_are_neutralised_in_csv(
    folder: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """No cell begins with a sign that a spreadsheet obeys (OWASP, CSV injection), full-width ones
    too, whether commas, semicolons or tabs are taken to part the cells.
    """
    monkeypatch.chdir(folder)
    texts = []
    for source in ("old.yaml", "job.yaml"):
        assert 0 == main(["intake", "--back", source])
        texts.append(capsys.readouterr().out)
    flags = tmp_path / "flags.csv"
    main(["sheet", "job.yaml", "-o", str(tmp_path / "s.svg"), "--flags", str(flags)])
    texts.append(flags.read_text("utf-8"))
    cells = {
        unicodedata.normalize("NFKC", cell.lstrip())
        for text in texts
        for parted in ",;\t"
        for row in csv.reader(io.StringIO(text), delimiter=parted)
        for cell in row
    }
    assert any("cmd" in cell for cell in cells)
    assert set() == {cell for cell in cells if cell[:1] in set("=+-@\t\r")}


@pytest.mark.parametrize("name", [*FORMULAS, *KEPT[:6]], ids=ascii)
def test_a_name_is_text_on_the_page(name: str, folder: Path, tmp_path: Path) -> None:
    """A page has the elements and attributes of our own templates alone, read by the parser of the standard library,
    whatever the name of the job, of its papers and of their signals; a formula, full-width too, stands as written.
    """
    pytest.importorskip("flask")
    from test_page_cards import OURS, Desk

    for file in folder.glob("*.yaml"):
        text = file.read_text("utf-8")
        titled = re.sub("^title: .*$", lambda _: f"title: {quoted(name)}", text, flags=re.MULTILINE)
        (tmp_path / file.name).write_text(titled, "utf-8")
    client = Desk(tmp_path / "job.yaml").client
    for path in ("/", "/findings", "/questions", "/survey?at=all", "/ringout", "/print"):
        page = Elements()
        page.feed(client.get(path, headers=OURS).text)
        assert name in page.text
        assert set() == page.tags & {"img", "b", "para", "iframe", "object"}
        assert "alert" not in page.script
        assert set() == {each for each in page.attributes if each.startswith("on")}
        assert {link for link in page.links if not re.match("/[a-z]*", link)} <= {"data:,"}


class Elements(HTMLParser):
    """What a browser would make of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: set[str] = set()
        self.links: list[str] = []
        self.text = self.script = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes.update(name for name, _ in attrs)
        self.links += [value or "" for name, value in attrs if name in ("href", "src", "action")]

    def handle_data(self, data: str) -> None:
        if self.lasttag == "script":
            self.script += data
        self.text += data


def test_no_markup_reaches_the_pdf(folder: Path, tmp_path: Path) -> None:
    """No link, no image, no action; the names stand in the text as written."""
    pypdf = pytest.importorskip("pypdf")
    assert main(["sheet", str(folder / "job.yaml"), "-o", str(tmp_path / "s.pdf")]) in (0, 1)
    reader = pypdf.PdfReader(tmp_path / "s.pdf")
    assert not any(page.get("/Annots") for page in reader.pages)
    assert not any(
        "/XObject" in (page.get("/Resources") or {}) and page["/Resources"]["/XObject"]
        for page in reader.pages
    )
    data = (tmp_path / "s.pdf").read_bytes()
    assert b"/URI" not in data and b"/JavaScript" not in data and b"/Launch" not in data
    text = "".join(page.extract_text() for page in reader.pages).replace("\n", "").replace(" ", "")
    for name in ("<b>bold", "</para>", "a&b<c", "=HYPERLINK", ";=cmd|", "a;=1", "@SUM(A1)"):
        assert name.replace(" ", "") in text


def test_a_table_of_formulas_is_text_on_the_way_in_and_back(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each name stands in the pinout as it was in the table, and the CSV made of that obeys nothing."""
    table, folder = tmp_path / "table.csv", tmp_path / "taken"
    kept = (name for name in KEPT if not name.startswith("'"))
    names = [unicodedata.normalize("NFC", name.strip()) for name in kept]
    with table.open("w", encoding="utf-8", newline="") as file:
        rows = [("Pin", "Signal", "Wire"), *((str(i), n, "0.5 RD") for i, n in enumerate(names, 1))]
        csv.writer(file).writerows(rows)
    assert 0 == main(["intake", str(table), "-o", str(folder)]), capsys.readouterr().err
    taken = folder / "table.yaml"
    found = load_pinout(taken).value
    assert found is not None
    assert names == [cavity.signal for cavity in found.cavities.values()]
    capsys.readouterr()
    assert 0 == main(["intake", "--back", str(taken)])
    told = list(csv.reader(io.StringIO(capsys.readouterr().out)))
    parted = {
        unicodedata.normalize("NFKC", part.lstrip())
        for row in told
        for cell in row
        for part in cell.replace("\t", ";").split(";")
    }
    assert set() == {part for part in parted if part[:1] in set("=+-@")}
    assert len(told) == len(names) + 1
