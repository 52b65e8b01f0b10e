"""Two people record readings of one drive in copies of the record, and git joins them: no order is made up."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest
from tests.conftest import run_in

ON = ("--on", "2026-10-31")
SINCE = ("--since", "2026-10-01", *ON, "--no-behaviour")


def git(site: Path, *words: str, code: int = 0) -> str:
    done = subprocess.run(
        ["git", *words],
        cwd=site,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "GIT_COMMITTER_DATE": "2026-10-07T09:00:00+0200"},
    )
    assert done.returncode == code, done.stderr + done.stdout
    return done.stdout.strip()


def read(site: Path, by: str, kind: str, at: str, **changed: str) -> None:
    """Read E1 as the service left it, but for some lines."""
    kept = site.parent / "e1.toml"
    if not kept.exists():
        kept.write_bytes((site / "assets/E1/as_left.toml").read_bytes())
    text = [
        next((f"{name} = {new}" for name, new in changed.items() if line.startswith(f"{name} =")), line)
        for line in kept.read_text(encoding="utf-8").splitlines()
    ]
    source = site.parent / "reading.toml"
    source.write_text("\n".join(text), encoding="utf-8", newline="\n")
    words = ("--reading", kind, "--occasion", "fault-call", "--by", by, "--at", at, "--reason", "tripped")
    ran = run_in(site, "snapshot", "E1", "--from", str(source), *words)
    assert ran.code == 0, ran.err


@pytest.fixture
def joined(own_demo: Path) -> Path:
    """A. Example finds one change and leaves it; B. Example leaves another time, in between, elsewhere."""
    other = own_demo.parent / "other"
    shutil.copytree(own_demo, other)
    read(own_demo, "A. Example", "as-found", "2026-10-05T08:00", accel_time_1_s="7.0")
    read(own_demo, "A. Example", "as-left", "2026-10-05T10:00", accel_time_1_s="7.0")
    read(other, "B. Example", "as-found", "2026-10-05T08:30", accel_time_1_s="7.0")
    read(other, "B. Example", "as-left", "2026-10-05T09:00", accel_time_1_s="9.0")
    git(own_demo, "remote", "add", "other", str(other))
    git(own_demo, "fetch", "-q", "other")
    git(own_demo, "merge", "-q", "other/main", code=1)
    git(own_demo, "checkout", "--ours", "assets/E1")
    git(own_demo, "add", "assets/E1")
    git(own_demo, "commit", "-q", "-m", "Join the two records")
    return own_demo


def test_the_history_says_who_recorded_apart_and_when_it_was_joined(joined: Path) -> None:
    told = run_in(joined, "history", "E1", *ON).out
    assert "Recorded apart by A. Example and B. Example, joined on 7 October 2026:" in told, run_in(
        joined, "history", "E1"
    ).err
    assert (
        "only the times they gave tell which came later, and their last readings differ in 1 setting" in told
    )
    assert told.count("RECORDED APART, joined 7 October 2026.") == 4
    data = run_in(joined, "history", "E1", *ON, "--format", "json").data
    (apart,) = data["recorded_apart"]
    assert [side["by"] for side in apart["sides"]] == ["A. Example", "B. Example"]
    assert apart["commit"] == git(joined, "rev-parse", "HEAD")
    changes = [(one["by"], one["reading"], one["changes"]) for one in data["readings"][-4:]]
    assert changes == [
        ("A. Example", "as_found", 1),
        ("B. Example", "as_found", 1),
        ("B. Example", "as_left", 1),
        ("A. Example", "as_left", 0),
    ]


def test_the_audit_walks_each_line_by_itself(joined: Path) -> None:
    told = run_in(joined, "audit", "E1", *SINCE)
    first = told.out.splitlines()[0]
    assert first.startswith("E1: 1 change was made without a record")
    assert "E1 was recorded apart by A. Example and B. Example: which stood last" in first
    assert "Recorded apart by A. Example and B. Example, joined on 7 October 2026:" in told.out
    (row,) = run_in(joined, "audit", "E1", *SINCE, "--format", "json").data["assets"]
    ways = {(one["from"]["by"], one["to"]["by"]) for one in row["changes"]}
    assert not ways & {("A. Example", "B. Example"), ("B. Example", "A. Example")}
    assert row["unrecorded"] == 1
    assert row["recorded"] == 1
    assert run_in(joined, "audit", "E1", *SINCE, "--strict").code == 1


def test_a_reading_after_the_joining_follows_both(joined: Path) -> None:
    read(joined, "C. Example", "as-found", "2026-10-08T08:00", accel_time_1_s="7.0")
    told = run_in(joined, "audit", "E1", *SINCE).out
    assert "which stood last" not in told.splitlines()[0]
    assert "Recorded apart by A. Example and B. Example" in told
    data = run_in(joined, "history", "E1", *ON, "--format", "json").data
    assert data["readings"][-1]["changes"] == 0


def test_the_audit_asks_for_a_reading_where_two_differ(own_demo: Path) -> None:
    other = own_demo.parent / "other"
    shutil.copytree(own_demo, other)
    read(own_demo, "A. Example", "as-left", "2026-10-05T10:00", clock='"2026-10-05 09:58"')
    read(other, "B. Example", "as-left", "2026-10-05T09:00", accel_time_1_s="9.0")
    git(own_demo, "fetch", "-q", str(other), "main")
    git(own_demo, "merge", "-q", "FETCH_HEAD", code=1)
    git(own_demo, "checkout", "--ours", "assets/E1")
    git(own_demo, "add", "assets/E1")
    git(own_demo, "commit", "-q", "-m", "Join the two records")
    told = run_in(own_demo, "audit", "E1", *SINCE).out.splitlines()
    assert told[1] == "Read the drive again, to be sure what stands (E1)."


def test_work_on_other_drives_that_was_joined_is_not_apart(own_demo: Path) -> None:
    other = own_demo.parent / "other"
    shutil.copytree(own_demo, other)
    read(own_demo, "A. Example", "as-found", "2026-10-05T08:00")
    assert run_in(other, "asset", "set", "E1", "designation=Leg").code == 0
    git(own_demo, "fetch", "-q", str(other), "main")
    git(own_demo, "merge", "-q", "--no-edit", "FETCH_HEAD")
    data = run_in(own_demo, "history", "E1", *ON, "--format", "json").data
    assert data["recorded_apart"] == []
