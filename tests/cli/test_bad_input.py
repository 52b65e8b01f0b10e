"""Bad input gets a clear error, exit code 2, and nothing in the record changes."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.conftest import Ran, run_in

from asleft.cli.session import Session

READING = ("--reading", "as-found", "--occasion", "service", "--by", "T. Example")


def head(site: Path) -> str:
    done = subprocess.run(["git", "rev-parse", "HEAD"], cwd=site, capture_output=True, text=True, check=True)
    return done.stdout.strip()


def state(site: Path) -> str:
    done = subprocess.run(
        ["git", "status", "--porcelain"], cwd=site, capture_output=True, text=True, check=True
    )
    return done.stdout


@pytest.fixture
def site(own_demo: Path) -> Iterator[Path]:
    """A site whose record must be the same after the test as before."""
    before = head(own_demo)
    yield own_demo
    assert head(own_demo) == before


TAGS = [
    ("e1", "an asset E1 already"),
    ("../out", "cannot be a tag"),
    ("..", "cannot be a tag"),
    ("a/b", "cannot be a tag"),
    ("a\\b", "cannot be a tag"),
    ("a\nb", "cannot be a tag"),
    ("\x1b[31mred", "cannot be a tag"),
    ("CON", "device"),
    ("lpt1.x", "device"),
    ("pump.toml", "ends like a file name"),
    ("pump.", "full stop"),
    ("-x1" * 40, "cannot be a tag"),
    ("", "cannot be a tag"),
    ("Pümpe", "cannot be a tag"),
]


@pytest.mark.parametrize(("tag", "words"), TAGS, ids=[repr(tag)[:20] for tag, _ in TAGS])
def test_a_tag_that_cannot_be(site: Path, tag: str, words: str) -> None:
    ran = run_in(site, "asset", "add", "--", tag)
    assert ran.code == 2
    assert words in ran.err
    assert "\x1b" not in ran.err
    assert state(site) == ""


FILES = [
    ("broken.toml", b"format = 1\n[ramps\n", "line 2", "not TOML"),
    ("huge.toml", b"format = 1\n" + b"# filler\n" * 300_000, "", "bytes"),
    ("binary.toml", bytes(range(256)), "", "not UTF-8"),
    ("merged.toml", b"format = 1\n<<<<<<< a\nx=1\n=======\nx=2\n>>>>>>> b\n", "line 2", "unfinished merge"),
    ("bom.toml", b"\xef\xbb\xbfformat = 1\n", "line 1", "byte order mark"),
    ("crlf.toml", b"format = 1\r\n[ramps]\r\n", "line 1", "line ends"),
    ("empty.toml", b"", "line 1", "the line format = 1 is missing"),
    ("unknown.toml", b"format = 1\n[ramps]\nacel_time_1_s = 8.0\n", "line 3", "Did you mean"),
    ("newer.toml", b"format = 9\n", "line 1", "newer"),
    ("empty.csv", b"", "line 1", "columns"),
    ("heads.csv", b"foo,bar\n1,2\n", "line 1", "columns"),
    ("twice.csv", b"id,value\n3010sub3,28.5\n3010sub3,29.5\n", "line 3", "another value"),
    ("choice.csv", b"id,value\n5010sub2,sideways\n", "line 2", "no choice"),
    ("number.csv", b"id,value\n3010sub3,lots\n", "line 2", "a number"),
    ("binary.csv", b"id,value\n\x00\x01,2\n", "", "binary"),
    ("keys.csv", b"key,value\nramps.acel_time_1_s,8\n", "line 2", "Did you mean"),
    ("what.bin", b"id,value\n", "", "suffix"),
]


@pytest.mark.parametrize(("name", "content", "line", "words"), FILES, ids=[name for name, *_ in FILES])
def test_a_file_that_cannot_be_read(site: Path, name: str, content: bytes, line: str, words: str) -> None:
    (site.parent / name).write_bytes(content)
    ran = run_in(site, "snapshot", "E1", "--from", str(site.parent / name), *READING)
    assert ran.code == 2
    assert name in ran.err
    assert line in ran.err
    assert words in ran.err
    assert state(site) == ""


WRONG = [
    (("snapshot", "E9", "--from", "x.csv", *READING), "no asset 'E9'"),
    (("snapshot", "E1", "--from", "missing.csv", *READING), "cannot be read"),
    (
        ("snapshot", "E1", "--from", "x.csv", "--reading", "left", "--occasion", "service"),
        "as-found or as-left",
    ),
    (("snapshot", "E1", "--from", "x.csv", "--reading", "as-left", "--occasion", "party"), "no occasion"),
    (("snapshot", "E1", "--from", "x.csv", *READING, "--at", "2126-01-01"), "in the future"),
    (("snapshot", "E1", "--from", "x.csv", *READING, "--at", "yesterday"), "is no time"),
    (("snapshot", "E1", "--from", "x.csv", *READING, "--model", "merow-m4-15k"), "Did you mean merrow-m4"),
    (("diff", "E1@somewhen", "E1"), "no point in the record"),
    (("diff", "E1@servise", "E1"), "Did you mean service"),
    (("diff", "E1~40", "E1"), "not in the record"),
    (("diff", "E1@replacement", "E1"), "Of E1 there is"),
    (("diff", "E1", "nothing.toml"), "cannot be read"),
    (("check",), "name some, or --all"),
    (("check", "E1", "--all"), "name some, or --all"),
    (("check", "E1", "--on", "tomorrow"), "no date"),
    (("check", "E1", "--format", "jsn"), "Did you mean json"),
    (("audit", "E1", "--since", "servise"), "Did you mean service"),
    (("chek", "E1"), "check"),
    (("diff", "E1", "E1@found", "--formt", "json"), "--format"),
    (("asset", "set", "E1", "plate.rated_pwr=3"), "Did you mean"),
    (("asset", "set", "E1", "specs=every-drive,bucket-elevater"), "Did you mean bucket-elevator?"),
    (("asset", "set", "E1", "specs=../site"), "There are aeration-fan, bucket-elevator"),
    (("asset", "add", "E9", "specs=every-drives"), "Did you mean every-drive?"),
    (("asset", "set", "E1", "plate.rated_power_kw=3 parsec"), "does not become"),
    (("asset", "set", "E1", "model=none-such"), "no drive model"),
    (("asset", "set", "E1", "oops"), "NAME=VALUE"),
]


@pytest.mark.parametrize(("arguments", "words"), WRONG, ids=[" ".join(line)[:48] for line, _ in WRONG])
def test_wrong_use_says_what_there_is(site: Path, arguments: tuple[str, ...], words: str) -> None:
    (site.parent / "x.csv").write_text("id,value\n3010sub3,28.5\n", encoding="utf-8")
    adjusted = ["../x.csv" if part == "x.csv" else part for part in arguments]
    ran = run_in(site, *adjusted)
    assert ran.code == 2, ran
    assert words in ran.err
    assert ran.out == ""
    assert state(site) == ""


def test_every_fault_of_a_slot_is_told_at_once(site: Path) -> None:
    ran = run_in(site, "asset", "set", "E1", "plate.rated_pwr=3", "plate.connection=triangle")
    assert ran.code == 2
    assert ran.err.count("asleft:") == 2


def test_a_value_out_of_range_is_recorded_as_read_with_a_warning(own_demo: Path) -> None:
    rows = "id,value\n3610sub1,9999\n"
    (own_demo.parent / "odd.csv").write_text(rows, encoding="utf-8")
    ran = run_in(own_demo, "snapshot", "E1", "--from", "../odd.csv", *READING, "--format", "json")
    assert ran.code == 0, ran.err
    assert any("9999" in text and "takes" in text for text in ran.data["warnings"])
    shown = run_in(own_demo, "show", "E1@found", "--format", "json").data
    assert shown["values"]["ramps.accel_time_1_s"] == 9999


def test_where_there_is_no_site_it_says_so(tmp_path: Path) -> None:
    ran = run_in(tmp_path, "check", "--all")
    assert ran.code == 2
    assert "asleft init" in ran.err


def test_a_site_cannot_start_inside_another_repository(tmp_path: Path) -> None:
    subprocess.run(["git", "init", "-q", str(tmp_path)], check=True)
    ran = run_in(tmp_path, "init", "inner", "--by", "T. Example")
    assert ran.code == 2
    assert "another repository" in ran.err
    assert not (tmp_path / "inner").exists()


def test_a_person_s_edit_is_never_lost(own_demo: Path) -> None:
    file = own_demo / "assets" / "E1" / "as_found.toml"
    edited = file.read_bytes() + b"# a note\n"
    file.write_bytes(edited)
    before = head(own_demo)
    (own_demo.parent / "x.csv").write_text("id,value\n3010sub3,28.5\n", encoding="utf-8")
    ran = run_in(own_demo, "snapshot", "E1", "--from", "../x.csv", *READING)
    assert ran.code == 2
    assert "Changed by hand" in ran.err
    assert file.read_bytes() == edited
    assert head(own_demo) == before


def test_other_people_s_uncommitted_work_is_left_alone(own_demo: Path) -> None:
    note = own_demo / "note.txt"
    note.write_text("mine", encoding="utf-8")
    staged = own_demo / "staged.txt"
    staged.write_text("staged", encoding="utf-8")
    subprocess.run(["git", "add", "staged.txt"], cwd=own_demo, check=True)
    (own_demo.parent / "x.csv").write_text("id,value\n3010sub3,28.5\n", encoding="utf-8")
    ran = run_in(own_demo, "snapshot", "E1", "--from", "../x.csv", *READING)
    assert ran.code == 0, ran.err
    assert state(own_demo).splitlines() == ["A  staged.txt", "?? note.txt"]


def test_without_git_it_says_what_to_install(own_demo: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(own_demo.parent))
    ran = run_in(own_demo, "history", "E1")
    assert ran.code == 2
    assert "git" in ran.err


def test_git_that_is_too_old_is_named(own_demo: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = shutil.which("git")
    folder = own_demo.parent / "old"
    folder.mkdir()
    script = folder / "git"
    script.write_text(
        f'#!/bin/sh\ncase "$*" in *version*) echo git version 2.30.1;; *) exec {real} "$@";; esac\n',
        encoding="utf-8",
    )
    script.chmod(0o755)
    monkeypatch.setenv("PATH", str(folder), prepend=":")
    (own_demo.parent / "x.csv").write_text("id,value\n3010sub3,28.5\n", encoding="utf-8")
    ran = run_in(own_demo, "snapshot", "E1", "--from", "../x.csv", *READING)
    assert ran.code == 2
    assert "2.36" in ran.err


def test_no_traceback_without_debug(own_demo: Path) -> None:
    ran: Ran = run_in(own_demo, "diff", "E1", "missing.toml")
    assert "Traceback" not in ran.err
    assert Session().debug is False


def test_a_reading_of_nothing_is_no_reading(site: Path) -> None:
    (site.parent / "other.csv").write_text("id,value\nZ1,3\nZ2,4\n", encoding="utf-8")
    ran = run_in(site, "snapshot", "E1", "--from", "../other.csv", *READING)
    assert ran.code == 2
    assert "nothing that was read belongs to the list of merrow-m4-15k" in ran.err


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="needs a file without end")
@pytest.mark.parametrize(
    "line", [("diff", "E1", "/dev/zero"), ("snapshot", "E1", "--from", "/dev/zero", *READING)]
)
def test_a_file_without_end_is_not_read_to_its_end(site: Path, line: tuple[str, ...]) -> None:
    ran = run_in(site, *line)
    assert ran.code == 2
    assert "holds more than 8,000,000 bytes" in ran.err


def test_a_spec_that_the_site_lacks(site: Path) -> None:
    (site / "specs" / "every-drive.toml").unlink()
    ran = run_in(site, "check", "E1")
    assert ran.code == 2
    assert "E1 names the spec 'every-drive', which the site lacks." in ran.err
    assert "asleft spec list" in ran.err
