"""The unit that replaces another one is recorded as found, once, before anything of it is touched."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
from tests.cli.drive_side import Person, drive_of, sit
from tests.conftest import Ran, run_in

from asleft.files.sets import read_set

UNIT = "units/f1-same.toml"
WORK = ("compare", "F1", UNIT, "--work")
WHO = ("--by", "T. Example", "--reason", "unit burnt", "--work-order", "WO-7", "--at", "2026-10-11T23:10")


class Stops(Person):
    """A person who stops at the first thing asked."""

    def answer(self, screen: str) -> str:
        return "stop"


def stopped(site: Path, monkeypatch: pytest.MonkeyPatch, *words: str) -> Ran:
    return sit(site, Stops(drive_of(site / UNIT)), monkeypatch, *words)


def git(site: Path, *words: str) -> str:
    done = subprocess.run(["git", *words], cwd=site, capture_output=True, text=True, check=True)
    return done.stdout.strip()


def found_commits(site: Path) -> list[str]:
    return git(site, "log", "--format=%H", "--", "assets/F1/as_found.toml").split()


def test_it_is_recorded_before_the_first_thing_is_asked(
    own_demo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, left = found_commits(own_demo), git(own_demo, "rev-parse", "HEAD:assets/F1/as_left.toml")
    ran = stopped(own_demo, monkeypatch, *WORK, *WHO)
    assert ran.code == 130
    (commit,) = [one for one in found_commits(own_demo) if one not in before]
    assert f"The unit as it came is recorded as found of F1: {commit[:10]}." in ran.err
    unit = read_set((own_demo / UNIT).read_bytes(), UNIT)
    found = read_set((own_demo / "assets/F1/as_found.toml").read_bytes(), "as_found.toml")
    assert (found.values, found.native, found.model) == (unit.values, unit.native, unit.model)
    reading = found.reading
    assert reading is not None and unit.reading is not None
    assert (reading.kind, reading.occasion, reading.how) == ("as_found", "replacement", unit.reading.how)
    read_by = "unit burnt; read 2026-09-04 10:05 by R. Example"
    assert (reading.by, reading.reason, reading.work_order) == ("T. Example", read_by, "WO-7")
    assert reading.at.isoformat() == "2026-10-11T23:10:00+02:00"
    assert reading.after == left
    assert run_in(own_demo, "verify").code == 0


def test_it_is_recorded_once_however_often_the_work_is_taken_up(
    own_demo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stopped(own_demo, monkeypatch, *WORK, *WHO)
    once = found_commits(own_demo)
    for more in ((), ("--resume",), ("--at", "2026-10-12T06:00")):
        ran = stopped(own_demo, monkeypatch, *WORK, *WHO, *more)
        assert ran.code == 130
        assert "The unit as it came is not recorded as found: it is recorded already." in ran.err
    assert found_commits(own_demo) == once


@pytest.mark.parametrize(
    ("unit", "more", "words"),
    [
        ("F2@left", (), "what was named for it is a reading of F2"),
        ("F1@factory", (), "what was named for it was never read from a drive"),
        (UNIT, ("--dry-run",), "this is a dry run"),
    ],
    ids=["another slot", "factory", "dry run"],
)
def test_what_nobody_read_is_not_recorded(
    own_demo: Path, monkeypatch: pytest.MonkeyPatch, unit: str, more: tuple[str, ...], words: str
) -> None:
    before = found_commits(own_demo)
    ran = stopped(own_demo, monkeypatch, "compare", "F1", unit, "--work", *WHO, *more)
    assert words in ran.err
    assert found_commits(own_demo) == before


def test_the_slots_own_unit_is_not_recorded_again(own_demo: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = found_commits(own_demo)
    ran = stopped(own_demo, monkeypatch, "compare", "F1@commissioning", "F1@left", "--work", *WHO)
    assert "as it came" not in ran.err
    assert found_commits(own_demo) == before


def test_the_audit_takes_another_unit_for_nobodys_change(
    own_demo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    since = ("F1", "--since", "2026-10-01", "--on", "2026-10-31", "--no-behaviour")
    stopped(own_demo, monkeypatch, *WORK, *WHO)
    waits = run_in(own_demo, "audit", *since)
    (row,) = run_in(own_demo, "audit", *since, "--format", "json").data["assets"]
    assert row["unrecorded"] == 0 and row["recorded"] > 10
    assert "Another unit, as it came: put it right, read it again and record it as left." in waits.out
    kept = own_demo.parent / "left.toml"
    kept.write_bytes((own_demo / "assets/F1/as_left.toml").read_bytes())
    left = (
        "--reading",
        "as-left",
        "--occasion",
        "replacement",
        "--at",
        "2026-10-12T01:00",
        "--by",
        "T. Example",
    )
    assert run_in(own_demo, "snapshot", "F1", "--from", str(kept), *left).code == 0
    (row,) = run_in(own_demo, "audit", *since, "--format", "json").data["assets"]
    assert (row["unrecorded"], row["changes"]) == (0, [])


def test_the_same_unit_found_at_a_replacement_hides_no_change(own_demo: Path) -> None:
    """The unit that is to be replaced is read first: what differs in it was changed without a record."""
    text = (own_demo / "assets/F1/as_left.toml").read_text(encoding="utf-8")
    assert "serial_number" in text and "\naccel_time_1_s = " in text
    lines = [
        "accel_time_1_s = 33.0" if line.startswith("accel_time_1_s =") else line for line in text.split("\n")
    ]
    kept = own_demo.parent / "found.toml"
    kept.write_text("\n".join(lines), encoding="utf-8", newline="\n")
    found = (
        "--reading",
        "as-found",
        "--occasion",
        "replacement",
        "--at",
        "2026-10-11T22:00",
        "--by",
        "T. Example",
    )
    assert run_in(own_demo, "snapshot", "F1", "--from", str(kept), *found).code == 0
    ran = run_in(own_demo, "audit", "F1", "--since", "2026-10-01", "--on", "2026-10-31", "--format", "json")
    assert ran.data["assets"][0]["unrecorded"] == 1
