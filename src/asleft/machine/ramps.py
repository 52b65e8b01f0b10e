"""Ramps, straight and S-shaped, exact at every instant: frequency, time, cycles, metres, turns."""

import math
from typing import NamedTuple

from asleft.machine import checks


class Ramp(NamedTuple):
    """One ramp between two frequencies of one direction of rotation.

    The rate grows evenly for `start_curve_s`, stands for `steady_s`, and fades evenly for `end_curve_s`. With
    both curves 0 it is a straight line. Build it with one of the functions below.
    """

    from_hz: float
    to_hz: float
    start_curve_s: float
    steady_s: float
    end_curve_s: float

    @property
    def duration_s(self) -> float:
        """Time from first to last frequency."""
        return self.start_curve_s + self.steady_s + self.end_curve_s

    @property
    def peak_rate_hz_per_s(self) -> float:
        """Greatest rate, negative when slowing; 0 for a ramp that goes nowhere."""
        full_rate_s = self.start_curve_s / 2 + self.steady_s + self.end_curve_s / 2
        return (self.to_hz - self.from_hz) / full_rate_s if full_rate_s else 0.0


def _one_direction(from_hz: float, to_hz: float) -> None:
    checks.finite(from_hz=from_hz, to_hz=to_hz)
    if from_hz * to_hz < 0:
        raise ValueError("a change of direction is two ramps, down to zero and up from it")


def rate_hz_per_s(ramp_time_s: float, reference_hz: float) -> float:
    """Rate of a ramp set as a time to a reference frequency, f_ref/t.

    Raises ValueError unless both are above zero. Source: common practice, no source.
    """
    checks.above_zero(ramp_time_s=ramp_time_s, ramp_reference_hz=reference_hz)
    return reference_hz / ramp_time_s


def ramp_time_s(rate_hz_per_s: float, reference_hz: float) -> float:
    """Setting that gives a rate, f_ref/rate. Raises ValueError unless both are above zero."""
    checks.above_zero(rate_hz_per_s=rate_hz_per_s, ramp_reference_hz=reference_hz)
    return reference_hz / rate_hz_per_s


def same_ramp_time_s(ramp_time_s: float, reference_hz: float, other_reference_hz: float) -> float:
    """Setting that gives the same rate on another ramp reference, t·f_other/f_ref. Raises likewise."""
    checks.above_zero(other_ramp_reference_hz=other_reference_hz)
    return other_reference_hz / rate_hz_per_s(ramp_time_s, reference_hz)


def linear_ramp(from_hz: float, to_hz: float, ramp_time_s: float, reference_hz: float) -> Ramp:
    """Straight ramp: a change of Δf takes t·|Δf|/f_ref.

    Raises ValueError for a ramp through zero, which is two ramps, or settings not above zero.
    Source: common practice, no source.
    """
    _one_direction(from_hz, to_hz)
    return Ramp(from_hz, to_hz, 0.0, abs(to_hz - from_hz) / rate_hz_per_s(ramp_time_s, reference_hz), 0.0)


def s_ramp_added(
    from_hz: float, to_hz: float, ramp_time_s: float, reference_hz: float, start_s: float, end_s: float
) -> Ramp:
    """S-curve of the mode `adds`: the full change takes T = t + (s1 + s2)/2.

    The curves are s1 and s2 seconds long at the full rate. A change too small for the full rate keeps their
    steepness and turns before reaching it: T = √(2·t·|Δf|/f_ref·(s1 + s2)).
    Raises as `linear_ramp`, and for negative curves. Source: common practice, no source; arithmetic.
    """
    checks.not_negative(s_curve_start_s=start_s, s_curve_end_s=end_s)
    straight_s = linear_ramp(from_hz, to_hz, ramp_time_s, reference_hz).duration_s
    curves_s = start_s + end_s
    if straight_s >= curves_s / 2:
        return Ramp(from_hz, to_hz, start_s, straight_s - curves_s / 2, end_s)
    peak_share = math.sqrt(2 * straight_s / curves_s)
    return Ramp(from_hz, to_hz, start_s * peak_share, 0.0, end_s * peak_share)


def s_ramp_inside(
    from_hz: float, to_hz: float, ramp_time_s: float, reference_hz: float, start_pct: float, end_pct: float
) -> Ramp:
    """S-curve of the mode `percent_inside`: the time stays that of the straight ramp, the middle is steeper.

    Each curve takes its percent of the time. Raises as `linear_ramp`, and for percents that are negative or
    together above 100. Source: common practice, no source.
    """
    checks.not_negative(s_curve_start_pct=start_pct, s_curve_end_pct=end_pct)
    checks.within(0, 100, s_curve_percents_together=start_pct + end_pct)
    total_s = linear_ramp(from_hz, to_hz, ramp_time_s, reference_hz).duration_s
    start_s, end_s = total_s * start_pct / 100, total_s * end_pct / 100
    return Ramp(from_hz, to_hz, start_s, max(0.0, total_s - start_s - end_s), end_s)


def reversal_time_s(down: Ramp, up: Ramp, dead_time_s: float = 0.0) -> float:
    """Time of a reversal: down to zero, the dead time, up the other way.

    Raises ValueError unless the first ramp ends and the second begins at zero. Source: common practice,
    no source.
    """
    checks.not_negative(dead_time_s=dead_time_s)
    if down.to_hz != 0 or up.from_hz != 0:
        raise ValueError("a reversal ramps down to zero and up from zero")
    return down.duration_s + dead_time_s + up.duration_s


def frequency_at_hz(ramp: Ramp, time_s: float) -> float:
    """Frequency a time after the start; before it the first, after the end the last. Source: arithmetic."""
    checks.finite(time_s=time_s)
    rate, left_s = ramp.peak_rate_hz_per_s, ramp.duration_s - time_s
    if time_s <= 0:
        return ramp.from_hz
    if left_s <= 0:
        return ramp.to_hz
    if time_s < ramp.start_curve_s:
        return ramp.from_hz + rate * time_s**2 / (2 * ramp.start_curve_s)
    if left_s < ramp.end_curve_s:
        return ramp.to_hz - rate * left_s**2 / (2 * ramp.end_curve_s)
    return ramp.from_hz + rate * (time_s - ramp.start_curve_s / 2)


def time_to_reach_s(ramp: Ramp, frequency_hz: float) -> float:
    """Time after the start when a frequency is first reached.

    Raises ValueError for a frequency the ramp does not pass. Source: arithmetic.
    """
    low, high = sorted((ramp.from_hz, ramp.to_hz))
    checks.within(low, high, frequency_of_this_ramp_hz=frequency_hz)
    rate = abs(ramp.peak_rate_hz_per_s)
    if frequency_hz == ramp.from_hz or not rate:
        return 0.0
    done, left = abs(frequency_hz - ramp.from_hz), abs(ramp.to_hz - frequency_hz)
    if done < rate * ramp.start_curve_s / 2:
        return math.sqrt(2 * done * ramp.start_curve_s / rate)
    if left < rate * ramp.end_curve_s / 2:
        return ramp.duration_s - math.sqrt(2 * left * ramp.end_curve_s / rate)
    return ramp.start_curve_s / 2 + done / rate


def cycles(ramp: Ramp, until_s: float | None = None) -> float:
    """Exact integral of frequency over time, in cycles (Hz·s), to the end or to a time within the ramp.

    Raises ValueError for a time outside the ramp. Source: arithmetic.
    """
    time_s = ramp.duration_s if until_s is None else until_s
    checks.within(0, ramp.duration_s, time_in_this_ramp_s=time_s)
    curve_s = min(time_s, ramp.start_curve_s)
    steady_s = min(max(time_s - ramp.start_curve_s, 0.0), ramp.steady_s)
    fade_s = min(max(time_s - ramp.start_curve_s - ramp.steady_s, 0.0), ramp.end_curve_s)
    rate = ramp.peak_rate_hz_per_s
    total = ramp.from_hz * time_s
    if curve_s:
        total += rate * curve_s**2 * (curve_s / ramp.start_curve_s) / 6
    total += rate * (ramp.start_curve_s / 2 * steady_s + steady_s**2 / 2)
    if fade_s:
        before_s = ramp.start_curve_s / 2 + ramp.steady_s
        total += rate * (before_s * fade_s + fade_s**2 / 2 - fade_s**2 * (fade_s / ramp.end_curve_s) / 6)
    return total


def machine_speed(frequency_hz: float, known_speed: float, known_frequency_hz: float) -> float:
    """Belt, bowl or machine speed at a frequency, in the unit of the known speed: v·f/f_known, no slip.

    Raises ValueError unless the known frequency is above zero. Source: arithmetic.
    """
    checks.finite(frequency_hz=frequency_hz, known_speed=known_speed)
    checks.above_zero(known_frequency_hz=known_frequency_hz)
    return known_speed * frequency_hz / known_frequency_hz


def travel_m(ramp: Ramp, known_speed_m_s: float, known_frequency_hz: float) -> float:
    """Distance a belt or trolley covers during the ramp, no slip. Raises as `machine_speed`."""
    return machine_speed(cycles(ramp), known_speed_m_s, known_frequency_hz)


def revolutions(ramp: Ramp, poles: int, gear_ratio: float = 1.0) -> float:
    """Turns of the output shaft during the ramp, 2/p·∫f dt/i, motor turns per output turn i, no slip.

    Raises ValueError for an odd pole count or a ratio not above zero. Source: arithmetic on n = 120·f/p.
    """
    checks.pole_count(poles)
    checks.above_zero(gear_ratio=gear_ratio)
    return cycles(ramp) * 2 / poles / gear_ratio
