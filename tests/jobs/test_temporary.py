"""What becomes of a temporary change: announced, standing, overdue, undone."""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path

from tests.conftest import run_in

from asleft.jobs.record import Record
from asleft.jobs.temporary import Temporary, temporary
from asleft.store import Git, find


def announce(site: Path) -> None:
    ran = run_in(
        site, "plan", "E1", "3610sub2=15", "--until", "2026-10-15", "--reason", "leg empties too fast",
        "--at", "2026-09-10T10:00",
    )  # fmt: skip
    assert ran.code == 0, ran.err


def read(site: Path, seconds: str, at: str) -> None:
    """Read E1 as it was left, but for the deceleration time."""
    text = (site / "assets" / "E1" / "as_left.toml").read_text(encoding="utf-8")
    lines = [
        f"decel_time_1_s = {seconds}" if line.startswith("decel_time_1_s") else line
        for line in text.splitlines()
    ]
    (site / "e1.toml").write_text("\n".join(lines), encoding="utf-8", newline="\n")
    ran = run_in(
        site,
        "snapshot",
        "E1",
        "--from",
        "e1.toml",
        "--reading",
        "as-left",
        "--occasion",
        "change",
        "--at",
        at,
    )
    assert ran.code == 0, ran.err


def state(site: Path, on: date) -> Temporary:
    (found,) = states(site, on)
    return found


def states(site: Path, on: date) -> tuple[Temporary, ...]:
    return temporary(Record(find(site, Git(dict(os.environ)))), ["E1"], on)


def plan(site: Path, at: str, *words: str) -> None:
    ran = run_in(site, "plan", "E1", *words, "--reason", "tried", "--at", at, "--by", "T. Example")
    assert ran.code == 0, ran.err


RUNNING, OVER = date(2026, 10, 15), date(2026, 10, 16)


def test_before_a_reading_nobody_can_tell(own_demo: Path) -> None:
    announce(own_demo)
    assert (state(own_demo, RUNNING).state, state(own_demo, RUNNING).overdue) == ("announced", 0)
    assert state(own_demo, OVER).overdue == 1


def test_read_as_planned_it_stands_and_falls_overdue(own_demo: Path) -> None:
    announce(own_demo)
    read(own_demo, "15.0", "2026-09-10T12:00")
    found = state(own_demo, OVER)
    assert (found.state, found.keys, found.overdue) == ("standing", ("ramps.decel_time_1_s",), 1)
    assert state(own_demo, RUNNING).overdue == 0


def test_put_back_it_is_undone_and_never_overdue(own_demo: Path) -> None:
    announce(own_demo)
    read(own_demo, "15.0", "2026-09-10T12:00")
    read(own_demo, "12.0", "2026-10-14T12:00")
    found = state(own_demo, date(2027, 1, 1))
    assert (found.state, found.keys, found.overdue) == ("undone", (), 0)


def test_a_plan_without_an_end_is_no_temporary_change(own_demo: Path) -> None:
    assert run_in(own_demo, "plan", "E1", "3610sub2=15", "--at", "2026-09-10T10:00").code == 0
    assert temporary(Record(find(own_demo, Git(dict(os.environ)))), ["E1", "E2"], OVER) == ()


def test_looking_at_the_plan_says_it_is_overdue(own_demo: Path) -> None:
    announce(own_demo)
    read(own_demo, "15.0", "2026-09-10T12:00")
    ran = run_in(own_demo, "plan", "E1", "--on", "2026-11-14")
    assert "OVERDUE by 30 days: 1 setting of it still stands in the newest reading." in ran.out


def test_a_plan_is_judged_though_another_one_was_made_since(own_demo: Path) -> None:
    announce(own_demo)
    read(own_demo, "15.0", "2026-09-10T12:00")
    plan(own_demo, "2026-09-12T10:00", "ramps.accel_time_1_s=9", "--until", "2026-12-31")
    newest, older = sorted(states(own_demo, OVER), key=lambda one: one.earlier)
    assert (newest.keys, newest.overdue) == (("ramps.accel_time_1_s",), 0)
    assert (older.keys, older.overdue, older.state) == (("ramps.decel_time_1_s",), 1, "standing")
    ran = run_in(own_demo, "plan", "E1", "--on", "2026-10-16")
    assert "An earlier plan, made 10 September 2026 by " in ran.out
    assert "(leg empties too fast): OVERDUE by 1 day: 1 setting of it still stands" in ran.out


def test_undone_it_is_over_for_good_and_a_plan_without_an_end_hides_nothing(own_demo: Path) -> None:
    announce(own_demo)
    read(own_demo, "15.0", "2026-09-10T12:00")
    plan(own_demo, "2026-09-12T10:00", "ramps.accel_time_1_s=9")
    assert [one.overdue for one in states(own_demo, OVER)] == [1]
    read(own_demo, "12.0", "2026-10-17T12:00")
    read(own_demo, "15.0", "2026-10-20T12:00")
    assert states(own_demo, date(2027, 1, 1)) == ()


def test_announced_anew_what_stands_has_the_new_end(own_demo: Path) -> None:
    announce(own_demo)
    read(own_demo, "15.0", "2026-09-10T12:00")
    plan(own_demo, "2026-10-14T10:00", "ramps.decel_time_1_s=15", "--until", "2026-11-30")
    assert [one.overdue for one in states(own_demo, OVER)] == [0]
    (found,) = states(own_demo, date(2026, 12, 1))
    assert (found.state, found.keys, found.overdue) == ("announced", ("ramps.decel_time_1_s",), 1)


def test_the_audit_shows_what_is_overdue(own_demo: Path) -> None:
    announce(own_demo)
    read(own_demo, "15.0", "2026-09-10T12:00")
    plan(own_demo, "2026-09-12T10:00", "ramps.accel_time_1_s=9", "--until", "2026-12-31")
    words = ("audit", "E1", "--since", "2026-09-03", "--on", "2026-10-16", "--no-behaviour")
    told = run_in(own_demo, *words)
    assert told.code == 1
    assert "1 temporary change is overdue, by 1 day at E1." in told.out.splitlines()[0]
    assert "Temporary change until 15 October 2026: An earlier plan, made 10 September" in told.out
    (row,) = run_in(own_demo, *words, "--format", "json").data["assets"]
    assert [(one["until"], one["overdue_days"]) for one in row["temporary"]] == [
        ("2026-10-15", 1),
        ("2026-12-31", 0),
    ]


def test_a_reading_without_the_setting_neither_shows_nor_ends_a_change(own_demo: Path) -> None:
    """Not read, then read as before, then found made after all: it stands, and is overdue."""
    announce(own_demo)
    before = (own_demo / "assets" / "E1" / "as_left.toml").read_text(encoding="utf-8")
    text = "\n".join(line for line in before.splitlines() if not line.startswith("decel_time_1_s"))
    (own_demo / "part.toml").write_text(text + "\n", encoding="utf-8", newline="\n")
    words = ("--reading", "as-found", "--occasion", "change", "--at", "2026-09-12T10:00")
    done = run_in(own_demo, "snapshot", "E1", "--from", "part.toml", *words)
    assert done.code == 0, done.err
    read(own_demo, "12.0", "2026-09-14T10:00")
    read(own_demo, "15.0", "2026-09-16T10:00")
    found = state(own_demo, date(2026, 11, 14))
    assert (found.state, found.overdue) == ("standing", 30)
