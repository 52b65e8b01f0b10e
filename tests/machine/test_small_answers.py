"""Answers worth a value of their own: the demo site's fan (invented), edges, rounding."""

import math
from decimal import Decimal

import pytest

from asleft.machine import braking, cable, inertia, load, motor, overload, ramps, signals
from asleft.machine.estimate import Estimate, estimate, round_significant, significant_digits


def test_fan_reference_at_each_milliamp() -> None:
    """Invented: 4–20 mA = 22–50 Hz, so 36.0 Hz at 12 mA; beyond the span it stays at the ends."""
    fan = signals.Scaling(4, 20, 22, 50)
    assert [signals.reference_hz(fan, ma) for ma in (0, 4, 8, 12, 16, 20, 24)] == [22, 22, 29, 36, 43, 50, 50]
    assert signals.signal_for_hz(fan, 36) == 12


def test_dead_wire_on_an_inverted_channel_reads_full_speed() -> None:
    """Common practice, no source."""
    assert signals.reference_hz(signals.Scaling(4, 20, 0, 50, inverted=True), 0) == 50


def test_ten_bits_of_20_ma_resolve_a_twentieth_of_a_hertz() -> None:
    """Arithmetic: 20/1023 mA of 16 mA for 28 Hz is 0.0342 Hz."""
    step = signals.converter_step(20, 10)
    assert signals.resolution_hz(signals.Scaling(4, 20, 22, 50), step) == pytest.approx(0.03421, abs=5e-6)


@pytest.mark.parametrize("input_type", [1, 3])
def test_between_its_levels_an_input_cannot_be_told(input_type: int) -> None:
    """Memory of IEC 61131-2."""
    assert signals.contact_closed(8, input_type) is None


def test_pump_gives_nothing_below_its_least_speed() -> None:
    """Arithmetic: √(18/44) of the speed; the pump still makes its shut-off head, less than the static."""
    point = load.PumpPoint(80, 32, 44, 18)
    least = load.least_speed_share(point)
    assert least == pytest.approx(math.sqrt(18 / 44))
    assert load.pump_flow(point, least * 0.99) == 0
    assert load.pump_head(point, least * 0.99) < 18
    assert load.pump_power_share(point, 1) == 1


def test_shaft_stands_where_its_slip_exceeds_the_field() -> None:
    """Arithmetic: 1 Hz is 30 rpm, the rated slip of 1455 rpm is 45."""
    assert motor.shaft_speed_rpm(1, 1455, 50, 1) == 0
    assert motor.shaft_speed_rpm(50, 1455, 50, 1) == 1455


def test_accelerating_with_rated_torque_takes_rated_current() -> None:
    assert inertia.accelerating_current_a(28.5, 0.84, 97.8, 97.8) == pytest.approx(28.5)


def test_a_braking_resistor_must_hold_both_bounds() -> None:
    """Arithmetic on firgelliauto.com, regenerative braking resistor sizing: 760²/7500 is 77.01 Ω."""
    serves = braking.resistor_range(760, 7500, braking.least_resistance_ohm(760, 12))
    assert [serves.holds(ohm) for ohm in (63, 64, 77, 78)] == [False, True, True, False]


def test_what_a_stop_every_minute_asks_of_a_resistor() -> None:
    """Arithmetic on theprimecalculator.com's disc: 49 348 J each 60 s, 6 s of it braking."""
    assert braking.continuous_resistor_power_w(49_348, 60) == pytest.approx(822.5, abs=0.05)
    assert braking.duty_share(6, 60) == 0.1


def test_slowest_stop_as_a_rate() -> None:
    """Arithmetic: 0.6 kg·m² from 1465 rpm against 3 N·m of drag and a tenth of 97.8 N·m."""
    stop_s = braking.least_stop_time_s(0.6, 1465, 97.8, 0.1, 3)
    assert stop_s == pytest.approx(7.2026, abs=5e-5)
    assert braking.held_rate_hz_per_s(50, stop_s) == pytest.approx(6.942, abs=5e-4)


def test_a_carrier_far_too_high_leaves_no_current() -> None:
    """Common practice, no source: 5 % a kilohertz from 4 kHz."""
    assert cable.carrier_current_share(6, 4) == pytest.approx(0.90)
    assert cable.carrier_current_share(40, 4) == 0


def test_pick_up_is_110_percent_where_none_is_given() -> None:
    """Arithmetic on a first-order model: 423 s, see the published values."""
    assert overload.time_constant_s(10, 7.2) == pytest.approx(423.4, abs=0.05)
    assert overload.time_to_trip_s(1.5, 423.4, balanced_at=1.0) == pytest.approx(77.9, abs=0.05)


def test_a_reversal_needs_no_dead_time() -> None:
    down, up = ramps.linear_ramp(45, 0, 12, 50), ramps.linear_ramp(0, -45, 8, 50)
    assert ramps.reversal_time_s(down, up) == pytest.approx(18.0)


def test_a_ramp_that_goes_nowhere_takes_no_time() -> None:
    still = ramps.s_ramp_added(45, 45, 8, 50, 1, 1)
    assert still.duration_s == still.peak_rate_hz_per_s == ramps.cycles(still) == 0
    assert ramps.time_to_reach_s(still, 45) == 0


def test_own_fan_keeps_a_conveyor_cool_at_60_percent_from_a_tenth_up() -> None:
    """Common practice, no source."""
    assert overload.low_speed_torque_share(0.16 / 0.5) > 0.60
    drawn = [overload.low_speed_torque_share(share) for share in (0.0, 0.1, 0.2, 0.5, 0.9, 1.0, 1.3)]
    assert drawn == pytest.approx([0.40, 0.55, 0.65, 0.85, 1.0, 1.0, 1.0])


@pytest.mark.parametrize(
    ("kind", "torque", "power"),
    [
        ("square", 0.64, 0.512),
        ("linear", 0.8, 0.64),
        ("constant_torque", 1, 0.8),
        ("constant_power", 1.25, 1),
    ],
)
def test_torque_and_power_at_four_fifths_of_the_speed(kind: str, torque: float, power: float) -> None:
    """Arithmetic on the kinds' definitions."""
    assert load.torque_share(kind, 0.8) == pytest.approx(torque)
    assert load.power_share(kind, 0.8) == pytest.approx(power)


@pytest.mark.parametrize(("frequency_hz", "time_s"), [(4.95, 1.989975), (45.05, 10.010025)])
def test_time_just_inside_a_curve_is_the_curves(frequency_hz: float, time_s: float) -> None:
    """Arithmetic: 5 Hz/s with curves of 2 s, T 12 s: √(4.95·2·2/5), and 12 s less that."""
    ramp = ramps.s_ramp_added(0, 50, 10, 50, 2, 2)
    assert ramps.time_to_reach_s(ramp, frequency_hz) == pytest.approx(time_s, abs=5e-7)


@pytest.mark.parametrize(
    ("length_m", "khz"), [(0, 12.0), (25, 12.0), (26, 8.0), (100, 4.0), (200, 2.5), (201, None)]
)
def test_carrier_by_cable(length_m: float, khz: float | None) -> None:
    """Common practice, no source."""
    assert cable.greatest_carrier_khz(length_m) == khz


def test_voltage_lost_in_a_cable() -> None:
    """Arithmetic: √3·28.5 A·0.0225·100 m/6 mm²·0.84 (resistivity from memory)."""
    assert cable.voltage_drop_v(100, 6, 28.5, 0.84) == pytest.approx(15.55, abs=0.005)


@pytest.mark.parametrize(
    ("text", "digits"), [("33.0", 3), ("8.0", 2), ("8", 1), ("0.05", 1), ("1465", 4), ("0", 1), ("-2.60", 3)]
)
def test_a_reading_carries_the_digits_of_its_step(text: str, digits: int) -> None:
    assert significant_digits(Decimal(text)) == digits


@pytest.mark.parametrize(
    ("value", "digits", "rounded"),
    [
        (7.2049, 2, 7.2),
        (162.96, 3, 163),
        (0.078576, 3, 0.0786),
        (-5.76, 2, -5.8),
        (0.0, 3, 0.0),
        (1e9, 1, 1e9),
    ],
)
def test_rounding_keeps_significant_digits(value: float, digits: int, rounded: float) -> None:
    assert round_significant(value, digits) == rounded


def test_an_estimate_has_the_digits_of_its_poorest_input() -> None:
    inputs = Decimal("12.0"), Decimal("45.0"), Decimal("50")
    assert estimate(10.84, "s", "ramp", *inputs) == Estimate(11.0, "s", "ramp")
    assert estimate(10.84, "s", "ramp", *inputs[:2]) == Estimate(10.8, "s", "ramp")
    assert estimate(5.76, "s", "ramp", Decimal("8")) == Estimate(5.8, "s", "ramp")
    assert estimate(19.35, "kW", "cube law") == Estimate(19.0, "kW", "cube law")
    assert estimate(math.inf, "s", "thermal model").value == math.inf
