"""Planned sets: what is taken, refused, entered in which order, and how it is undone."""

from __future__ import annotations

import subprocess
import tomllib
from pathlib import Path
from typing import Any

import pytest
from tests.conftest import Ran, Run, run_in
from tests.intake.keypad_desk import cases

PLANS = cases("plans", "plan")
REFUSED = [case for case in PLANS if "refuses" in case]
TAKEN = [case for case in PLANS if "refuses" not in case]
WHO = ("--by", "T. Example", "--at", "2026-09-10T10:00")


def plan(site: Path, *arguments: str) -> Ran:
    return run_in(site, "plan", "E1", *arguments, *WHO)


def recorded(site: Path) -> dict[str, Any]:
    return tomllib.loads((site / "assets" / "E1" / "planned.toml").read_text(encoding="utf-8"))


def at(table: dict[str, Any], key: str) -> Any:
    for part in key.split("."):
        table = table[part]
    return table


@pytest.mark.parametrize("case", REFUSED, ids=[case["does"] for case in REFUSED])
def test_what_is_refused(built_demo: Path, case: dict[str, Any]) -> None:
    ran = plan(built_demo, *case["arguments"])
    assert ran.code == 2
    assert case["refuses"] in ran.err
    assert case.get("hides", "no such text") not in ran.out + ran.err
    assert not (built_demo / "assets" / "E1" / "planned.toml").exists()


@pytest.mark.parametrize("case", TAKEN, ids=[case["does"] for case in TAKEN])
def test_what_is_planned(own_demo: Path, case: dict[str, Any]) -> None:
    ran = plan(own_demo, *case["arguments"], "--format", "json")
    assert ran.code == 0, ran.err
    assert case.get("says", "") in ran.out
    for key, value in case.get("values", {}).items():
        assert at(recorded(own_demo), key) == value
    for native_id, value in case.get("native", {}).items():
        assert recorded(own_demo)["native"][native_id] == value
    for name in ("entries", "undo"):
        if name in case:
            assert [f"{step['id']} {step['enter']}" for step in ran.data[name]] == case[name]


def test_a_plan_is_a_record_of_its_own_and_changes_no_reading(own_demo: Path) -> None:
    before = (own_demo / "assets" / "E1" / "as_left.toml").read_bytes()
    ran = plan(own_demo, "3610sub2=15", "--until", "2026-10-15", "--reason", "leg empties too fast")
    assert ran.code == 0, ran.err
    assert (own_demo / "assets" / "E1" / "as_left.toml").read_bytes() == before
    reading = recorded(own_demo)["reading"]
    assert (reading["kind"], reading["until"], reading["by"]) == ("planned", "2026-10-15", "T. Example")
    log = subprocess.run(
        ["git", "log", "-1", "--format=%B"], cwd=own_demo, capture_output=True, text=True, check=True
    ).stdout
    assert "Reading: planned" in log and "Reason: leg empties too fast" in log


def test_a_dry_run_records_nothing(own_demo: Path) -> None:
    ran = plan(own_demo, "3610sub2=15", "--dry-run")
    assert ran.code == 0 and "dry run" in ran.out
    assert not (own_demo / "assets" / "E1" / "planned.toml").exists()


def test_a_plan_is_looked_at_against_as_left_and_factory(own_demo: Path) -> None:
    plan(own_demo, "3610sub2=15")
    left = run_in(own_demo, "plan", "E1", "--format", "json").data
    factory = run_in(own_demo, "plan", "E1", "--against", "factory", "--format", "json").data
    assert [step["id"] for step in left["entries"]] == ["5010sub2", "3610sub2", "5010sub2"]
    assert left["entries"][0]["kind"] == "for_now"
    entered = {step["id"]: step["enter"] for step in factory["entries"]}
    assert entered["3610sub2"] == "15.0 s"
    assert entered["3610sub1"] == "8.0 s"
    assert factory["undo"] == []


def test_what_no_entry_brings_about_is_named_and_only_where_it_differs(own_demo: Path) -> None:
    # E1 has codes set and measured motor values, a unit at factory values neither.
    plan(own_demo, "3610sub2=15")
    factory = run_in(own_demo, "plan", "E1", "--against", "factory", "--format", "json").data
    assert [note.split(" ")[0:2] for note in factory["notes"]] == [["A", "code"], ["Measured", "motor"]]
    assert run_in(own_demo, "plan", "E1", "--format", "json").data["notes"] == []


def test_no_entry_of_a_list_changes_nothing(own_demo: Path) -> None:
    plan(own_demo, "3610sub2=15")
    entries = run_in(own_demo, "plan", "E1", "--against", "factory", "--format", "json").data["entries"]
    assert not [step for step in entries if step["now"] == step["enter"]]


def test_a_plan_goes_on_from_a_plan(own_demo: Path) -> None:
    plan(own_demo, "3610sub2=15")
    plan(own_demo, "3610sub1=9", "--from", "planned")
    assert at(recorded(own_demo), "ramps.decel_time_1_s") == 15.0
    assert at(recorded(own_demo), "ramps.accel_time_1_s") == 9.0


def test_there_is_no_plan_to_look_at(demo: Run) -> None:
    ran = demo("plan", "E1")
    assert ran.code == 2
    assert "nothing is planned for E1. Plan it: asleft plan E1 KEY=VALUE" in ran.err


def test_against_is_for_looking(demo: Run) -> None:
    ran = demo("plan", "E1", "3610sub2=15", "--against", "factory")
    assert ran.code == 2


def test_the_text_names_the_list_the_way_back_and_the_effects(own_demo: Path) -> None:
    ran = plan(own_demo, "3100sub7=1", "--until", "2026-10-15", "--reason", "trial")
    assert "1 of them with the drive stopped" in ran.out
    assert "[STOPPED]" in ran.out
    assert "To undo it, at the latest on 15 October 2026 (3 entries)" in ran.out
    assert "no longer stops the motor" in ran.out
