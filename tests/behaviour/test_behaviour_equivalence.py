"""Two drives compared: what the demo's stories say, and what holds of every comparison."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from behaviour_cases import BASE_SET
from behaviour_sets import FAN, HARVEST_NIGHT, LEG, SPARE, SPARE_OPTIONS

from asleft.behaviour import Drive, compare_behaviour, coverage_of
from asleft.record import Value


def test_the_leg_after_the_harvest_night() -> None:
    diff = compare_behaviour(Drive.of(LEG), Drive.of({**LEG, **HARVEST_NIGHT}))
    assert [(d.kind, d.causes) for d in diff.differences] == [
        ("unwanted start", ("recovery.auto_reset_attempts",)),
        ("runs on", ("protection.external_fault_reaction",)),
    ]
    assert diff.differences[0].words == (
        "Fault overcurrent comes and goes while running: before it has its output off at once and the shaft runs "
        "down by itself, fault overcurrent, now it goes off and starts again by itself while the shaft may still "
        "turn, and runs forward at 45.0 Hz."
    )
    slipping = diff.differences[1]
    assert slipping.words == (
        "External fault (DI5) opens while running: before it has its output off at once and the shaft runs down "
        "by itself, fault external, now it keeps running at 45.0 Hz, warning external fault."
    )
    assert [step.sentence for step in slipping.witness] == [
        "Run forward (DI1) closes.",
        "External fault (DI5) opens.",
    ]
    assert (slipping.before.output, slipping.after.frequency) == (False, 45)
    times = {d.name: (d.before, d.after) for d in diff.durations}
    assert times["acceleration 0 to 50 Hz"] == (8, Fraction(13, 2))
    assert times["delay before relay 1 (running) releases"] == (Fraction(1, 5), 10)
    assert diff.search.complete and diff.search.unsettled_complete


def test_the_fan_on_its_spare() -> None:
    diff = compare_behaviour(
        Drive.of(FAN), Drive.of(SPARE, SPARE_OPTIONS), sides=("the old one", "the spare")
    )
    first = diff.differences[0]
    assert first.kind == "unwanted start"
    assert first.words.startswith(
        "Remote select (DI2) opens while running and closes again with the run contact still closed: "
        "the old one stays at rest, the spare starts by itself and runs forward at "
    )
    assert "option change_restart" in first.causes
    lost = next(d for d in diff.differences if "protection.signal_loss_reaction" in d.causes)
    assert (lost.kind, lost.before.frequency, lost.after.frequency) == ("slower", 38, 22)
    assert not diff.durations, "60 s to 50 Hz is 120 s to 100 Hz"
    assert not diff.characteristics
    assert diff.search.complete


def test_what_another_difference_hides_is_not_said_of_the_motor_as_it_stands() -> None:
    """By the rules of the model: a lost signal that trips the drive leaves no speed to be lower."""
    old = {**FAN, "access.setting_lock": "locked", "protection.signal_loss_preset_hz": Decimal(38)}
    new = {
        **FAN,
        "access.setting_lock": "open",
        "protection.signal_loss_reaction": "fault",
        "protection.signal_loss_preset_hz": Decimal(25),
    }
    there = compare_behaviour(Drive.of(old), Drive.of(new)).differences
    back = compare_behaviour(Drive.of(new), Drive.of(old)).differences
    for found in (there, back):
        assert [(d.causes, d.hidden) for d in found] == [
            (("protection.signal_loss_reaction",), False),
            (("protection.signal_loss_preset_hz",), True),
        ]
        assert found[1].words.startswith("Hidden by other differences as long as they stand: ")
    assert not any("25.0 Hz" in d.words for d in there if not d.hidden)


def test_the_spare_wired_as_three_wire_does_not_start_at_the_return() -> None:
    rewired: dict[str, Value] = {
        **SPARE,
        "start_stop.run_wiring": "three_wire",
        "digital_inputs.di_1.function": "start_pulse",
        "digital_inputs.di_4.function": "stop_pulse",
        "digital_inputs.di_4.sense": "acts_when_open",
    }
    diff = compare_behaviour(
        Drive.of({**rewired, "stations.change_restart": "new_command_needed"}),
        Drive.of(rewired, SPARE_OPTIONS),
    )
    assert diff.same


def test_what_was_not_read_is_tried_at_every_choice() -> None:
    unread = {k: v for k, v in BASE_SET.items() if k != "stations.change_restart"}
    diff = compare_behaviour(Drive.of(BASE_SET), Drive.of(unread, {}, ["stations.change_restart"]))
    assert not diff.differences
    assert [(c.key, c.choices) for c in diff.cannot_tell] == [
        ("stations.change_restart", ("resume_if_present",))
    ]
    assert not diff.same


def test_a_not_read_entry_that_decides_nothing_leaves_nothing_open() -> None:
    unread = ["access.setting_lock", "process.pid_direction"]
    assert compare_behaviour(Drive.of(BASE_SET), Drive.of(BASE_SET, {}, unread)).same


@pytest.mark.parametrize(
    ("change", "alike"),
    [
        # "10 s to 50 Hz = 20 s to 100 Hz": common practice, no source
        ({"ramps.accel_time_1_s": Decimal(20), "ramps.decel_time_1_s": Decimal(16), "ramps.quick_stop_time_s": Decimal(4), "ramps.ramp_reference_frequency_hz": Decimal(100)}, True),
        # maximum 50 against 60 with the analog top at 50: the same by the analog input, not by the keypad
        ({"limits.frequency_max_hz": Decimal(60)}, False),
        # a dormant difference: the controller is off
        ({"process.pid_direction": "more_speed_lowers_value"}, True),
        # the same input function with the opposite sense
        ({"digital_inputs.di_5.sense": "acts_when_closed"}, False),
        # 0–20 mA with a 20 % low point equals 4–20 mA in its live zone, and notices no broken wire
        ({"analog_inputs.ai_1.signal": "0_20_ma", "analog_inputs.ai_1.low_point_pct": Decimal(20)}, False),
    ],
)  # fmt: skip
def test_same_in_effect_and_look_alikes(change: dict[str, Value], alike: bool) -> None:
    assert compare_behaviour(Drive.of(BASE_SET), Drive.of({**BASE_SET, **change})).same is alike


def test_a_higher_maximum_is_told_by_the_path_that_meets_it() -> None:
    diff = compare_behaviour(
        Drive.of(BASE_SET), Drive.of({**BASE_SET, "limits.frequency_max_hz": Decimal(60)})
    )
    (only,) = diff.differences
    assert only.kind == "faster"
    assert any("Keypad reference" in step.sentence for step in only.witness)
    assert not diff.characteristics


def test_a_live_zone_copied_without_wire_break_detection() -> None:
    look_alike = {
        **BASE_SET,
        "analog_inputs.ai_1.signal": "0_20_ma",
        "analog_inputs.ai_1.low_point_pct": Decimal(20),
    }
    diff = compare_behaviour(Drive.of(BASE_SET), Drive.of(look_alike))
    assert not diff.characteristics, "the curves are the same"
    assert diff.differences[0].kind == "runs on"
    assert "Wire of analog 1 breaks" in diff.differences[0].words


def test_a_coasting_shaft_is_never_said_to_be_stopped() -> None:
    diff = compare_behaviour(Drive.of(BASE_SET), Drive.of({**BASE_SET, "start_stop.stop_method": "coast"}))
    words = " ".join(d.words for d in diff.differences)
    assert "the shaft runs down by itself" in words
    assert "stopped" not in words


def test_every_key_of_a_set_is_in_one_state() -> None:
    extra: dict[str, Value] = {"drive.serial_number": "4711", "control.droop_pct": Decimal(3), "made.up": "1"}
    coverage = coverage_of(Drive.of({**BASE_SET, **extra}))
    states = [
        *coverage.modelled, *coverage.limited, *coverage.not_modelled, *coverage.no_effect, *coverage.not_understood
    ]  # fmt: skip
    assert sorted(states) == sorted({**BASE_SET, **extra})
    assert coverage.no_effect == ("drive.serial_number",)
    assert coverage.not_modelled == ("control.droop_pct",)
    assert coverage.not_understood == ("made.up",)
    assert "recovery.auto_reset_attempts" in coverage.assumed
    assert "mechanical_brake.control" in coverage.assumed
    assert "mechanical_brake.apply_delay_s" not in coverage.assumed, "there is no brake"


@pytest.mark.parametrize("source", ["keypad", "comms"])
@pytest.mark.parametrize(
    ("change", "kind", "hz"),
    [
        ({"limits.frequency_min_hz": Decimal(12)}, "faster", 12),
        ({"limits.frequency_max_hz": Decimal(44)}, "slower", 44),
        (
            {"skip_bands.band_1.low_hz": Decimal(31), "skip_bands.band_1.high_hz": Decimal(34)},
            "faster",
            34,
        ),
    ],
)
def test_a_speed_that_is_typed_or_sent_tells_limits_apart(
    source: str, change: dict[str, Value], kind: str, hz: int
) -> None:
    """By the order of limits and skip bands; worked out by hand, no source."""
    old = {
        **BASE_SET,
        "stations.station_selection": "fixed_remote",
        "stations.remote_reference_source": source,
        "reference.keypad_reference_hz": Decimal(20),
        "limits.frequency_min_hz": Decimal(5),
    }
    (found,) = compare_behaviour(Drive.of(old), Drive.of({**old, **change}), k=0).differences
    assert (found.kind, found.after.frequency) == (kind, hz)
    assert set(found.causes) <= set(change)
