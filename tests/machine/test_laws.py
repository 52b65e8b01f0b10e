"""What must hold for every input: physics that only goes one way, round trips, exact limits."""

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from asleft.machine import (
    braking,
    cable,
    efficiency,
    flux,
    inertia,
    load,
    motor,
    overload,
    plates,
    ramps,
    signals,
    supply,
)
from asleft.machine.inertia import Drag
from asleft.machine.load import LoadKind


def law(*strategies: st.SearchStrategy[Any]) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """A property over these inputs: no time limit, the same examples in every run."""
    return lambda test: settings(deadline=None, derandomize=True)(given(*strategies)(test))


def numbers(least: float, most: float) -> st.SearchStrategy[float]:
    return st.floats(least, most, allow_nan=False, allow_infinity=False)


# In hundredths, as drives show them.
hertz = st.integers(0, 40_000).map(lambda hundredths: hundredths / 100)
times = numbers(0.1, 3600.0)
references = numbers(10.0, 400.0)
curves = numbers(0.0, 10.0)
shares = numbers(0.0, 1.0)
multiples = numbers(0.0, 12.0)
pickups = numbers(1.0, 1.25)
speeds = numbers(1.0, 24_000.0)
inertias = numbers(1e-4, 5000.0)
torques = numbers(0.1, 5000.0)


@st.composite
def any_ramp(draw: st.DrawFn) -> ramps.Ramp:
    """A ramp of any shape and direction."""
    sign = draw(st.sampled_from([1, -1]))
    ends = sign * draw(hertz), sign * draw(hertz)
    time_s, reference_hz = draw(times), draw(references)
    if draw(st.booleans()):
        return ramps.s_ramp_added(*ends, time_s, reference_hz, draw(curves), draw(curves))
    first = draw(numbers(0, 100))
    return ramps.s_ramp_inside(*ends, time_s, reference_hz, first, draw(numbers(0, 100 - first)))


class TestRamps:
    @law(any_ramp(), shares, shares)
    def test_frequency_never_turns_back(self, ramp: ramps.Ramp, one: float, other: float) -> None:
        early, late = sorted((one * ramp.duration_s, other * ramp.duration_s))
        rise = ramps.frequency_at_hz(ramp, late) - ramps.frequency_at_hz(ramp, early)
        assert rise * math.copysign(1, ramp.to_hz - ramp.from_hz) >= -1e-9

    @law(any_ramp())
    def test_ramp_begins_and_ends_where_it_says(self, ramp: ramps.Ramp) -> None:
        assert ramps.frequency_at_hz(ramp, 0) == ramp.from_hz
        assert ramps.frequency_at_hz(ramp, ramp.duration_s) == ramp.to_hz
        assert ramps.frequency_at_hz(ramp, -1) == ramp.from_hz
        assert ramps.frequency_at_hz(ramp, ramp.duration_s + 1) == ramp.to_hz

    @law(any_ramp(), shares)
    def test_time_to_reach_turns_frequency_round(self, ramp: ramps.Ramp, share: float) -> None:
        wanted = ramps.frequency_at_hz(ramp, share * ramp.duration_s)
        low, high = sorted((ramp.from_hz, ramp.to_hz))
        wanted = min(max(wanted, low), high)
        again = ramps.frequency_at_hz(ramp, ramps.time_to_reach_s(ramp, wanted))
        assert again == pytest.approx(wanted, abs=1e-7)

    @law(hertz, hertz, times, references)
    def test_curves_of_zero_are_the_straight_ramp(self, a: float, b: float, t: float, ref: float) -> None:
        straight = ramps.linear_ramp(a, b, t, ref)
        assert ramps.s_ramp_added(a, b, t, ref, 0, 0) == straight
        assert ramps.s_ramp_inside(a, b, t, ref, 0, 0) == straight

    @law(hertz, hertz, times, references, curves, curves)
    def test_added_curves_cost_half_their_time_at_most(
        self, a: float, b: float, t: float, ref: float, s1: float, s2: float
    ) -> None:
        straight_s = ramps.linear_ramp(a, b, t, ref).duration_s
        with_curves = ramps.s_ramp_added(a, b, t, ref, s1, s2)
        assert straight_s - 1e-9 <= with_curves.duration_s <= straight_s + (s1 + s2) / 2 + 1e-9
        assert abs(with_curves.peak_rate_hz_per_s) <= ref / t * (1 + 1e-9)

    @law(hertz, hertz, times, references, numbers(0, 50), numbers(0, 50))
    def test_inside_curves_cost_no_time_but_steepness(
        self, a: float, b: float, t: float, ref: float, p1: float, p2: float
    ) -> None:
        assume(abs(a - b) > 1e-6)
        ramp = ramps.s_ramp_inside(a, b, t, ref, p1, p2)
        assert ramp.duration_s == pytest.approx(t * abs(b - a) / ref)
        steeper = 1 / (1 - (p1 + p2) / 200)
        assert abs(ramp.peak_rate_hz_per_s) == pytest.approx(ref / t * steeper, rel=1e-6)

    @law(any_ramp(), shares)
    def test_way_and_way_back_cover_the_same_cycles(self, ramp: ramps.Ramp, share: float) -> None:
        back = ramps.Ramp(ramp.to_hz, ramp.from_hz, ramp.end_curve_s, ramp.steady_s, ramp.start_curve_s)
        there = ramps.cycles(ramp)
        assert ramps.cycles(back) == pytest.approx(there, rel=1e-9, abs=1e-9)
        part_s = share * ramp.duration_s
        rest = ramps.cycles(back, ramp.duration_s - part_s)
        assert ramps.cycles(ramp, part_s) + rest == pytest.approx(there, rel=1e-6, abs=1e-6)

    @law(times, references, references)
    def test_same_rate_on_another_reference(self, t: float, ref: float, other: float) -> None:
        there = ramps.same_ramp_time_s(t, ref, other)
        assert ramps.rate_hz_per_s(there, other) == pytest.approx(ramps.rate_hz_per_s(t, ref))
        assert ramps.same_ramp_time_s(there, other, ref) == pytest.approx(t)
        assert ramps.ramp_time_s(ramps.rate_hz_per_s(t, ref), ref) == pytest.approx(t)

    @law(hertz, times, references)
    def test_straight_stop_covers_half_its_speed_times_its_time(self, f: float, t: float, ref: float) -> None:
        stop = ramps.linear_ramp(f, 0, t, ref)
        assert ramps.travel_m(stop, 2.6, 50) == pytest.approx(2.6 / 50 * f * stop.duration_s / 2, abs=1e-9)
        turns = ramps.revolutions(stop, 4, 20)
        assert turns == pytest.approx(
            motor.synchronous_speed_rpm(f, 4) / 60 * stop.duration_s / 2 / 20, abs=1e-9
        )

    @law(hertz, hertz, times, references, numbers(0, 60))
    def test_reversal_is_two_ramps_and_its_dead_time(
        self, a: float, b: float, t: float, ref: float, dead_s: float
    ) -> None:
        down, up = ramps.linear_ramp(a, 0, t, ref), ramps.linear_ramp(0, -b, t, ref)
        assert ramps.reversal_time_s(down, up, dead_s) == pytest.approx(t * (a + b) / ref + dead_s)


class TestMotor:
    @law(st.sampled_from([2, 4, 6, 8, 10, 12]), numbers(20, 400), numbers(0, 0.07))
    def test_poles_are_found_again(self, poles: int, frequency_hz: float, slip: float) -> None:
        speed = motor.synchronous_speed_rpm(frequency_hz, poles) * (1 - slip) * (1 - 1e-9)
        assert motor.poles_from_plate(speed, frequency_hz) == poles

    @law(numbers(0.1, 120), numbers(-1, 1))
    def test_frequency_for_speed_turns_speed_round(self, frequency_hz: float, share: float) -> None:
        speed = motor.shaft_speed_rpm(frequency_hz, 1455, 50, share)
        assume(speed > 1e-6)
        assert motor.frequency_for_speed_hz(speed, 1455, 50, share) == pytest.approx(frequency_hz, rel=1e-6)

    @law(numbers(0.1, 120), numbers(-1, 1), numbers(-1, 1))
    def test_more_torque_never_turns_faster(self, frequency_hz: float, one: float, other: float) -> None:
        light, heavy = sorted((one, other))
        assert motor.shaft_speed_rpm(frequency_hz, 1455, 50, heavy) <= motor.shaft_speed_rpm(
            frequency_hz, 1455, 50, light
        )

    @law(numbers(0.06, 1000), speeds)
    def test_torque_and_power_round_trip(self, power_kw: float, speed: float) -> None:
        assert motor.shaft_power_kw(motor.torque_nm(power_kw, speed), speed) == pytest.approx(power_kw)

    @law(numbers(0.3, 900), numbers(0.5, 0.99), numbers(0, 2), numbers(0, 2))
    def test_current_grows_with_torque_and_is_rated_at_rated(
        self, amps: float, cos_phi: float, one: float, other: float
    ) -> None:
        small, large = sorted((one, other))
        assert motor.estimated_current_a(amps, cos_phi, 1) == pytest.approx(amps)
        assert motor.estimated_current_a(amps, cos_phi, small) <= motor.estimated_current_a(
            amps, cos_phi, large
        )

    @law(numbers(1, 400), numbers(1, 400))
    def test_reserve_never_grows_above_base(self, one: float, other: float) -> None:
        low, high = sorted((one, other))
        shares = [flux.constant_power_torque_share(f, 50) for f in (low, high)]
        reserve = [flux.breakdown_reserve(f, 50, 2.5, m) for f, m in zip((low, high), shares, strict=True)]
        assert reserve[1] <= reserve[0] * (1 + 1e-12) <= 2.5 * (1 + 1e-9)

    @law(numbers(0.1, 200))
    def test_straight_line_of_volts_gives_the_weakened_flux(self, frequency_hz: float) -> None:
        volts = flux.output_voltage_v(frequency_hz, 400, 50)
        assert flux.flux_share(volts, frequency_hz, 400, 50) == pytest.approx(
            flux.weakened_flux_share(frequency_hz, 50)
        )

    @law(numbers(0.06, 1000), numbers(0.06, 1000))
    def test_larger_motors_are_believed_more_efficient(self, one: float, other: float) -> None:
        small, large = (plates.plausible_efficiency(kw) for kw in sorted((one, other)))
        assert small[0] <= large[0] + 1e-12
        assert small[1] <= large[1] + 1e-12

    @law(numbers(0.06, 1000))
    def test_plausible_bounds_never_hide_a_mixed_link(self, power_kw: float) -> None:
        low, high = plates.plausible_efficiency(power_kw)
        assert high / low < math.sqrt(3)


class TestMasses:
    @law(inertias, speeds, times, times)
    def test_longer_ramp_never_needs_more_torque(
        self, j: float, rpm: float, one: float, other: float
    ) -> None:
        short, long = sorted((one, other))
        assert inertia.accelerating_torque_nm(j, rpm, long) <= inertia.accelerating_torque_nm(j, rpm, short)
        assert braking.braking_torque_nm(j, rpm, long, 5) <= braking.braking_torque_nm(j, rpm, short, 5)

    @law(inertias, speeds, times)
    def test_run_up_gives_the_inertia_back(self, j: float, rpm: float, time_s: float) -> None:
        torque = inertia.accelerating_torque_nm(j, rpm, time_s)
        assert inertia.accelerating_time_s(j, rpm, torque) == pytest.approx(time_s)
        assert inertia.inertia_from_run_up_kgm2(torque, time_s, rpm) == pytest.approx(j)

    @law(inertias, speeds, torques, st.sampled_from(list(Drag)), shares, shares)
    def test_coasting_slows_and_turns_round(
        self, j: float, rpm: float, torque: float, drag: Drag, one: float, other: float
    ) -> None:
        low, high = sorted((0.01 + one * 0.99, 0.01 + other * 0.99))
        to_high = inertia.coasting_time_s(j, rpm, high * rpm, torque, drag)
        to_low = inertia.coasting_time_s(j, rpm, low * rpm, torque, drag)
        assert 0 <= to_high <= to_low
        assert inertia.coasting_speed_rpm(j, rpm, torque, drag, to_low) == pytest.approx(low * rpm, rel=1e-6)

    @law(inertias, speeds, torques)
    def test_only_constant_drag_brings_a_shaft_to_rest(self, j: float, rpm: float, torque: float) -> None:
        rest = {drag: inertia.coasting_time_s(j, rpm, 0, torque, drag) for drag in Drag}
        assert rest[Drag.LINEAR] == rest[Drag.SQUARE] == math.inf
        assert inertia.coasting_speed_rpm(
            j, rpm, torque, Drag.CONSTANT, rest[Drag.CONSTANT]
        ) == pytest.approx(0, abs=1e-9 * rpm)

    @law(inertias, speeds, times)
    def test_half_the_peak_power_is_the_mean(self, j: float, rpm: float, time_s: float) -> None:
        peak = braking.peak_braking_power_w(braking.braking_torque_nm(j, rpm, time_s), rpm)
        mean = braking.average_braking_power_w(braking.kinetic_energy_j(j, rpm), time_s)
        assert peak == pytest.approx(2 * mean)

    @law(numbers(1, 1e5), numbers(0, 1200), numbers(0, 1200))
    def test_link_returns_the_energy_it_took(self, capacitance_uf: float, one: float, other: float) -> None:
        low, high = sorted((one, other))
        energy = braking.capacitor_energy_j(capacitance_uf, low, high)
        assert braking.dc_link_after_v(capacitance_uf, low, energy) == pytest.approx(high, abs=1e-6)

    @law(inertias, speeds, torques, numbers(0.02, 0.3))
    def test_stop_held_without_a_resistor_needs_no_more_than_the_losses(
        self, j: float, rpm: float, rated: float, share: float
    ) -> None:
        time_s = braking.least_stop_time_s(j, rpm, rated, share, drag_torque_nm=3)
        assert braking.braking_torque_nm(j, rpm, time_s, 3) == pytest.approx(share * rated)

    @law(inertias, speeds, speeds)
    def test_gear_keeps_the_energy(self, j: float, load_rpm: float, motor_rpm: float) -> None:
        felt = inertia.reflected_inertia_kgm2(j, load_rpm, motor_rpm)
        assert braking.kinetic_energy_j(felt, motor_rpm) == pytest.approx(
            braking.kinetic_energy_j(j, load_rpm)
        )

    @law(numbers(0.1, 1e5), numbers(0.01, 20), speeds)
    def test_trolley_keeps_the_energy(self, mass: float, speed: float, rpm: float) -> None:
        felt = inertia.trolley_inertia_kgm2(mass, speed, rpm)
        assert braking.kinetic_energy_j(felt, rpm) == pytest.approx(mass * speed**2 / 2)


class TestOverload:
    @law(multiples, multiples, pickups, numbers(1, 5000))
    def test_higher_load_trips_no_later(self, one: float, other: float, pickup: float, tau: float) -> None:
        light, heavy = sorted((one, other))
        assert overload.time_to_trip_s(heavy, tau, pickup) <= overload.time_to_trip_s(light, tau, pickup)

    @law(multiples, shares, shares, pickups, numbers(1, 5000))
    def test_warmer_motor_trips_no_later(
        self, load_now: float, one: float, other: float, pickup: float, tau: float
    ) -> None:
        cool, warm = sorted((one, other))
        assert overload.time_to_trip_s(load_now, tau, pickup, warm) <= overload.time_to_trip_s(
            load_now, tau, pickup, cool
        )

    @law(shares, pickups, numbers(1, 5000), shares)
    def test_never_at_or_below_the_pick_up(
        self, share: float, pickup: float, tau: float, balanced_at: float
    ) -> None:
        assert overload.time_to_trip_s(share * pickup, tau, pickup, balanced_at) == math.inf

    @law(numbers(0.1, 60), numbers(1.5, 12), pickups)
    def test_time_constant_gives_its_trip_time_back(
        self, time_s: float, multiple: float, pickup: float
    ) -> None:
        tau = overload.time_constant_s(time_s, multiple, pickup)
        assert overload.time_to_trip_s(multiple, tau, pickup) == pytest.approx(time_s)

    @law(shares, numbers(1.3, 12), numbers(1, 5000))
    def test_heat_reaches_one_at_the_trip(self, heat: float, load_now: float, tau: float) -> None:
        time_s = overload.time_from_heat_s(load_now, tau, heat)
        assert overload.heat_after(heat, load_now, time_s, tau) == pytest.approx(1)

    @law(numbers(0.01, 1.5), numbers(0.01, 1), numbers(1, 5000))
    def test_cooling_ends_at_the_reset_level(self, heat: float, reset: float, tau: float) -> None:
        time_s = overload.cooling_time_s(heat, reset, tau)
        assert overload.heat_after(heat, 0, time_s, tau) == pytest.approx(min(heat, reset))

    @law(numbers(0, 3), numbers(0, 3))
    def test_slower_own_fan_never_allows_more(self, one: float, other: float) -> None:
        low, high = sorted((one, other))
        assert overload.low_speed_torque_share(low) <= overload.low_speed_torque_share(high) <= 1


class TestLoads:
    @law(st.sampled_from(list(LoadKind)), numbers(1, 100), numbers(0.1, 500), numbers(1, 100))
    def test_power_there_and_back(self, kind: LoadKind, f: float, kw: float, known: float) -> None:
        there = load.shaft_power_kw(kind, f, kw, known)
        assert load.shaft_power_kw(kind, known, there, f) == pytest.approx(kw)

    @law(numbers(0.5, 1.2), numbers(0.5, 1.2), numbers(0, 30))
    def test_faster_pump_never_gives_less(self, one: float, other: float, static: float) -> None:
        point = load.PumpPoint(80, 32, 44, static)
        slow, fast = sorted((one, other))
        assert load.pump_flow(point, slow) <= load.pump_flow(point, fast)
        assert load.pump_head(point, slow) <= load.pump_head(point, fast) + 1e-9

    @law(numbers(0.05, 1.2))
    def test_pump_without_static_head_obeys_the_affinity_laws(self, share: float) -> None:
        point = load.PumpPoint(80, 32, 44)
        assert load.pump_flow(point, share) == pytest.approx(load.affinity_flow(80, share))
        assert load.pump_head(point, share) == pytest.approx(load.affinity_head(32, share))
        assert load.pump_power_share(point, share) == pytest.approx(load.affinity_power(1, share))

    @law(numbers(0.71, 1.0), numbers(1, 30))
    def test_static_head_leaves_less_flow_than_the_law(self, share: float, static: float) -> None:
        point = load.PumpPoint(80, 32, 44, static)
        assert load.pump_flow(point, share) <= load.affinity_flow(80, share) + 1e-9

    @law(numbers(0.1, 1e4), numbers(0, 5), numbers(0.1, 1))
    def test_lowering_gives_back_less_than_lifting_takes(self, mass: float, v: float, eta: float) -> None:
        up = load.hoist_power_kw(mass, v, eta)
        assert load.lowering_power_kw(mass, v, eta) == pytest.approx(up * eta**2)

    @law(numbers(1, 400), shares, shares)
    def test_loss_between_supply_and_shaft_is_never_a_gain(self, kw: float, one: float, other: float) -> None:
        low, high = sorted((one, other))
        part, full = (efficiency.drive_efficiency(kw, share) for share in (low, high))
        assert part <= full + 1e-12
        assert efficiency.supply_power_kw(kw, 0.9, full) > kw


@st.composite
def scalings(draw: st.DrawFn) -> signals.Scaling:
    low, high = signals.SPANS[draw(st.sampled_from(sorted(signals.SPANS)))]
    first = draw(numbers(0, 90))
    return signals.Scaling(
        low, high, draw(hertz), draw(hertz), first, draw(numbers(first + 5, 100)), draw(st.booleans())
    )


class TestSignals:
    @law(scalings(), shares)
    def test_signal_for_hz_turns_reference_round(self, scaling: signals.Scaling, share: float) -> None:
        assume(abs(scaling.high_hz - scaling.low_hz) > 1e-6)
        wanted = scaling.low_hz + share * (scaling.high_hz - scaling.low_hz)
        low, high = sorted((scaling.low_hz, scaling.high_hz))
        wanted = min(max(wanted, low), high)
        signal = signals.signal_for_hz(scaling, wanted)
        assert signals.reference_hz(scaling, signal) == pytest.approx(wanted, abs=1e-6)

    @law(scalings(), numbers(-5, 30))
    def test_no_signal_leaves_the_channel(self, scaling: signals.Scaling, signal: float) -> None:
        low, high = sorted((scaling.low_hz, scaling.high_hz))
        assert low - 1e-9 <= signals.reference_hz(scaling, signal) <= high + 1e-9

    @law(numbers(4, 20), hertz, hertz)
    def test_low_point_of_20_percent_makes_0_20_a_4_20_in_its_live_zone(
        self, signal: float, low_hz: float, high_hz: float
    ) -> None:
        """Same in effect there; common practice, no source."""
        trimmed = signals.Scaling(0, 20, low_hz, high_hz, low_point_pct=20)
        live = signals.Scaling(4, 20, low_hz, high_hz)
        assert signals.reference_hz(trimmed, signal) == pytest.approx(
            signals.reference_hz(live, signal), abs=1e-9
        )

    @law(numbers(0, 20), numbers(0, 20))
    def test_inverted_channel_falls_as_the_signal_rises(self, one: float, other: float) -> None:
        low, high = sorted((one, other))
        scaling = signals.Scaling(4, 20, 0, 50, inverted=True)
        assert signals.reference_hz(scaling, low) >= signals.reference_hz(scaling, high)

    @law(numbers(-50, 150), st.sampled_from(sorted(signals.SPANS)))
    def test_percent_round_trip(self, percent: float, span: str) -> None:
        low, high = signals.SPANS[span]
        signal = signals.signal_at_percent(percent, low, high)
        assert signals.percent_of_span(signal, low, high) == pytest.approx(percent, abs=1e-9)

    @law(numbers(0, 120))
    def test_loss_level_round_trip(self, percent: float) -> None:
        assert signals.loss_percent(signals.loss_level(percent, 20), 20) == pytest.approx(percent)

    @law(scalings(), numbers(0.001, 0.1), shares)
    def test_one_step_of_signal_moves_one_resolution(
        self, scaling: signals.Scaling, step: float, place: float
    ) -> None:
        bottom = signals.signal_at_percent(scaling.low_point_pct, scaling.low, scaling.high)
        top = signals.signal_at_percent(scaling.high_point_pct, scaling.low, scaling.high)
        start = bottom + place * (top - bottom - step)
        moved = signals.reference_hz(scaling, start + step) - signals.reference_hz(scaling, start)
        assert abs(moved) == pytest.approx(signals.resolution_hz(scaling, step), rel=1e-6, abs=1e-6)


class TestCableAndSupply:
    @law(numbers(0, 300), numbers(0, 300))
    def test_longer_cable_allows_no_higher_carrier(self, one: float, other: float) -> None:
        short, long = (cable.greatest_carrier_khz(m) or 0.0 for m in sorted((one, other)))
        assert long <= short

    @law(numbers(0.5, 16), numbers(0.5, 16))
    def test_higher_carrier_leaves_no_more_current(self, one: float, other: float) -> None:
        low, high = (cable.carrier_current_share(khz, 4) for khz in sorted((one, other)))
        assert 0 <= high <= low <= 1

    @law(numbers(0, 500), numbers(0.05, 2))
    def test_reflected_peak_lies_between_the_link_and_its_double(self, metres: float, rise_us: float) -> None:
        peak = cable.greatest_terminal_peak_v(566, metres, rise_us)
        assert 566 <= peak <= 2 * 566
        assert (peak == 2 * 566) == (metres >= cable.critical_length_m(rise_us))

    @law(numbers(0, 4000))
    def test_height_costs_one_percent_a_hundred_metres(self, metres: float) -> None:
        """Common practice, no source."""
        lost = 1 - cable.altitude_current_share(metres)
        assert lost == pytest.approx(max(0.0, (metres - 1000) / 100 / 100))

    @law(numbers(0.9, 1.1), numbers(0.95, 1.05))
    def test_supply_is_acceptable_only_within_ten_percent_in_all(self, volts: float, hz: float) -> None:
        """NEMA MG 1-12.44."""
        found = supply.supply_deviation(400 * volts, 50 * hz, 400, 50)
        total = 100 * (abs(volts - 1) + abs(hz - 1))
        assume(abs(total - 10) > 1e-6 and abs(abs(found.voltage_pct) - 10) > 1e-6)
        assume(abs(abs(found.frequency_pct) - 5) > 1e-6)
        assert found.acceptable == (total < 10)
