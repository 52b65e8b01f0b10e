"""A temporary change is announced with its end; past it, it is a finding until the drive is read as before."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tests.conftest import run_in

BASE = Path(__file__).parents[2] / "fixtures/demo/readings/2026-09-02/E1-left.toml"


def overdue(site: Path, on: str) -> str:
    ran: Any = run_in(site, "check", "E1", "--on", on, "--format", "json")
    (found,) = [one["result"] for one in ran.data["findings"] if one["rule"] == "overdue-change"]
    return str(found)


def test_an_announced_change_is_overdue_after_its_last_day_until_it_is_undone(own_demo: Path) -> None:
    done = run_in(
        own_demo,
        "plan",
        "E1",
        "ramps.decel_time_1_s=15",
        "--until",
        "2026-10-15",
        "--reason",
        "leg empties too fast",
        "--at",
        "2026-10-01T08:00",
        "--by",
        "T. Example",
    )
    assert done.code in (0, 1), done.err
    assert overdue(own_demo, "2026-10-15") == "met"
    assert overdue(own_demo, "2026-10-16") == "breached"
    text = run_in(own_demo, "check", "E1", "--on", "2026-10-16").out
    assert "past its end" in text or "overdue" in text
    done = run_in(
        own_demo,
        "snapshot",
        "E1",
        "--from",
        str(BASE),
        "--reading",
        "as-left",
        "--occasion",
        "change",
        "--at",
        "2026-10-17T08:00",
        "--by",
        "T. Example",
    )
    assert done.code == 0, done.err
    assert overdue(own_demo, "2026-10-18") == "met"


def test_a_change_that_is_read_as_still_standing_stays_overdue(own_demo: Path) -> None:
    run_in(
        own_demo,
        "plan",
        "E1",
        "ramps.decel_time_1_s=15",
        "--until",
        "2026-10-15",
        "--reason",
        "x",
        "--at",
        "2026-10-01T08:00",
        "--by",
        "T. Example",
    )
    odd = own_demo.parent / "e1.toml"
    odd.write_text(
        BASE.read_text(encoding="utf-8").replace("decel_time_1_s = 12.0", "decel_time_1_s = 15.0"),
        encoding="utf-8",
        newline="\n",
    )
    done = run_in(
        own_demo,
        "snapshot",
        "E1",
        "--from",
        str(odd),
        "--reading",
        "as-left",
        "--occasion",
        "change",
        "--at",
        "2026-10-17T08:00",
        "--by",
        "T. Example",
    )
    assert done.code == 0, done.err
    assert overdue(own_demo, "2026-10-18") == "breached"
