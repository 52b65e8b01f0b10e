"""Closed forms against PyPI `scipy`: the equation of motion, the thermal model and the ramps, integrated."""

import math

import pytest
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from asleft.machine import inertia, load, overload, ramps
from asleft.machine.inertia import Drag

RPM = 2 * math.pi / 60

RAMPS = {
    "straight up": ramps.linear_ramp(0, 45, 8, 50),
    "straight down": ramps.linear_ramp(45, 0, 12, 50),
    "added curves": ramps.s_ramp_added(5, 48, 10, 50, 2, 3),
    "added curves down": ramps.s_ramp_added(48, 5, 10, 50, 2, 3),
    "too small for its curves": ramps.s_ramp_added(40, 42, 10, 50, 2, 3),
    "one curve": ramps.s_ramp_added(0, 50, 10, 50, 0, 4),
    "inside": ramps.s_ramp_inside(0, 50, 10, 50, 20, 30),
    "inside, all curve": ramps.s_ramp_inside(50, 0, 10, 50, 50, 50),
    "reverse": ramps.s_ramp_added(-3, -40, 10, 50, 1, 2),
}


@pytest.mark.parametrize("ramp", RAMPS.values(), ids=RAMPS)
@pytest.mark.parametrize("share", [0.05, 0.3, 0.62, 0.97, 1.0])
def test_cycles_are_the_integral_of_the_frequency(ramp: ramps.Ramp, share: float) -> None:
    until_s = share * ramp.duration_s
    bends = [t for t in (ramp.start_curve_s, ramp.start_curve_s + ramp.steady_s) if 0 < t < until_s]
    area, _ = quad(lambda t: ramps.frequency_at_hz(ramp, t), 0, until_s, points=bends or None)
    assert ramps.cycles(ramp, until_s) == pytest.approx(area, rel=1e-9)


@pytest.mark.parametrize("ramp", RAMPS.values(), ids=RAMPS)
@pytest.mark.parametrize("share", [0.01, 0.2, 0.5, 0.8, 0.99])
def test_time_to_reach_is_the_root_of_the_frequency(ramp: ramps.Ramp, share: float) -> None:
    wanted_hz = ramp.from_hz + share * (ramp.to_hz - ramp.from_hz)
    root = brentq(lambda t: ramps.frequency_at_hz(ramp, t) - wanted_hz, 0, ramp.duration_s, xtol=1e-12)
    assert ramps.time_to_reach_s(ramp, wanted_hz) == pytest.approx(root, abs=1e-9)


@pytest.mark.parametrize(("start_s", "end_s"), [(2.0, 3.0), (0.0, 4.0), (1.0, 0.0)])
def test_added_curve_is_a_rate_that_grows_and_fades_evenly(start_s: float, end_s: float) -> None:
    """The mode's own definition: 5 Hz/s reached in s1, left in s2, T = t + (s1 + s2)/2."""
    total_s = 10 + (start_s + end_s) / 2

    def rate(time_s: float) -> float:
        rising = time_s / start_s if start_s else 1.0
        falling = (total_s - time_s) / end_s if end_s else 1.0
        return 5 * min(1.0, rising, falling)

    ramp = ramps.s_ramp_added(0, 50, 10, 50, start_s, end_s)
    assert ramp.duration_s == pytest.approx(total_s)
    for time_s in (0.5, 2.5, 6.0, total_s - 0.5):
        bends = [t for t in (start_s, total_s - end_s) if 0 < t < time_s]
        area, _ = quad(rate, 0, time_s, points=bends or None)
        assert ramps.frequency_at_hz(ramp, time_s) == pytest.approx(area, abs=1e-8)


def test_constant_torque_runs_up_as_the_equation_of_motion() -> None:
    time_s = inertia.accelerating_time_s(10.6, 540, 20)
    motion = solve_ivp(lambda _, w: [20 / 10.6], (0, time_s), [60 * RPM], rtol=1e-10, atol=1e-10)
    assert motion.y[0][-1] / RPM == pytest.approx(600, rel=1e-8)


@pytest.mark.parametrize(("drag", "power"), [(Drag.CONSTANT, 0), (Drag.LINEAR, 1), (Drag.SQUARE, 2)])
def test_coasting_follows_the_equation_of_motion(drag: Drag, power: int) -> None:
    first = 1470 * RPM
    time_s = inertia.coasting_time_s(4.0, 1470, 300, 25, drag)
    motion = solve_ivp(
        lambda _, w: [-25 * (w[0] / first) ** power / 4.0], (0, time_s), [first], rtol=1e-10, atol=1e-10
    )
    assert motion.y[0][-1] / RPM == pytest.approx(300, rel=1e-7)
    assert inertia.coasting_speed_rpm(4.0, 1470, 25, drag, time_s) == pytest.approx(300)


@pytest.mark.parametrize("load_now", [1.2, 1.5, 3.0, 7.2])
@pytest.mark.parametrize("balanced_at", [0.0, 0.8, 1.05])
def test_thermal_model_is_the_first_order_equation(load_now: float, balanced_at: float) -> None:
    """τ·dh/dt = (m/k)² − h from the balance (w/k)², stopped where h reaches 1."""
    tau, pickup = 423.4, 1.1

    def trip(_: float, heat: list[float]) -> float:
        return heat[0] - 1

    trip.terminal = True  # type: ignore[attr-defined]
    run = solve_ivp(
        lambda _, heat: [((load_now / pickup) ** 2 - heat[0]) / tau],
        (0, 20 * tau),
        [(balanced_at / pickup) ** 2],
        events=trip,
        rtol=1e-10,
        atol=1e-12,
    )
    ours = overload.time_to_trip_s(load_now, tau, pickup, balanced_at)
    assert ours == pytest.approx(run.t_events[0][0], rel=1e-7)


@pytest.mark.parametrize("speed_share", [0.8, 0.9, 1.0, 1.04])
def test_pump_runs_where_its_curve_meets_the_system(speed_share: float) -> None:
    """Pump H_0·r² − k·Q² against system H_s + c·Q² (a pump's own numbers, invented)."""
    point = load.PumpPoint(flow=80, head=32, shut_off_head=44, static_head=18)
    k, c = (44 - 32) / 80**2, (32 - 18) / 80**2
    met = brentq(lambda q: 44 * speed_share**2 - k * q**2 - 18 - c * q**2, 0, 500, xtol=1e-12)
    assert load.pump_flow(point, speed_share) == pytest.approx(met, rel=1e-9)
    assert load.pump_head(point, speed_share) == pytest.approx(18 + c * met**2, rel=1e-9)
