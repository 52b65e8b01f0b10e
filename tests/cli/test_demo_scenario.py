"""The main job on the demo site, as its invented scenario tells it: in text and in JSON."""

from __future__ import annotations

from typing import Any

import pytest

HARVEST = {
    "protection.external_fault_reaction": ("fault_coast", "warning"),
    "recovery.auto_reset_attempts": (0, 5),
    "ramps.accel_time_1_s": (8.0, 6.5),
    "outputs.relay_1.off_delay_s": (0.2, 10.0),
    "access.setting_lock": ("locked", "open"),
}


def rules(findings: list[Any], result: str) -> list[tuple[str, str]]:
    return sorted((one["asset"], one["rule"]) for one in findings if one["result"] == result)


def test_the_harvest_night_is_five_changes_against_commissioning(demo: Any) -> None:
    ran = demo("diff", "E1@commissioning", "E1@found", "--format", "json")
    assert ran.code == 1
    assert {one["key"]: (one["old"], one["new"]) for one in ran.data["changes"]} == HARVEST
    assert {one["class"] for one in ran.data["changes"]} == {"setting"}
    assert ran.data["cannot_tell"] == []
    assert {"drive.run_time_h", "drive.fault_history"} <= {
        one["key"] for one in ran.data["other_classes"]["counter"]
    }


def test_the_diff_says_in_words_what_each_edit_does(demo: Any) -> None:
    text = demo("diff", "E1@commissioning", "E1@found").out
    assert "no longer stops the motor" in text.splitlines()[0]
    assert "from 8.0 s to 6.5 s" in text
    assert "from 0.2 s to 10.0 s" in text


def test_factory_values_differ_and_are_named_as_such(demo: Any) -> None:
    ran = demo("diff", "E1@factory", "E1", "--format", "json")
    keys = {one["key"] for one in ran.data["changes"]}
    assert ran.code == 1
    assert {"motor.rated_power_kw", "motor.rated_current_a", "limits.frequency_min_hz"} & keys
    assert "factory" in ran.data["old"]["words"]
    assert "drive.serial_number" in {one["key"] for one in ran.data["not_read"]}


def test_as_found_breaches_four_rules(demo: Any) -> None:
    ran = demo("check", "E1@found", "--on", "2026-09-02", "--format", "json")
    assert ran.code == 1
    assert rules(ran.data["findings"], "breached") == [("E1", number) for number in ("41", "44", "45", "46")]
    text = demo("check", "E1@found", "--on", "2026-09-02").out
    assert "4 rules are breached" in text
    assert "Do: Set the off delay of relay 1 to 0.5 s" in text


def test_the_audit_tells_recorded_from_unrecorded(demo: Any) -> None:
    ran = demo("audit", "--all", "--since", "service", "--on", "2026-09-02", "--format", "json")
    by_tag = {row["asset"]: row for row in ran.data["assets"]}
    assert ran.code == 1
    assert sorted(by_tag) == ["C1", "C2", "D1", "E1", "E2", "F1", "F2", "F3"]
    leg = by_tag.pop("E1")
    unrecorded = [one for one in leg["changes"] if not one["recorded"]]
    assert {one["key"] for one in unrecorded} == set(HARVEST)
    assert sorted(leg["breached_by_unrecorded"]) == ["41", "44", "45", "46"]
    assert leg["without_breach"] == 1
    assert [one["key"] for one in unrecorded if not one["rules"]] == ["ramps.accel_time_1_s"]
    recorded = [one for one in leg["changes"] if one["recorded"]]
    assert {one["key"] for one in recorded} == set(HARVEST)
    assert {one["to"]["work_order"] for one in recorded} == {"WO-1187"}
    assert leg["breached_now"] == []
    assert all(row["unrecorded"] == row["recorded"] == 0 for row in by_tag.values())


def test_on_the_first_of_october_a_waiver_has_ended_and_nothing_was_touched(demo: Any) -> None:
    before = demo("check", "--all", "--on", "2026-09-30", "--format", "json")
    after = demo("check", "--all", "--on", "2026-10-01", "--format", "json")
    assert before.code == 0
    assert rules(before.data["findings"], "waived") == [("C1", "16"), ("C2", "16"), ("D1", "49")]
    assert after.code == 1
    assert rules(after.data["findings"], "breached") == [("D1", "49")]
    assert rules(after.data["findings"], "waived") == [("C1", "16"), ("C2", "16")]
    assert "waiver expired on 30 September 2026" in demo("check", "D1", "--on", "2026-10-01").out


def test_a_unit_from_the_shelf_is_put_right_in_order(demo: Any) -> None:
    ran = demo("compare", "F1", "units/f1-same.toml", "--on", "2026-10-11", "--format", "json")
    assert ran.code == 1
    steps = ran.data["put_right"]
    place = {step["key"]: step["step"] for step in steps}
    assert [step["step"] for step in steps] == sorted(step["step"] for step in steps)
    assert place["motor.rated_current_a"] < place["ramps.accel_time_1_s"] < place["access.setting_lock"]
    assert place["access.setting_lock"] == max(place.values())
    assert all(step["id"] and step["menu"] and step["why"] for step in steps)
    fates = {row["key"]: row["outcome"] for row in ran.data["ledger"]}
    assert fates["drive.serial_number"] == "not_copied"
    assert fates["tuned.stator_resistance_ohm"] == "identify"
    assert fates["comms.node_address"] == "slot"
    assert any("isolate" in text.lower() for text in ran.data["cautions"])


def test_the_analog_input_of_the_third_fan_was_found_and_put_right(demo: Any) -> None:
    ran = demo("diff", "F3@found~1", "F3@commissioning", "--format", "json")
    assert [(one["key"], one["old"], one["new"]) for one in ran.data["changes"]] == [
        ("analog_inputs.ai_1.signal", "0_20_ma", "4_20_ma")
    ]


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("E1@2026-08-09", "commissioning"),
        ("E1@2026-09-02T09:00", "as found"),
        ("E1@service", "as left 2 September"),
        ("E1~1", "as left 12 March"),
        ("e1", "E1 as left"),
    ],
)
def test_a_set_is_named_by_point_date_and_steps_back(demo: Any, name: str, words: str) -> None:
    assert words in demo("show", name, "--format", "json").data["set"]["words"]


def test_a_date_names_the_readings_on_both_sides(demo: Any) -> None:
    note = demo("show", "E1@2026-08-09", "--format", "json").data["set"]["note"]
    assert "12 March 2026" in note
    assert "2 September 2026" in note
    assert "cannot be told" in note
