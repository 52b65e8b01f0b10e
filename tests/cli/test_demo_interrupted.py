"""A demo that was interrupted stands in nobody's way: the next one knows its folder and builds it afresh."""

from __future__ import annotations

import subprocess
from pathlib import Path
from typing import Any

import pytest
from tests.conftest import run_in

from asleft.jobs import demo as job


@pytest.fixture
def interrupted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder that Ctrl-C left in the middle of the second reading."""
    record, made = job._record_reading, []

    def recording(*given: Any) -> None:
        if made:
            raise KeyboardInterrupt
        made.append(given)
        record(*given)

    with monkeypatch.context() as patched:
        patched.setattr(job, "_record_reading", recording)
        ran = run_in(tmp_path, "demo", "site", "--build-only")
    assert ran.code == 130
    return tmp_path / "site"


def test_the_next_demo_goes_on_in_its_folder_and_says_so(interrupted: Path) -> None:
    ran = run_in(interrupted.parent, "demo", "site", "--build-only")
    assert ran.code == 0, ran.err
    assert f"An interrupted demo stands in {interrupted}; it is built afresh." in ran.err
    assert run_in(interrupted, "verify").code == 0
    assert ".unfinished-demo" not in {path.name for path in interrupted.iterdir()}
    again = run_in(interrupted.parent, "demo", "site", "--build-only")
    assert again.code == 2
    assert "is not empty" in again.err


def test_it_is_no_site_before_it_is_finished(interrupted: Path) -> None:
    assert "There is no site record" in run_in(interrupted, "asset", "list").err


def test_a_file_of_a_persons_own_is_never_cleared_away(interrupted: Path) -> None:
    (interrupted / "notes.txt").write_text("mine", encoding="utf-8")
    ran = run_in(interrupted.parent, "demo", "site", "--build-only")
    assert ran.code == 2
    assert "is not empty" in ran.err
    assert (interrupted / "notes.txt").read_text(encoding="utf-8") == "mine"


def test_an_empty_folder_will_do(tmp_path: Path) -> None:
    (tmp_path / "site").mkdir()
    assert run_in(tmp_path, "demo", "site", "--build-only").code == 0
    assert run_in(tmp_path / "site", "asset", "list").code == 0


def test_the_first_commit_of_a_site_tells_time_as_every_other(tmp_path: Path) -> None:
    zone = ("--time-zone", "Asia/Tokyo")
    assert run_in(tmp_path, "init", "site", *zone, "--by", "T. Example").code == 0
    assert run_in(tmp_path / "site", "asset", "add", "E1", "--by", "T. Example").code == 0
    words = ["git", "log", "--format=%ad", "--date=format:%z"]
    told = subprocess.run(words, cwd=tmp_path / "site", capture_output=True, text=True, check=True)
    assert told.stdout.split() == ["+0900", "+0900"]


def test_one_that_cannot_be_built_leaves_nothing_behind(tmp_path: Path) -> None:
    subprocess.run(["git", "init", "-q", str(tmp_path)], check=True)
    ran = run_in(tmp_path, "demo", "site", "--build-only")
    assert ran.code == 2
    assert "lies inside another repository" in ran.err
    assert not (tmp_path / "site").exists()
