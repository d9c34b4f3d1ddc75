"""Packs: reproducible, complete, readable by others; and what a hostile one meets."""

from __future__ import annotations

import hashlib
import io
import json
import os
import shutil
import stat
import subprocess
import tempfile
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from called import called
from demo_jobs import DEMO, DEMO_JOB
from hypothesis import given, settings
from hypothesis import strategies as st

from wiremap.files import load_job
from wiremap.share.canonical import content_hash, plain_job
from wiremap.share.manifest import MANIFEST
from wiremap.share.members import members
from wiremap.share.opening import open_pack
from wiremap.share.pack import EPOCH, Packed, pack
from wiremap.share.unpack import unpack

STATED = {"author": "RK, workshop", "licence": "CC-BY-4.0", "date": "2026-03-02"}


def packed(job: Path = DEMO_JOB, **more: bool) -> Packed:
    return pack(job, **STATED, **more)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def good() -> bytes:
    data = packed().data
    assert data is not None
    return data


def test_what_comes_out_is_what_went_in(good: bytes, tmp_path: Path) -> None:
    """Every file byte for byte but for a line that says where signatures came from; the job loads
    to the same meaning."""
    (tmp_path / "a.zip").write_bytes(good)
    opened = unpack(tmp_path / "a.zip", tmp_path / "out")
    assert opened.findings == ()
    for name in (
        "job.yaml",
        "notebook.yaml",
        "series1-loom.yaml",
        "series2-donor.yaml",
        "gateway.yaml",
        "socket16.yaml",
    ):
        out = (tmp_path / "out" / name).read_bytes().splitlines(keepends=True)
        came = [line for line in out if line.startswith(b"came_with: ")]
        assert len(came) == (name == "notebook.yaml")
        assert (DEMO / name).read_bytes() == b"".join(line for line in out if line not in came)
    old, new = load_job(DEMO_JOB).value, load_job(tmp_path / "out" / "job.yaml").value
    assert old is not None and new is not None
    assert plain_job(old) == plain_job(new)
    assert opened.manifest["content"] == content_hash(plain_job(new))


def test_equal_input_gives_equal_bytes(good: bytes) -> None:
    assert good == packed().data


def test_reformatting_does_not_change_the_content_hash(tmp_path: Path) -> None:
    """Comments, order of circuits and spelling of colours are form, not content."""
    shutil.copytree(DEMO, tmp_path / "d")
    job = tmp_path / "d" / "job.yaml"
    lines = job.read_text().splitlines()
    at = [i for i, line in enumerate(lines) if "id: spinner" in line or "id: conveyor" in line]
    lines[at[0]], lines[at[1]] = lines[at[1]], lines[at[0]]
    job.write_text("\n".join([*lines, "# a remark"]) + "\n")
    donor = tmp_path / "d" / "series2-donor.yaml"
    donor.write_text(donor.read_text().replace("wire: 0.5 br}", "wire: 0.5 brown}"))
    again = packed(job)
    assert again.data is not None and again.data != packed().data
    assert packed().manifest["content"] == again.manifest["content"]


def test_an_independent_reader_finds_the_pack_sound(good: bytes, tmp_path: Path) -> None:
    """Info-ZIP's unzip tests and extracts it (an implementation apart from Python's)."""
    if shutil.which("unzip") is None:
        pytest.skip("Info-ZIP unzip is not installed")
    (tmp_path / "a.zip").write_bytes(good)
    done = subprocess.run(
        ["unzip", "-q", "a.zip", "-d", "x"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert DEMO_JOB.read_bytes() == (tmp_path / "x" / "job.yaml").read_bytes()


def test_outside_files_are_refused_unless_gathered(tmp_path: Path) -> None:
    """Gathering copies them in and points the copy's references to them; the user's own file stays as it is."""
    shutil.copytree(DEMO, tmp_path / "shelf")
    work = tmp_path / "work"
    work.mkdir()
    text = DEMO_JOB.read_text().replace("pinout: gateway.yaml", "pinout: ../shelf/gateway.yaml")
    (work / "job.yaml").write_text(text)
    for name in ("notebook.yaml", "series1-loom.yaml", "series2-donor.yaml", "socket16.yaml"):
        shutil.copyfile(DEMO / name, work / name)
    assert [f.rule for f in packed(work / "job.yaml").findings] == ["outside-folder"]
    made = packed(work / "job.yaml", gather=True)
    assert made.data is not None
    assert text == (work / "job.yaml").read_text()
    (tmp_path / "a.zip").write_bytes(made.data)
    assert unpack(tmp_path / "a.zip", tmp_path / "out").findings == ()
    assert (tmp_path / "out" / "gathered" / "gateway.yaml").is_file()
    assert load_job(tmp_path / "out" / "job.yaml").value is not None


@pytest.mark.parametrize(
    ("key", "value", "rule"),
    [
        ("author", "", "pack-author"),
        ("licence", "do what you like!", "pack-licence"),
        ("date", "2.3.26", "pack-date"),
        ("date", "2026-13-45", "pack-date"),
        ("date", "2026-02-30", "pack-date"),
    ],
)
def test_what_a_pack_must_state(key: str, value: str, rule: str) -> None:
    assert [rule] == [f.rule for f in pack(DEMO_JOB, **{**STATED, key: value}).findings]  # type: ignore[arg-type]


# -- hostile packs -------------------------------------------------------------------------------------

Files = dict[str, bytes]


def _manifest(members: Files, **change: object) -> bytes:
    listed = [
        {"path": n, "size": len(d), "sha256": hashlib.sha256(d).hexdigest()}
        for n, d in members.items()
    ]
    return json.dumps({"wiremap": "pack/1", "job": "job.yaml", "files": listed, **change}).encode()


def _zip(
    members: list[tuple[str | zipfile.ZipInfo, bytes]], compression: int = zipfile.ZIP_STORED
) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", compression) as archive:
        for name, data in members:
            archive.writestr(
                name if isinstance(name, zipfile.ZipInfo) else zipfile.ZipInfo(name, EPOCH),
                data,
                compression,
            )
    return out.getvalue()


def named(name: str) -> Callable[[], bytes]:
    """A pack that is sound but for one member's name, which its manifest names too."""

    def make() -> bytes:
        files = {"job.yaml": b"x", name: b"y"}
        return _zip([(MANIFEST, _manifest(files)), *files.items()])

    return make


def told(**change: object) -> Callable[[], bytes]:
    """A pack whose manifest is not as it should be."""
    return lambda: _zip([(MANIFEST, _manifest({"job.yaml": b"x"}, **change)), ("job.yaml", b"x")])


def attribute(mode: int) -> Callable[[], bytes]:
    def make() -> bytes:
        info = zipfile.ZipInfo("link.yaml", EPOCH)
        info.create_system, info.external_attr = 3, mode << 16
        files = {"job.yaml": b"x", "link.yaml": b"/etc/passwd"}
        return _zip([(MANIFEST, _manifest(files)), ("job.yaml", b"x"), (info, b"/etc/passwd")])

    return make


def many(count: int, size: int = 1, compression: int = zipfile.ZIP_STORED) -> Callable[[], bytes]:
    def make() -> bytes:
        files = {"job.yaml": b"x", **{f"f{i}.yaml": bytes(size) for i in range(count)}}
        return _zip([(MANIFEST, _manifest(files)), *files.items()], compression)

    return make


def raw_name(name: bytes) -> Callable[[], bytes]:
    """A name that Python's own writer would not write."""
    stand_in = b"n" * len(name)
    return lambda: named(stand_in.decode())().replace(stand_in, name)


def spoilt(change: Callable[[bytes], bytes]) -> Callable[[], bytes]:
    return lambda: change(told()())


HOSTILE: dict[str, Callable[[], bytes]] = {
    "climbs": named("../evil.yaml"),
    "climbs deep": named("a/../../evil.yaml"),
    "absolute": named("/etc/evil.yaml"),
    "drive": named("C:evil.yaml"),
    "drive and backslash": raw_name(b"C:\\evil.yaml"),
    "backslash": raw_name(b"a\\..\\evil.yaml"),
    "dot": named("./evil.yaml"),
    "empty part": named("a//evil.yaml"),
    "folder": named("sub/"),
    "device": named("con.yaml"),
    "device below": named("sub/NUL"),
    "trailing dot": named("evil.yaml."),
    "trailing space": named("evil.yaml "),
    "stream": named("job.yaml:hidden"),
    "star": named("a*.yaml"),
    "control": raw_name(b"a\x1b[2J.yaml"),
    "nul": raw_name(b"a\x00b.yaml"),
    "bidi": named("a\u202egnp.yaml"),
    "invisible": named("a\u200b.yaml"),
    "decomposed": named("e\u0301.yaml"),
    "long": named("a" * 300),
    "case clash": named("JOB.yaml"),
    "below a file": named("job.yaml/x.yaml"),
    "twice": lambda: _zip(
        [(MANIFEST, _manifest({"job.yaml": b"x"})), ("job.yaml", b"x"), ("job.yaml", b"y")]
    ),
    "symlink": attribute(stat.S_IFLNK | 0o777),
    "fifo": attribute(stat.S_IFIFO | 0o644),
    "device node": attribute(stat.S_IFCHR | 0o644),
    "too many": many(201),
    "too large": many(1, 5 * 2**20 + 1),
    "too large in all": many(5, 4 * 2**20 + 2**18),
    "bomb": many(1, 2**20, zipfile.ZIP_DEFLATED),
    "odd method": many(1, 10, zipfile.ZIP_BZIP2),
    "nested": lambda: _zip(
        [
            (MANIFEST, _manifest({"job.yaml": b"x", "in.dat": told()()})),
            ("job.yaml", b"x"),
            ("in.dat", told()()),
        ]
    ),
    "nested by name": named("in.zip"),
    "stranger": lambda: _zip(
        [(MANIFEST, _manifest({"job.yaml": b"x"})), ("job.yaml", b"x"), ("more.yaml", b"y")]
    ),
    "missing": lambda: _zip(
        [(MANIFEST, _manifest({"job.yaml": b"x", "gone.yaml": b"y"})), ("job.yaml", b"x")]
    ),
    "wrong sum": lambda: _zip([(MANIFEST, _manifest({"job.yaml": b"x"})), ("job.yaml", b"z")]),
    "no manifest": lambda: _zip([("job.yaml", b"x")]),
    "steering author": told(author="RK\nverdict: in-order"),
    "steering deep": told(built=[{"how": "a\x1b[2J"}]),
    "version": told(wiremap="pack/2"),
    "not ours": told(wiremap=1),
    "no job": told(job="other.yaml"),
    "no files": told(files=None),
    "files misshapen": told(files=[1]),
    "manifest no JSON": lambda: _zip([(MANIFEST, b"{"), ("job.yaml", b"x")]),
    "manifest deep": lambda: _zip([(MANIFEST, b"[" * 100_000), ("job.yaml", b"x")]),
    "manifest twice": lambda: _zip(
        [
            (
                MANIFEST,
                b'{"wiremap": "pack/1", "wiremap": "pack/1", "job": "job.yaml", "files": []}',
            ),
            ("job.yaml", b"x"),
        ]
    ),
    "cut off": spoilt(lambda d: d[:-30]),
    "no zip": lambda: b"hello",
    "empty": lambda: b"",
    "crc": spoilt(lambda d: d.replace(b"job.yamlx", b"job.yamly", 1)),
    "locked": spoilt(
        lambda d: d.replace(
            b"PK\x01\x02\x14\x03\x14\x00\x00\x00", b"PK\x01\x02\x14\x03\x14\x00\x01\x00"
        )
    ),
}


@pytest.mark.filterwarnings("ignore:Duplicate name")
@pytest.mark.parametrize("kind", HOSTILE)
def test_a_hostile_pack_is_refused_and_leaves_nothing(kind: str, tmp_path: Path) -> None:
    """One clear line, nothing written, nothing beside the folder either."""
    (tmp_path / "a.zip").write_bytes(HOSTILE[kind]())
    opened = unpack(tmp_path / "a.zip", tmp_path / "out")
    assert [f.rule for f in opened.findings] == ["unfit-pack"]
    assert opened.findings[0].message.isprintable()
    assert [p.name for p in tmp_path.iterdir()] == ["a.zip"]


def test_the_control_case_is_accepted(tmp_path: Path) -> None:
    """The same builder without a fault makes a pack that opens: the refusals above are not for the builder's sake."""
    (tmp_path / "a.zip").write_bytes(told()())
    assert open_pack(tmp_path / "a.zip").findings == ()


def test_nothing_is_overwritten(good: bytes, tmp_path: Path) -> None:
    """A folder that holds something is left alone."""
    (tmp_path / "a.zip").write_bytes(good)
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "job.yaml").write_text("mine")
    assert [f.rule for f in unpack(tmp_path / "a.zip", tmp_path / "out").findings] == [
        "output-exists"
    ]
    assert (tmp_path / "out" / "job.yaml").read_text() == "mine"


# -- random jobs, build reports, withdrawn revisions ---------------------------------------------------------

TEXT = st.text(
    st.characters(
        codec="utf-8",
        exclude_characters="\u115f\u1160\u3164\uffa0",
        exclude_categories=("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp", "Zs", "Mn", "Me"),
    ),
    min_size=1,
    max_size=12,
)
WIRES = st.sampled_from(["0.5 RD", "0.35 GN/WH", "20 AWG black", "0.5 bare", ""])


def in_json(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


@st.composite
def jobs(draw: st.DrawFn) -> tuple[str, dict[str, str]]:
    """A job of two random pinouts in random folders, with a notebook or without."""
    count = draw(st.integers(1, 8))
    names = draw(
        st.lists(
            st.sampled_from(
                ["old.yaml", "pinouts/new.yaml", "a b.yaml", "ä/ö.yaml", "deep/er/p.yaml"]
            ),
            min_size=2,
            max_size=2,
            unique=True,
        )
    )
    files = {}
    for name in names:
        rows = []
        for i in range(1, count + 1):
            wire = draw(WIRES)
            rows.append(
                f"  {i}: {{signal: {in_json(draw(TEXT))}, function: digital-input{f', wire: {wire}' if wire else ''}}}\n"
            )
        files[name] = (
            f"wiremap: pinout/1\ntitle: {in_json(draw(TEXT))}\nletters: iec\ncavities:\n{''.join(rows)}"
        )
    order = draw(st.permutations(range(1, count + 1)))
    circuits = "".join(f"  - a.{i} - b.{k}\n" for i, k in enumerate(order, 1))
    notebook = draw(st.booleans())
    if notebook:
        files["seen.yaml"] = (
            "wiremap: notebook/1\nentries:\n  - {kind: built, pieces: 2, revision: 1, by: RK, date: 2026-03-02, how: holds}\n"
        )
    job = (
        f"wiremap: job/1\ntitle: t\nends: {{a: {in_json(names[0])}, b: {in_json(names[1])}}}\ncircuits:\n{circuits}"
        + ("readings: [seen.yaml]\n" if notebook else "")
    )
    return job, files


@settings(max_examples=40, deadline=None)
@given(jobs())
def test_any_job_comes_back_as_it_went(case: tuple[str, dict[str, str]]) -> None:
    """Every byte, the same meaning, the same content hash; and packing what came out gives the same pack."""
    text, files = case
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for path, data in {"job.yaml": text, **files}.items():
            (folder / "in" / path).parent.mkdir(parents=True, exist_ok=True)
            (folder / "in" / path).write_text(data, encoding="utf-8")
        made = packed(folder / "in" / "job.yaml")
        assert made.data is not None, made.findings
        (folder / "a.zip").write_bytes(made.data)
        assert unpack(folder / "a.zip", folder / "out").findings == ()
        assert {
            p.relative_to(folder / "in").as_posix(): p.read_bytes()
            for p in (folder / "in").rglob("*")
            if p.is_file()
        } == {
            p.relative_to(folder / "out").as_posix(): p.read_bytes()
            for p in (folder / "out").rglob("*")
            if p.is_file()
        }
        old, new = (
            load_job(folder / "in" / "job.yaml").value,
            load_job(folder / "out" / "job.yaml").value,
        )
        assert old is not None and new is not None
        assert plain_job(old) == plain_job(new)
        assert made.data == packed(folder / "out" / "job.yaml").data


@pytest.mark.parametrize("where", ["job.yaml", "series2-donor.yaml"])
def test_a_withdrawn_revision_is_loud(where: str, tmp_path: Path) -> None:
    """Pack, unpack, check and compare all say it, with the reason."""
    shutil.copytree(DEMO, tmp_path / "d")
    paper = tmp_path / "d" / where
    paper.write_text(
        paper.read_text(encoding="utf-8").replace(
            "\ntitle: ", "\nwithdrawn: burned a valve driver\ntitle: ", 1
        ),
        encoding="utf-8",
    )

    def run(*args: object) -> subprocess.CompletedProcess[str]:
        return called(*args)

    stated = ("--author", "RK", "--licence", "CC0-1.0", "--date", "2026-03-02")
    a, out = tmp_path / "a.zip", tmp_path / "out"
    for told in (
        run("pack", tmp_path / "d" / "job.yaml", "-o", a, *stated),
        run("unpack", a, out),
        run("compare", a, out / "job.yaml"),
        run("unpack", a, tmp_path / "again", "--json"),
    ):
        assert "WITHDRAWN" in told.stderr and "burned a valve driver" in told.stderr
    held = run("check", out / "job.yaml")
    assert held.returncode == 1 and "burned a valve driver" in held.stdout
    compared = run("compare", a, a, "--json")
    assert json.loads(compared.stdout)["withdrawn"] == [
        f"{a.as_posix()}/{where} has been withdrawn: burned a valve driver"
    ]
    assert (
        compared.stdout == run("compare", a, a, "--json").stdout
    )  # nothing of the place where a pack is laid out


def test_a_pack_carries_build_reports(tmp_path: Path) -> None:
    """What was built and how it went travels in the notebook, and the content hash does not change with it."""
    shutil.copytree(DEMO, tmp_path / "d")
    book = tmp_path / "d" / "notebook.yaml"
    book.write_text(
        book.read_text(encoding="utf-8").rstrip("\n")
        + "\n  - {kind: built, pieces: 2, revision: 3, by: RK, date: 2026-05-02, how: one season without a fault}\n",
        encoding="utf-8",
    )
    made = packed(tmp_path / "d" / "job.yaml")
    assert made.data is not None
    assert packed().manifest["content"] == made.manifest["content"]
    (tmp_path / "a.zip").write_bytes(made.data)
    assert b"one season without a fault" in open_pack(tmp_path / "a.zip").files["notebook.yaml"]
    assert made.manifest["built"] == [
        {
            "pieces": 2,
            "revision": 3,
            "by": "RK",
            "date": "2026-05-02",
            "how": "one season without a fault",
        }
    ]
    told = "built 2 of revision 3: one season without a fault (RK, 2026-05-02)"
    for code, *args in (
        (0, "unpack", tmp_path / "a.zip", tmp_path / "out"),
        (1, "compare", DEMO_JOB, tmp_path / "a.zip"),
    ):
        ran = called(*args)
        assert (ran.returncode, told in " ".join(ran.stdout.split())) == (code, True)


def test_what_could_not_be_opened_is_not_packed(tmp_path: Path) -> None:
    """A pipe in a pinout's place does not hang; a file too large for a pack is refused when packing."""
    shutil.copytree(DEMO, tmp_path / "d")
    gateway = tmp_path / "d" / "gateway.yaml"
    text = gateway.read_bytes()
    gateway.unlink()
    os.mkfifo(gateway)
    assert ["not-a-file"] == [f.rule for f in packed(tmp_path / "d" / "job.yaml").findings]
    gateway.unlink()
    gateway.write_bytes(text + b"# x\n" * (2 * 2**20))
    assert [f.rule for f in packed(tmp_path / "d" / "job.yaml").findings] == ["over-limit"]
    stated = {"author": "RK", "licence": "MIT", "date": "2026-03-02"}
    gateway.write_bytes(text)
    made = pack(tmp_path / "d" / "job.yaml", **stated, beside={"sheet.pdf": bytes(6 * 2**20)})
    assert (made.data, [f.rule for f in made.findings]) == (None, ["unfit-pack"])


def test_a_notebook_to_come_is_left_out_and_the_one_beside_the_job_goes_along(
    tmp_path: Path,
) -> None:
    """What counts for the job travels with it; what is not begun yet keeps nothing back."""
    (tmp_path / "old.yaml").write_text("wiremap: pinout/1\ncavities: {1: +12 always, 2: ground}\n")
    (tmp_path / "job-notebook.yaml").write_text("wiremap: notebook/1\nentries:\n")
    job = tmp_path / "job.yaml"
    job.write_text("wiremap: job/1\nends: {a: old.yaml, b: old.yaml}\nreadings: [later.yaml]\n")
    found = members(job, gather=False)
    assert ({"old.yaml", "job-notebook.yaml", "job.yaml"}, []) == (set(found.files), found.faults)
