"""Losses between the supply and the shaft."""

import bisect

from asleft.machine import checks
from asleft.machine.motor import KW_PER_HP

_LOADS = (0.016, 0.125, 0.25, 0.42, 0.5, 0.75, 1.0)
_DRIVE_EFFICIENCY = (
    (3.0, (0.31, 0.77, 0.86, 0.90, 0.91, 0.93, 0.94)),
    (5.0, (0.35, 0.80, 0.88, 0.91, 0.92, 0.94, 0.95)),
    (10.0, (0.41, 0.83, 0.90, 0.93, 0.94, 0.95, 0.96)),
    (20.0, (0.47, 0.86, 0.93, 0.94, 0.95, 0.96, 0.97)),
    (30.0, (0.50, 0.88, 0.93, 0.95, 0.95, 0.96, 0.97)),
    (50.0, (0.46, 0.86, 0.92, 0.95, 0.95, 0.96, 0.97)),
    (60.0, (0.51, 0.87, 0.92, 0.95, 0.95, 0.96, 0.97)),
    (75.0, (0.47, 0.86, 0.93, 0.95, 0.96, 0.97, 0.97)),
    (100.0, (0.55, 0.89, 0.94, 0.95, 0.96, 0.97, 0.97)),
    (200.0, (0.61, 0.91, 0.95, 0.96, 0.96, 0.97, 0.97)),
    (400.0, (0.61, 0.91, 0.95, 0.96, 0.96, 0.97, 0.97)),
)


def drive_efficiency(rated_power_kw: float, load_share: float) -> float:
    """Efficiency of a PWM drive of a size at a share of its load, straight between the table's points.

    Below 3 hp, above 400 hp and below 1.6 % load the nearest point stands. Generic, no promise of one unit.
    Raises ValueError unless the power is above zero and the share 0…1. Source: PyPI `fluids` (DOE table).
    """
    checks.above_zero(rated_power_kw=rated_power_kw)
    checks.within(0, 1, load_share=load_share)
    sizes = [row[0] for row in _DRIVE_EFFICIENCY]
    left, share = _place(sizes, rated_power_kw / KW_PER_HP)
    at, load = _place(_LOADS, load_share)
    smaller, larger = _DRIVE_EFFICIENCY[left][1], _DRIVE_EFFICIENCY[left + 1][1]
    low = _between(smaller[at], larger[at], share)
    return _between(low, _between(smaller[at + 1], larger[at + 1], share), load)


def supply_power_kw(shaft_power_kw: float, motor_efficiency: float, drive_efficiency: float) -> float:
    """Power from the supply, P/(η_motor·η_drive).

    Raises ValueError for a negative power or an efficiency outside 0.01…1. Source: arithmetic.
    """
    checks.not_negative(shaft_power_kw=shaft_power_kw)
    checks.within(0.01, 1, motor_efficiency=motor_efficiency, drive_efficiency=drive_efficiency)
    return shaft_power_kw / (motor_efficiency * drive_efficiency)


def _place(points: list[float] | tuple[float, ...], value: float) -> tuple[int, float]:
    """The interval a value falls in, and its share of it, held inside the points."""
    held = min(max(value, points[0]), points[-1])
    left = max(1, bisect.bisect_left(points, held)) - 1
    return left, (held - points[left]) / (points[left + 1] - points[left])


def _between(low: float, high: float, share: float) -> float:
    return low + (high - low) * share
