"""The output frequency between two events: closed forms, exact in fractions.

Only where an S-curve is crossed part of the way is a time found from a square root, to a part in 10^12.
"""

from __future__ import annotations

from fractions import Fraction
from math import sqrt

from asleft.behaviour.config import DriveConfig
from asleft.behaviour.state import LIFT, QUICK, RUN, STOP, ZERO, State

MOVING = frozenset({RUN, STOP, QUICK, LIFT})
GRAIN = 10**12


def rate_of(c: DriveConfig, s: State) -> Fraction | None:
    """The rate of the present ramp in Hz/s; None where it goes at once."""
    r = c.ramps
    if s.phase == QUICK:
        return r.quick
    if s.jogging:
        return r.jog
    rates = r.up if speeds_up(s) else r.down
    rate = rates[_ramp_set(c, s)]
    if s.ud_move and c.stations.reference[s.station] == "up_down":
        return c.reference.up_down_rate if rate is None else min(rate, c.reference.up_down_rate)
    return rate


def _ramp_set(c: DriveConfig, s: State) -> int:
    if c.ramps.select == "by_input":
        return int(s.set_two)
    if c.ramps.select == "above_switch_frequency":
        above = abs(s.f) > c.ramps.switch or (abs(s.f) == c.ramps.switch and speeds_up(s))
        return int(above)
    return 0


def speeds_up(s: State) -> bool:
    """Whether the present ramp goes away from zero."""
    if not s.f:
        return bool(s.aim)
    return s.aim > s.f if s.f > 0 else s.aim < s.f


def _end(s: State) -> Fraction:
    """Where the present ramp ends: at zero first, when the direction changes."""
    return ZERO if s.f and s.aim and (s.f > 0) != (s.aim > 0) else s.aim


def _marks(c: DriveConfig, s: State) -> list[Fraction]:
    """Speeds at which something happens on the way."""
    marks = []
    if c.outputs.threshold_used:
        marks = [c.outputs.threshold_hz, c.outputs.threshold_hz - c.outputs.threshold_gap]
    if c.outputs.running_means == "above_minimum":
        marks.append(c.limits.minimum)
    if c.ramps.select == "above_switch_frequency":
        marks.append(c.ramps.switch)
    if s.phase in (STOP, QUICK):
        marks.append(c.stop.coast_below)
        if c.stop.method == "ramp_then_dc":
            marks.append(c.stop.dc_below)
        if c.brake.on:
            marks.append(c.brake.apply_hz)
    return [m for m in marks if m > 0]


def next_stage(c: DriveConfig, s: State) -> Fraction | None:
    """The next speed of note on the present ramp; None where nothing moves."""
    if s.phase not in MOVING or s.f == s.aim:
        return None
    end = _end(s)
    marks = _marks(c, s)
    if not marks:
        return end
    way = 1 if end > s.f else -1
    sign = 1 if (s.f or s.aim) > 0 else -1
    nearest = end
    for mark in marks:
        at = mark * sign
        if (at - s.f) * way > 0 and (nearest - at) * way > 0:
            nearest = at
    return nearest


def time_to(c: DriveConfig, s: State, goal: Fraction) -> Fraction:
    """Seconds to the next speed of note."""
    rate = rate_of(c, s)
    if rate is None:
        return ZERO
    curve = _curve(c, s, rate)
    if curve is None:
        return abs(goal - s.f) / rate
    total = curve[0]
    if goal == _end(s):
        return total - s.s_time
    started = s.f if s.s_from is None else s.s_from
    return max(_crossing(curve, abs(goal - started)) - s.s_time, Fraction(1, GRAIN))


def move(c: DriveConfig, s: State, seconds: Fraction) -> None:
    """Lets time pass; never beyond the end of the ramp."""
    _move_up_down(c, s, seconds)
    if s.phase not in MOVING or s.f == s.aim:
        return
    rate = rate_of(c, s)
    end = _end(s)
    if rate is None:
        s.f = end
        return
    way = 1 if end > s.f else -1
    curve = _curve(c, s, rate)
    if curve is None:
        s.f += way * min(rate * seconds, abs(end - s.f))
        return
    if s.s_from is None:
        s.s_from, s.s_aim, s.s_time = s.f, end, ZERO
    s.s_time += seconds
    s.f = s.s_from + way * curve_position(curve, s.s_time) if s.s_time < curve[0] else end
    if s.f == end:
        s.s_from = s.s_aim = None
        s.s_time = ZERO


def _move_up_down(c: DriveConfig, s: State, seconds: Fraction) -> None:
    if s.ud_move:
        left = up_down_left(c, s)
        s.ud_hz += s.ud_move * c.reference.up_down_rate * min(seconds, left)


def up_down_left(c: DriveConfig, s: State) -> Fraction:
    """Seconds until the raised or lowered speed meets a limit."""
    end = c.limits.maximum if s.ud_move > 0 else c.limits.minimum
    return max((end - s.ud_hz) * s.ud_move / c.reference.up_down_rate, ZERO)


Curve = tuple[Fraction, Fraction, Fraction, Fraction]
"""An S-curve: total time, rounding at the start, rounding at the end (s), peak rate (Hz/s)."""


def s_curve(
    distance: Fraction, rate: Fraction, s: tuple[Fraction, Fraction], inside: Fraction | None
) -> Curve:
    """The S-curve over a distance in Hz.

    ``s``: rounding times. Adds to the ramp, T = t + (s1 + s2)/2; where the distance is too short for the
    full rate the roundings stay and the peak falls. With ``inside`` (the ramp's reference frequency) the
    roundings are that share of the ramp time and the time stays as set.
    """
    plain = distance / rate
    if inside is not None:
        share = distance / inside
        first, last = s[0] * share, s[1] * share
        if first + last > plain:
            first, last = first * plain / (first + last), last * plain / (first + last)
        return plain, first, last, distance / (plain - (first + last) / 2)
    total = max(plain + (s[0] + s[1]) / 2, s[0] + s[1])
    return total, s[0], s[1], distance / (total - (s[0] + s[1]) / 2)


def curve_position(curve: Curve, t: Fraction) -> Fraction:
    """Distance covered after t seconds of an S-curve, in Hz."""
    total, first, last, peak = curve
    if t < first:
        return peak * t * t / (2 * first)
    if t <= total - last:
        return peak * (t - first / 2)
    rest = total - t
    whole = peak * (total - (first + last) / 2)
    return whole - (peak * rest * rest / (2 * last) if last else ZERO)


def _crossing(curve: Curve, distance: Fraction) -> Fraction:
    total, first, last, peak = curve
    whole = peak * (total - (first + last) / 2)
    if distance < peak * first / 2:
        return _root(2 * first * distance / peak)
    if distance <= whole - peak * last / 2:
        return distance / peak + first / 2
    return total - _root(2 * last * (whole - distance) / peak)


def _root(value: Fraction) -> Fraction:
    return Fraction(sqrt(value)).limit_denominator(GRAIN)


def _curve(c: DriveConfig, s: State, rate: Fraction) -> Curve | None:
    if s.phase == QUICK or s.jogging:
        return None
    roundings = c.ramps.s_up if speeds_up(s) else c.ramps.s_down
    if not any(roundings):
        return None
    end = _end(s)
    if s.s_from is None or s.s_aim != end:
        s.s_from, s.s_aim, s.s_time = s.f, end, ZERO
    return s_curve(abs(end - s.s_from), rate, roundings, c.ramps.reference if c.ramps.s_inside else None)
