"""Behaviour rules over everything a drive can come to, and the three tables."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from functools import cache

import pytest
from behaviour_cases import BASE_SET
from behaviour_sets import FAN, SPARE, SPARE_OPTIONS

from asleft.behaviour import (
    Budget,
    Drive,
    Invariant,
    Tables,
    check_invariant,
    check_invariants,
    check_scenario,
    read_scenario,
    tables_of,
)
from asleft.record import Value

KEYPAD = Invariant("no_keypad_start_in_remote")
BAND = ((Fraction(31), Fraction(34)),)


SKIPPED: dict[str, Value] = {
    "skip_bands.band_1.low_hz": Decimal(31),
    "skip_bands.band_1.high_hz": Decimal(34),
}
ON_PRESET: dict[str, Value] = {
    "stations.station_selection": "fixed_remote",
    "stations.remote_reference_source": "preset",
    "presets.preset_1_hz": Decimal(20),
}


RAISED: dict[str, Value] = {"digital_inputs.di_6.function": "raise"}
SLEEPY: dict[str, Value] = {
    "process.sleep_mode": "yes",
    "process.sleep_frequency_hz": Decimal(40),
    "limits.frequency_max_hz": Decimal(60),
}
CONTROLLED: dict[str, Value] = {
    "stations.remote_reference_source": "pid",
    "process.pid_mode": "speed_from_pid",
    "process.pid_feedback_source": "analog_2",
    "process.pid_setpoint_source": "keypad",
}


def after(event: str) -> Invariant:
    return Invariant("no_start_without_command", after=event)


@pytest.mark.parametrize(
    ("change", "rule", "result"),
    [
        ({}, KEYPAD, "met"),
        ({"stations.remote_command_source": "keypad"}, KEYPAD, "breached"),
        ({"stations.station_selection": "by_keypad_key"}, KEYPAD, "breached"),
        ({"stations.station_selection": "by_keypad_key", "stations.keypad_run_key": "disabled"}, KEYPAD, "met"),
        ({"stations.remote_command_source": "none"}, KEYPAD, "cannot be shown"),
        ({}, after("external_fault"), "met"),
        ({"recovery.reset_with_run_standing": "resume_if_present"}, after("external_fault"), "breached"),
        (
            {"recovery.auto_reset_attempts": Decimal(3), "recovery.auto_reset_faults": ("external",),
             "protection.external_fault_watched": "while_running"},
            after("external_fault"), "breached",
        ),
        ({"protection.external_fault_reaction": "off"}, after("external_fault"), "cannot be shown"),
        ({}, after("power_return"), "met"),
        ({"start_stop.start_at_power_up": "allow"}, after("power_return"), "breached"),
        ({"start_stop.start_at_power_up": "allow", "start_stop.start_trigger": "edge"}, after("power_return"), "met"),
        ({}, after("dip"), "met"),
        ({"supply.power_dip_ride_through": "coast_and_catch"}, after("dip"), "breached"),
        ({}, after("station_change"), "met"),
        ({"stations.change_restart": "resume_if_present"}, after("station_change"), "breached"),
        ({}, after("enable_return"), "breached"),
        ({"start_stop.start_trigger": "edge"}, after("enable_return"), "met"),
        ({}, after("torque_off_return"), "met"),
        ({"protection.safe_torque_off_recovery": "resume_if_present"}, after("torque_off_return"), "breached"),
        ({}, Invariant("never_rests_in_band", bands=BAND), "breached"),
        (SKIPPED, Invariant("never_rests_in_band", bands=BAND), "met"),
        ({**SKIPPED, "skip_bands.band_1.high_hz": Decimal(33)}, Invariant("never_rests_in_band", bands=BAND),
         "breached"),
        (ON_PRESET, Invariant("never_rests_in_band", bands=BAND), "met"),
        *(
            ({**ON_PRESET, **RAISED, "stations.remote_reference_source": source, **change},
             Invariant("never_rests_in_band", bands=BAND), result)
            for source in ("keypad", "comms", "up_down")
            for change, result in (({}, "breached"), (SKIPPED, "met"), ({"limits.frequency_min_hz": Decimal(34)}, "met"))
        ),
        ({**ON_PRESET, "stations.remote_reference_source": "up_down"},
         Invariant("never_rests_in_band", bands=BAND), "met"),
        *(
            ({**ON_PRESET, **SLEEPY, **RAISED, "stations.remote_reference_source": source},
             Invariant("never_rests_in_band", bands=((Fraction(31), Fraction(48)),)), "breached")
            for source in ("keypad", "comms", "up_down")
        ),
        *(
            ({"analog_inputs.ai_1.signal": "0_10_v", "analog_inputs.ai_1.freq_at_low_hz": low},
             Invariant("never_rests_in_band", bands=((Fraction(low), Fraction(high)),)), "breached")
            for low, high in ((Decimal(30), 34), (Decimal(0), 3), (Decimal(0), 15))
        ),
        *(
            ({**ON_PRESET, **change, "reference.reference_combination": "sum", "presets.preset_1_hz": Decimal(20),
              "stations.remote_reference_source": "analog_1", "analog_inputs.ai_1.freq_at_high_hz": Decimal(20),
              "reference.second_reference_source": "preset"},
             Invariant("never_rests_in_band", bands=BAND), result)
            for change, result in (({}, "cannot tell"), (SKIPPED, "met"))
        ),
        *(
            ({**ON_PRESET, **CONTROLLED, **change}, Invariant("never_rests_in_band", bands=BAND), result)
            for change, result in (
                ({}, "cannot tell"),
                (SKIPPED, "met"),
                ({"process.pid_output_min_hz": Decimal(40), "process.pid_output_max_hz": Decimal(50)}, "met"),
                ({"process.pid_mode": "trim", "stations.remote_reference_source": "preset"}, "cannot tell"),
            )
        ),
        ({"stations.remote_reference_source": "preset", "presets.preset_1_hz": Decimal(33)},
         Invariant("never_rests_in_band", bands=BAND), "breached"),
        ({"skip_bands.band_1.low_hz": Decimal(31), "skip_bands.band_1.high_hz": Decimal(34)},
         Invariant("never_rests_in_band"), "met"),
        ({}, Invariant("never_rests_in_band"), "cannot be shown"),
        ({}, Invariant("no_faster_on_wire_break", hz=Fraction(38)), "met"),
        ({"analog_inputs.ai_1.signal": "0_20_ma", "analog_inputs.ai_1.invert": "inverted"},
         Invariant("no_faster_on_wire_break", hz=Fraction(38)), "breached"),
        ({"digital_inputs.di_2.function": "preset_bit_0", "digital_inputs.di_2.sense": "acts_when_open",
          "stations.remote_reference_source": "keypad", "reference.keypad_reference_hz": Decimal(50),
          "presets.preset_1_hz": Decimal(48)}, Invariant("no_faster_on_wire_break", hz=Fraction(38)), "breached"),
        ({"digital_inputs.di_2.function": "preset_bit_0", "digital_inputs.di_2.sense": "acts_when_open",
          "presets.preset_1_hz": Decimal(48)}, Invariant("no_faster_on_wire_break", hz=Fraction(38)), "breached"),
    ],
)  # fmt: skip
def test_a_rule_over_everything_reachable(change: Mapping[str, Value], rule: Invariant, result: str) -> None:
    verdict = check_invariant(Drive.of({**BASE_SET, **change}), rule)
    assert verdict.result == result, verdict.words
    assert bool(verdict.witness) == (result == "breached")


def test_a_breach_carries_its_witness() -> None:
    drive = Drive.of({**BASE_SET, "stations.change_restart": "resume_if_present"})
    assert check_invariant(drive, after("station_change")).witness == (
        "Run forward (DI1) closes.",
        "Remote select (DI3) opens.",
        "Remote select (DI3) closes.",
        "The drive runs forward at 25.0 Hz.",
    )


def test_the_spare_breaches_the_rule_that_the_fan_meets() -> None:
    """No restart at the return to remote: IEC 60204-1, clause 9 (public copy)."""
    assert check_invariant(Drive.of(FAN), after("station_change")).result == "met"
    assert check_invariant(Drive.of(SPARE, SPARE_OPTIONS), after("station_change")).result == "breached"


def test_an_entry_not_read_leaves_a_rule_open() -> None:
    unread = {k: v for k, v in BASE_SET.items() if k != "stations.change_restart"}
    verdict = check_invariant(Drive.of(unread, {}, ["stations.change_restart"]), after("station_change"))
    assert verdict.result == "cannot tell"
    assert (
        "stations.change_restart was not read; with resume if present the rule is breached" in verdict.words
    )


def test_a_walk_cut_short_leaves_a_rule_open() -> None:
    assert check_invariant(Drive.of(BASE_SET), KEYPAD, Budget(states=20)).result == "cannot tell"


def test_several_rules_share_one_walk() -> None:
    verdicts = check_invariants(Drive.of(BASE_SET), (KEYPAD, after("dip"), after("enable_return")))
    assert [v.result for v in verdicts] == ["met", "met", "breached"]
    assert len({v.states for v in verdicts}) == 1


@pytest.mark.parametrize(
    ("lines", "result", "words"),
    [
        (["analog 1 = 12 mA", "remote select closes", "run enable closes", "run closes", "wait until settled", "given running",
          "wire of analog 1 breaks", "wait until settled", "expect not above 38 Hz"], "met", "comes out as required"),
        (["run closes", "wait until settled", "given running", "expect 45 Hz"], "cannot be shown", "given running"),
        (["raise closes", "expect running"], "cannot be shown", "no input carries raise"),
        (["analog 1 = 12 mA", "remote select closes", "run enable closes", "run closes", "wait until settled", "expect 45 Hz"],
         "breached", "45 Hz expected; the drive runs forward at 25.0 Hz"),
    ],
)  # fmt: skip
def test_a_scenario_as_a_rule(lines: list[str], result: str, words: str) -> None:
    verdict = check_scenario(Drive.of(BASE_SET), read_scenario("a rule", lines))
    assert verdict.result == result
    assert words in verdict.words
    assert verdict.coverage.modelled


def test_a_scenario_that_hangs_on_an_entry_not_read() -> None:
    unread = {k: v for k, v in BASE_SET.items() if k != "start_stop.stop_method"}
    lines = ["analog 1 = 12 mA", "remote select closes", "run enable closes", "run closes", "wait until settled",
             "run opens", "expect output on"]  # fmt: skip
    verdict = check_scenario(Drive.of(unread, {}, ["start_stop.stop_method"]), read_scenario("ramps", lines))
    assert verdict.result == "cannot tell"
    assert "coast" in verdict.words


@cache
def base_tables() -> Tables:
    return tables_of(Drive.of(BASE_SET))


def test_who_can_do_what_at_each_station() -> None:
    rows = {row.station: row for row in base_tables().stations}
    assert rows["local"].start == ("keypad",)
    assert rows["local"].speed == ("keypad",)
    assert rows["remote"].start == ("run forward (DI1)", "run reverse (DI2)")
    assert rows["remote"].speed == ("analog 1",)
    assert "keypad" not in rows["remote"].stop
    always = tables_of(Drive.of({**BASE_SET, "start_stop.keypad_stop_key": "always"})).stations
    assert "keypad" in next(row for row in always if row.station == "remote").stop


def test_what_a_broken_wire_does() -> None:
    rows = {row.terminal: row for row in base_tables().wires}
    assert rows["run forward (DI1)"].running == "stops by its ramp"
    assert rows["run enable (DI4)"].running == "has its output off at once and the shaft runs down by itself"
    assert "fault external" in rows["external fault (DI5)"].running
    assert "fault signal loss" in rows["analog 1"].running
    unnoticed = {**BASE_SET, "digital_inputs.di_5.sense": "acts_when_closed"}
    row = next(r for r in tables_of(Drive.of(unnoticed)).wires if r.terminal == "external fault (DI5)")
    assert row.running == "the contact is open then: a broken wire changes nothing and is not noticed"


def test_what_each_loss_does_and_its_return() -> None:
    rows = {row.loss: row for row in base_tables().losses}
    assert rows["supply"].on_return == "stays at rest"
    assert rows["run enable"].on_return == "starts by itself and runs forward at 25.0 Hz"
    allowed = tables_of(Drive.of({**BASE_SET, "start_stop.start_at_power_up": "allow"})).losses
    supply = next(row for row in allowed if row.loss == "supply")
    assert supply.on_return == "starts by itself and runs forward at 25.0 Hz"
