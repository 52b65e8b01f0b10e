"""The rules of effect say nothing where there is nothing to say."""

from __future__ import annotations

from decimal import Decimal

import pytest

from asleft.compare import Comparison, Side, compare
from asleft.models import Model, read_model
from asleft.record import ParameterSet, Value

ANALOG: dict[str, Value] = {
    "limits.frequency_max_hz": Decimal("50.0"),
    "stations.remote_reference_source": "analog_1",
    "analog_inputs.ai_1.signal": "4_20_ma",
    "analog_inputs.ai_1.freq_at_low_hz": Decimal("22.0"),
    "analog_inputs.ai_1.freq_at_high_hz": Decimal("50.0"),
    "analog_inputs.ai_1.low_point_pct": Decimal("0.0"),
    "analog_inputs.ai_1.high_point_pct": Decimal("100.0"),
    "analog_inputs.ai_1.invert": "normal",
}
PLATE: dict[str, Value] = {"motor.connection": "delta", "motor.rated_voltage_v": Decimal(400)}
UNIT: dict[str, Value] = {"drive.serial_number": "A1", "comms.node_address": Decimal(31)}
RAMP: dict[str, Value] = {
    "ramps.ramp_reference_frequency_hz": Decimal("50.0"),
    "ramps.accel_time_1_s": Decimal("10.0"),
}
BAND: dict[str, Value] = {
    f"skip_bands.band_{number}.{edge}_hz": Decimal(hz)
    for number, edges in ((1, ("31.0", "34.0")), (2, ("0.0", "0.0")), (3, ("0.0", "0.0")))
    for edge, hz in zip(("low", "high"), edges, strict=True)
}
LOGIC: dict[str, Value] = {"digital_inputs.di_supply_logic": "positive"}


def held(base: dict[str, Value], changed: dict[str, Value], **head: str) -> Comparison:
    old, new = ParameterSet(values=base, **head), ParameterSet(values={**base, **changed}, **head)
    return compare(Side(old), Side(new))


def keys(found: Comparison) -> set[str]:
    return {change.key for change in found.changes}


@pytest.mark.parametrize(
    ("base", "changed"),
    [
        (
            {**ANALOG, "analog_inputs.ai_1.freq_at_high_hz": Decimal("55.0")},
            {"limits.frequency_max_hz": Decimal(60)},
        ),
        (
            {**ANALOG, "stations.remote_reference_source": "keypad"},
            {"limits.frequency_max_hz": Decimal("60.0")},
        ),
        (PLATE, {"motor.connection": "star", "motor.rated_voltage_v": Decimal(690)}),
        (UNIT, {"drive.serial_number": "B2"}),
        (LOGIC, {}),
        ({"limits.output_phase_order": "normal"}, {}),
        ({"tuned.identification_state": "not_done"}, {"tuned.identification_state": "done"}),
        (RAMP, {"ramps.accel_time_1_s": Decimal("12.0")}),
    ],
)
def test_a_look_alike_is_not_seen_where_there_is_none(
    base: dict[str, Value], changed: dict[str, Value]
) -> None:
    assert held(base, changed, asset="F1").notes == {}


def test_another_line_through_the_same_ends_of_the_signal_stays_a_change() -> None:
    found = held(ANALOG, {"analog_inputs.ai_1.freq_at_high_hz": Decimal("48.0")})
    assert keys(found) == {"analog_inputs.ai_1.freq_at_high_hz"}


def test_a_band_that_moves_stays_a_change() -> None:
    found = held(BAND, {"skip_bands.band_1.low_hz": Decimal("30.0")})
    assert keys(found) == {"skip_bands.band_1.low_hz"}


def test_a_band_with_an_edge_nobody_read_is_left_to_its_numbers() -> None:
    values = {key: value for key, value in BAND.items() if key != "skip_bands.band_2.low_hz"}
    assert keys(held(values, {"skip_bands.band_1.low_hz": Decimal("30.0")})) == {"skip_bands.band_1.low_hz"}


def test_one_ramp_that_follows_the_reference_does_not_excuse_the_other() -> None:
    base = {**RAMP, "ramps.decel_time_1_s": Decimal("10.0")}
    found = held(
        base, {"ramps.ramp_reference_frequency_hz": Decimal("100.0"), "ramps.accel_time_1_s": Decimal("20.0")}
    )
    assert keys(found) == {"ramps.ramp_reference_frequency_hz"}
    assert [entry.key for entry in found.same_in_effect] == ["ramps.accel_time_1_s"]
    assert found.notes["ramps.ramp_reference_frequency_hz"] == (
        "The same seconds now act otherwise: deceleration time 1.",
    )


def test_a_ramp_that_follows_half_way_says_both_slopes() -> None:
    found = held(
        RAMP, {"ramps.ramp_reference_frequency_hz": Decimal("100.0"), "ramps.accel_time_1_s": Decimal("12.0")}
    )
    assert found.notes["ramps.accel_time_1_s"] == (
        "10.0 s to 50 Hz and 12.0 s to 100 Hz: 5 Hz/s before, 8.33 Hz/s now",
    )


def test_ramp_times_without_their_reference_cannot_be_told() -> None:
    values = {"ramps.accel_time_1_s": Decimal("10.0")}
    old = Side(ParameterSet(values=RAMP))
    new = Side(ParameterSet(values=values, not_read={"ramps.ramp_reference_frequency_hz": "hidden"}))
    assert [entry.key for entry in compare(old, new).cannot_tell] == ["ramps.accel_time_1_s"]


HEAD = 'format = 1\nname = "{name}"\ntitle = "T"\nfirmware = ["1"]\n[behaviour]\nchange_restart = "{how}"\n'
BODY = """[sizes.a]
[parameters.1]
text = "Restart"
menu = "M"
key = "stations.change_restart"
choices = { "0" = ["new", "new_command_needed"], "1" = ["go on", "resume_if_present"] }
"""


def model(name: str, how: str) -> Model:
    return read_model((HEAD.format(name=name, how=how) + BODY).encode(), name).size("a")


def test_an_option_that_a_setting_overrides_is_not_told() -> None:
    models = model("one", "new_command_needed"), model("two", "resume_if_present")
    one, two = (
        Side(ParameterSet(model=made.name, values={"stations.change_restart": "resume_if_present"}), made)
        for made in models
    )
    assert compare(one, two).notes == {}
    bare = [Side(ParameterSet(model=made.name), made) for made in models]
    assert "drive.model" in compare(*bare).notes
