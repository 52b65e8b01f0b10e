"""What a drive or a scenario refuses, and what it says."""

from __future__ import annotations

from decimal import Decimal

import pytest
from behaviour_cases import BASE_SET

from asleft.behaviour import Drive, ScenarioFault, SettingFault, read_scenario, run_scenario
from asleft.behaviour.scenario import is_event
from asleft.behaviour.unread import unread_that_count
from asleft.record import Value


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"ramps.accel_time_1_s": "fast"}, "ramps.accel_time_1_s is fast, where a number belongs"),
        ({"start_stop.stop_method": Decimal(1)}, "start_stop.stop_method is 1, where a choice belongs"),
        ({"analog_inputs.ai_1.signal": "smoke"}, "no known kind of signal"),
        ({"analog_inputs.ai_1.low_point_pct": Decimal(100)}, "the low point must lie below the high point"),
        ({"ramps.accel_time_1_s": Decimal("NaN")}, "where a number belongs"),
    ],
)
def test_a_value_of_the_wrong_kind_is_refused(change: dict[str, Value], words: str) -> None:
    with pytest.raises(SettingFault, match=words):
        Drive.of({**BASE_SET, **change})


@pytest.mark.parametrize("line", ["the moon rises", "wait a while", "expect happiness", "wait 5 min"])
def test_a_line_that_is_none_is_refused(line: str) -> None:
    with pytest.raises(ScenarioFault):
        run_scenario(Drive.of(BASE_SET), read_scenario("odd", [line]))


def test_an_event_is_told_from_a_wait() -> None:
    assert [is_event(line) for line in ("run closes", "wait 5 s", "expect at rest", "given running")] == [
        True, False, False, False,
    ]  # fmt: skip


def test_a_relay_that_is_not_in_the_set_cannot_be_shown() -> None:
    run = run_scenario(Drive.of(BASE_SET), read_scenario("relay", ["expect do 1 on"]))
    assert run.result == "cannot be shown"
    assert "no do 1" in run.because


def test_what_was_not_read_counts_only_where_it_changes_the_drive() -> None:
    drive = Drive.of(BASE_SET, {}, ["ramps.accel_time_2_s", "drive.serial_number", "process.sleep_delay_s",
                                    "protection.comms_loss_delay_s", "ramps.decel_time_1_s"])  # fmt: skip
    assert "drive.serial_number" not in unread_that_count(drive)
    assert "ramps.decel_time_1_s" not in unread_that_count(drive), "it is in the set"
    unread = {k: v for k, v in BASE_SET.items() if k != "ramps.decel_time_1_s"}
    assert unread_that_count(Drive.of(unread, {}, ["ramps.decel_time_1_s"])) == {"ramps.decel_time_1_s"}


def test_what_was_not_read_and_is_dormant_leaves_nothing_open() -> None:
    asleep = Drive.of({**BASE_SET, "process.sleep_mode": "off"}, {}, ["process.sleep_delay_s"])
    awake = Drive.of({**BASE_SET, "process.sleep_mode": "on"}, {}, ["process.sleep_delay_s"])
    assert unread_that_count(asleep) == set()
    assert unread_that_count(awake) == {"process.sleep_delay_s"}
