"""No verdict, no zero: what a file is, the reader itself decides, in every spelling that it accepts."""

from __future__ import annotations

import json
import os
import stat
import sys
from pathlib import Path

import pytest

from wiremap.check import check
from wiremap.cli.main import main
from wiremap.files.filebytes import read_bytes
from wiremap.files.head import head_of

JOB = "wiremap: job/1\nends: {loom: old.yaml, donor: new.yaml}\ncircuits: [loom.1 - donor.1]\n"
PINOUT = "wiremap: pinout/1\ncavities: {1: +12 always, 2: ground}\n"
AS_JSON = json.dumps(
    {"ends": {"loom": "old.yaml", "donor": "new.yaml"}, "circuits": ["loom.1 - donor.1"]}
)
SPELLINGS = {
    "plain": JOB,
    "quoted": JOB.replace("wiremap:", '"wiremap":'),
    "single quotes": JOB.replace("wiremap: job/1", "'wiremap': 'job/1'"),
    "byte order mark": "\ufeff" + JOB,
    "JSON": '{"wiremap": "job/1", ' + AS_JSON[1:],
    "JSON, key last": AS_JSON[:-1] + ', "wiremap": "job/1"}',
    "long remark": "# remark\n" * 2000 + JOB,
    "explicit key": JOB.replace("wiremap: job/1", "? wiremap\n: job/1"),
    "CR": JOB.replace("\n", "\r"),
    "CRLF": JOB.replace("\n", "\r\n"),
    "key last": "\n".join(reversed(JOB.splitlines())) + "\n",
    "document marks": "---\n" + JOB + "...\n",
}


@pytest.fixture
def two(tmp_path: Path) -> Path:
    (tmp_path / "old.yaml").write_text(PINOUT)
    (tmp_path / "new.yaml").write_text(PINOUT)
    return tmp_path


@pytest.mark.parametrize("spelling", SPELLINGS)
@pytest.mark.parametrize("whole_folder", [False, True])
def test_a_held_job_is_held_in_every_spelling(two: Path, spelling: str, whole_folder: bool) -> None:
    """The same words written otherwise give the same verdict, named itself or by its folder."""
    (two / "job.yaml").write_bytes(SPELLINGS[spelling].encode())
    report = check([two if whole_folder else two / "job.yaml"])
    assert (1, ["hold"]) == (report.exit_code, [job.verdict for job in report.jobs])


def damaged(folder: Path, how: str) -> Path:
    path = folder / "bad.yaml"
    if how == "dangling link":
        path.symlink_to(folder / "gone.yaml")
    elif how == "pipe":
        os.mkfifo(path)
    else:
        path.write_bytes(
            {
                "UTF-16": JOB.encode("utf-16"),
                "emptied": b"",
                "NUL": b"wiremap: job/1\n\0\n",
                "Latin-1": "wiremap: job/1\ntitle: Stra\u00dfe\n".encode("latin-1"),
                "misspelt": JOB.replace("wiremap", "wirmap").encode(),
                "glued": JOB.replace("wiremap: ", "wiremap:").encode(),
                "equals": JOB.replace("wiremap:", "wiremap=").encode(),
                "in a list": b"- wiremap: job/1\n  title: x\n",
                "below a key": b"mine:\n  wiremap: job/1\n  title: x\n",
                "second document": b"---\n---\n" + JOB.encode(),
                "hidden in the key": JOB.replace("wiremap", "wire\u200bmap").encode(),
                "capital": JOB.replace("wiremap", "Wiremap").encode(),
                "unknown kind": JOB.replace("job/1", "jobs/1").encode(),
                "other version": JOB.replace("job/1", "job/2").encode(),
                "no version": JOB.replace("job/1", "job").encode(),
                "broken": b"wiremap: job/1\nends: {loom: [\n",
                "broken first": b"ends: {loom: [}\nwiremap: job/1\n",
                "too large": b"#" * (2 * 1024 * 1024) + JOB.encode(),
            }[how]
        )
    return path


@pytest.mark.parametrize(
    "how",
    [
        "UTF-16",
        "emptied",
        "NUL",
        "Latin-1",
        "misspelt",
        "glued",
        "equals",
        "in a list",
        "below a key",
        "second document",
        "hidden in the key",
        "capital",
        "unknown kind",
        "other version",
        "no version",
        "broken",
        "broken first",
        "too large",
        "dangling link",
        pytest.param(
            "pipe", marks=pytest.mark.skipif(sys.platform == "win32", reason="no pipes there")
        ),
    ],
)
def test_what_cannot_be_read_is_named(two: Path, how: str) -> None:
    """A file that was asked for, or lies among ours, never passes in silence."""
    path = damaged(two, how)
    for asked in (path, two):
        report = check([asked])
        named = {found.place.path for found in report.findings if found.fault and found.place}
        assert (2, {path.as_posix()}) == (report.exit_code, named)


def test_other_files_of_a_folder_are_counted(two: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Foreign YAML is no fault: lists, other keys, tags, templates that are no YAML at all."""
    (two / "job.YAML").write_text(JOB)
    for number, text in enumerate(
        ["- a\n- b\n", "services: {web: &a 1, b: *a}\n", "text\n", "{{ a }}: [\n", "a:\t1\n"]
    ):
        (two / f"foreign{number}.yml").write_text(text)
    assert 1 == main(["check", str(two)])
    assert "5 files not ours" in capsys.readouterr().out
    assert 1 == main(["check", str(two), "--json"])
    assert 5 == json.loads(capsys.readouterr().out)["not_ours"]


@pytest.mark.skipif(
    sys.platform == "win32" or os.geteuid() == 0, reason="who may do all is refused nothing"
)
def test_a_folder_that_cannot_be_looked_into_is_named(two: Path) -> None:
    """What may not be seen cannot be called in order."""
    (two / "job.yaml").write_text(JOB)
    (two / "shut").mkdir(mode=0)
    report = check([two])
    (two / "shut").chmod(0o755)
    assert 2 == report.exit_code


def test_quiet_still_names_what_was_not_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 2 with nothing said would leave a person guessing."""
    assert 2 == main(["check", str(tmp_path / "nope.yaml"), "--quiet"])
    assert "nope.yaml" in capsys.readouterr().out


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_references_stay_in_the_folder_by_the_path_that_is_opened(tmp_path: Path) -> None:
    """`link/../../out.yaml` leads out through the link, or in by its text: one of them is opened, and judged."""
    deep = tmp_path / "job" / "s1" / "s2"
    deep.mkdir(parents=True)
    (tmp_path / "out.yaml").write_text(PINOUT.replace("ground", "SECRET"))
    (tmp_path / "job" / "old.yaml").write_text(PINOUT)
    (tmp_path / "job" / "link").symlink_to(deep)
    for name in ("link/../../../out.yaml", "link/../../out.yaml", "../out.yaml"):
        text = JOB.replace("new.yaml", name)
        (tmp_path / "job" / "job.yaml").write_text(text)
        report = check([tmp_path / "job" / "job.yaml"])
        assert 2 == report.exit_code
        assert not any("SECRET" in text for text in report.texts.values())


@pytest.mark.skipif(sys.platform == "win32", reason="no pipes there")
def test_a_device_that_calls_itself_a_file_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One that has nothing to give yet, as a log of the system has, is no fault of ours."""
    path = tmp_path / "bench.yaml"
    os.mkfifo(path)
    writer = os.open(path, os.O_RDWR)
    monkeypatch.setattr(stat, "S_ISREG", lambda mode: True)
    data, faults = read_bytes(path, "bench.yaml")
    os.close(writer)
    assert (None, ["not-a-file"]) == (data, [found.rule for found in faults])


@pytest.mark.parametrize(
    ("text", "rules"),
    [
        (JOB.replace("wiremap: job/1\n", ""), ["wrong-kind"]),
        (PINOUT.replace("wiremap: pinout/1\n", ""), ["wrong-kind"]),
        ("entries:\n  - {kind: done, what: x, by: RK}\n", ["wrong-kind"]),
        ("entries: [a, b]\n", []),
        ("circuits: [a, b]\n", []),
        ("services: {cavity: 1}\n", []),
    ],
)
def test_a_file_of_ours_without_its_head_is_named(
    text: str, rules: list[str], tmp_path: Path
) -> None:
    """In a folder it would be counted as none of ours, and a held job passed over in silence."""
    path = tmp_path / "x.yaml"
    path.write_text(text)
    head = head_of(path)
    assert rules == [found.rule for found in head.faults]
    assert all("is missing" in found.message for found in head.faults)
