"""Curves against independent calculation: ramps against numeric integration, characteristics against sampling."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

import pytest
from behaviour_cases import BASE_SET
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from asleft.behaviour import Drive, Run, characteristics, durations
from asleft.behaviour.curves import ramp_curve, speed_at
from asleft.behaviour.inputs import AI1, Event
from asleft.behaviour.motion import curve_position, s_curve
from asleft.record import Value

QUICK = settings(max_examples=40, deadline=None, derandomize=True, database=None)
TENTHS = st.integers(0, 100).map(lambda n: Fraction(n, 10))


def started(change: dict[str, Value], options: dict[str, str] | None = None) -> Run:
    run = Run(Drive.of({**BASE_SET, **change}, options))
    for index, value in ((AI1, Fraction(92, 5)), (2, 1), (3, 1), (0, 1)):
        run.do(Event("set", index, value))
    return run


def rate(t: float, total: float, first: float, last: float, peak: float) -> float:
    """The rate of an S-curve: grows evenly, stands, fades evenly."""
    if t < first:
        return peak * t / first
    if t > total - last:
        return peak * max(total - t, 0.0) / last
    return peak


@QUICK
@given(st.integers(10, 600).map(lambda n: Fraction(n, 10)), TENTHS, TENTHS, st.booleans())
def test_an_s_curve_agrees_with_its_integrated_rate(
    distance: Fraction, s1: Fraction, s2: Fraction, inside: bool
) -> None:
    curve = s_curve(distance, Fraction(5), (s1, s2), Fraction(50) if inside else None)
    total, first, last, peak = (float(v) for v in curve)
    span = (0.0, total)
    corners = sorted({0.0, first, total - last, total})
    position = 0.0
    for low, high in pairwise(corners):
        solved = solve_ivp(
            lambda t, y: [rate(t, total, first, last, peak)], (low, high), [position], rtol=1e-11, atol=1e-11
        )
        position = solved.y[0][-1]
        assert position == pytest.approx(float(curve_position(curve, Fraction(high))), abs=1e-9)
    assert position == pytest.approx(float(distance), abs=1e-9)
    assert span[1] > 0


def test_a_straight_ramp_agrees_with_an_integration() -> None:
    run = started({})
    solved = solve_ivp(lambda t, y: [5.0 if y[0] < 45 else 0.0], (0, 8), [0.0], rtol=1e-10, atol=1e-10)
    run.wait(Fraction(8))
    assert float(run.outcome.frequency) == pytest.approx(solved.y[0][-1], abs=1e-9)
    assert run.outcome.frequency == 40, "exactly"


@QUICK
@given(st.lists(st.integers(1, 3000).map(lambda n: Fraction(n, 1000)), min_size=1, max_size=6))
def test_it_matters_not_in_how_many_pieces_time_passes(pieces: list[Fraction]) -> None:
    change: dict[str, Value] = {
        "ramps.s_curve_accel_start_s": Decimal(2),
        "ramps.s_curve_accel_end_s": Decimal(1),
        "outputs.relay_1.on_delay_s": Decimal("1.5"),
    }
    whole, parts = started(change), started(change)
    whole.wait(sum(pieces, Fraction(0)))
    for piece in pieces:
        parts.wait(piece)
    assert parts.outcome == whole.outcome


CHANNELS: list[dict[str, Value]] = [
    {},
    {"analog_inputs.ai_1.freq_at_low_hz": Decimal(22), "limits.frequency_min_hz": Decimal(25)},
    {"analog_inputs.ai_1.signal": "0_20_ma"},
    {"analog_inputs.ai_1.invert": "inverted", "limits.frequency_max_hz": Decimal(40)},
    {"analog_inputs.ai_1.low_point_pct": Decimal(20), "analog_inputs.ai_1.high_point_pct": Decimal("83.3")},
    {"limits.frequency_min_hz": Decimal(18), "limits.frequency_min_behaviour": "zero_below"},
]


@pytest.mark.parametrize("first", CHANNELS)
@pytest.mark.parametrize("second", CHANNELS)
def test_a_characteristic_agrees_with_dense_sampling(
    first: dict[str, Value], second: dict[str, Value]
) -> None:
    a, b = (Drive.of({**BASE_SET, **c}).config for c in (first, second))
    (exact,) = characteristics(a, b)
    sampled = [Fraction(n, 997) * 20 for n in range(998)]
    largest = max(abs(speed_at(a, 1, x) - speed_at(b, 1, x)) for x in sampled)
    assert largest <= exact.largest
    assert float(exact.largest - largest) < 0.15, "50 Hz over 997 samples, steepened by trim points"


def test_a_fan_whose_signal_kind_was_wrong() -> None:
    """12 mA of 22 to 50 Hz: 36.0 Hz as 4–20 mA, 38.8 Hz as 0–20 mA: arithmetic."""
    right: dict[str, Value] = {**BASE_SET, "analog_inputs.ai_1.freq_at_low_hz": Decimal(22)}
    wrong = {**right, "analog_inputs.ai_1.signal": "0_20_ma"}
    configs = [Drive.of(v).config for v in (right, wrong)]
    assert [speed_at(c, 1, Fraction(12)) for c in configs] == [36, Fraction("38.8")]
    assert characteristics(*configs)[0].worst == (4, 22, Fraction("27.6"))


def test_ramps_are_compared_by_their_curves() -> None:
    """10 s to 50 Hz is 20 s to 100 Hz: common practice, no source. Equal times may still hide other curves."""
    plain = Drive.of(BASE_SET).config
    doubled = {"ramps.accel_time_1_s": 20, "ramps.decel_time_1_s": 16, "ramps.quick_stop_time_s": 4}
    other = {
        **BASE_SET,
        **{k: Decimal(v) for k, v in doubled.items()},
        "ramps.ramp_reference_frequency_hz": Decimal(100),
    }
    assert durations(plain, Drive.of(other).config) == ()
    rounded = [
        Drive.of(
            {**BASE_SET, "ramps.s_curve_accel_start_s": Decimal(a), "ramps.s_curve_accel_end_s": Decimal(b)}
        ).config
        for a, b in ((2, 1), (1, 2))
    ]
    (row,) = durations(*rounded)
    assert row.shape and row.before == row.after == Fraction("11.5")
    assert ramp_curve(plain, "up", 0, Fraction(45))[0] == 9


def test_a_ramp_time_of_zero_goes_at_once() -> None:
    run = started({"ramps.accel_time_1_s": Decimal(0)})
    run.wait(Fraction(1, 1000))
    assert run.outcome.frequency == 45
