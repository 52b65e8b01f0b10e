"""From a fault to its settings, on the demo site."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tests.conftest import run_in


def test_the_motion_switch_leads_to_the_edits_of_the_harvest_night(own_demo: Path) -> None:
    found = Path(__file__).parents[2] / "fixtures/demo/readings/2026-09-02/E1-found.csv"
    done = run_in(
        own_demo,
        "snapshot",
        "E1",
        "--from",
        str(found),
        "--reading",
        "as-found",
        "--occasion",
        "fault-call",
        "--by",
        "T. Example",
    )
    assert done.code == 0, done.err
    ran: Any = run_in(own_demo, "trip", "E1", "external", "--format", "json")
    assert {one["key"] for one in ran.data["changed"]} == {
        "protection.external_fault_reaction",
        "recovery.auto_reset_attempts",
        "ramps.accel_time_1_s",
    }
    text = run_in(own_demo, "trip", "E1", "motion switch").out
    assert "3 settings that decide it have changed" in text.splitlines()[0]
    assert "Isolate" in text


def test_nothing_changed_points_at_the_machine(demo: Any) -> None:
    text = demo("trip", "F2", "overload").out
    assert "no setting that decides it has changed" in text.splitlines()[0]
    assert "33.0 A" in text


def test_an_unknown_fault_names_the_nearest(demo: Any) -> None:
    ran = demo("trip", "F2", "overlod")
    assert ran.code == 2
    assert "Did you mean overload" in ran.err
