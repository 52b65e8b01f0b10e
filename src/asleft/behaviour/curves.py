"""What needs no search: analog characteristics over the whole span, and durations, side by side."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Final

from asleft.behaviour.config import DriveConfig
from asleft.behaviour.events import source_names
from asleft.behaviour.levels import break_points
from asleft.behaviour.motion import s_curve
from asleft.behaviour.reference import limited
from asleft.behaviour.state import ZERO

Knot = tuple[Fraction, Fraction, Fraction]
"""Signal in mA or V, frequency of the first and of the second drive in Hz."""


@dataclass(frozen=True, slots=True)
class Characteristic:
    """One analog input through limits (skip bands apart), both drives: straight between the knots.

    ``worst``: the signal with the largest difference. Two knots at one signal are a jump.
    """

    number: int
    unit: str
    knots: tuple[Knot, ...]
    worst: Knot

    @property
    def largest(self) -> Fraction:
        """The largest difference in Hz."""
        return abs(self.worst[1] - self.worst[2])


def speed_at(c: DriveConfig, number: int, signal: Fraction) -> Fraction:
    """The speed a signal asks for, after minimum, maximum and ceiling; 0 where it stops or is no input."""
    channel = c.reference.channels.get(number)
    asked = None if channel is None else limited(c.limits, channel.hertz(signal), "own")
    return ZERO if asked is None else asked


def characteristics(a: DriveConfig, b: DriveConfig) -> tuple[Characteristic, ...]:
    """The analog inputs that both drives use as reference, compared exactly."""
    found = []
    for number in (1, 2):
        both = [c for c in (a, b) if number in c.reference.channels and f"analog_{number}" in source_names(c)]
        if len(both) == 2 and a.reference.channels[number].unit == b.reference.channels[number].unit:
            found.append(_characteristic(a, b, number))
    return tuple(found)


def _characteristic(a: DriveConfig, b: DriveConfig, number: int) -> Characteristic:
    points = sorted(break_points(a, number) | break_points(b, number) | {ZERO})
    knots: list[Knot] = []
    for low, high in pairwise(points):
        knots += [_towards(a, b, number, low, high), _towards(a, b, number, high, low)]
    unit = a.reference.channels[number].unit
    worst = max(knots, key=lambda k: (abs(k[1] - k[2]), -k[0]))
    return Characteristic(number, unit, tuple(dict.fromkeys(knots)), worst)


def _towards(a: DriveConfig, b: DriveConfig, number: int, end: Fraction, other: Fraction) -> Knot:
    """The limit of both drives at one end of a straight stretch, from inside it."""
    near, far = (2 * end + other) / 3, (end + 2 * other) / 3
    values = [2 * speed_at(c, number, near) - speed_at(c, number, far) for c in (a, b)]
    return end, values[0], values[1]


@dataclass(frozen=True, slots=True)
class Duration:
    """One time of two drives, in s; None: there is none, or no limit. ``shape``: equal times, other curve."""

    name: str
    before: Fraction | None
    after: Fraction | None
    shape: bool = False


Timed = Callable[[DriveConfig], Fraction | None]

TIMES: Final[dict[str, Timed]] = {
    "start delay": lambda c: c.stop.start_delay,
    "restart lockout": lambda c: c.stop.lockout,
    "pause at zero in a reversal": lambda c: c.ramps.dead_time,
    "time before an external fault counts after a start": lambda c: (
        c.faults.external_delay if c.faults.external_watched == "after_start_delay" else ZERO
    ),
    "wait before an automatic reset": lambda c: c.faults.delay if c.faults.attempts else None,
    "time after which automatic resets are forgiven": lambda c: (
        c.faults.window if c.faults.attempts else None
    ),
    "bus silence before the drive acts": lambda c: c.loss.bus_delay,
    "longest dip ridden through": lambda c: c.power.dip_longest if c.power.dip != "off" else ZERO,
    "delay before sleep": lambda c: c.sleep.sleep_delay if c.sleep.sleep else None,
    "delay before waking": lambda c: c.sleep.wake_delay if c.sleep.sleep else None,
    "brake opening time": lambda c: c.brake.release_delay if c.brake.on else None,
    "torque held while the brake closes": lambda c: c.brake.apply_delay if c.brake.on else None,
    "DC at the end of a stop": lambda c: (
        (c.stop.dc_time or None) if c.stop.method == "ramp_then_dc" else None
    ),
    "DC before a start": lambda c: c.stop.dc_first,
    "input filter": lambda c: c.filter_s,
}
"""Times that are settings of their own."""


def durations(a: DriveConfig, b: DriveConfig) -> tuple[Duration, ...]:
    """Every time in which two drives differ: ramps to the lower maximum by their curves, then the delays."""
    rows = _ramp_rows(a, b) + [Duration(name, timed(a), timed(b)) for name, timed in TIMES.items()]
    for name in a.outputs.relays.keys() & b.outputs.relays.keys():
        old, new = a.outputs.relays[name], b.outputs.relays[name]
        words = f"{name.replace('_', ' ')} ({new.function.replace('_', ' ')})"
        rows.append(Duration(f"delay before {words} acts", old.on_delay, new.on_delay))
        rows.append(Duration(f"delay before {words} releases", old.off_delay, new.off_delay))
    for number in a.reference.channels.keys() & b.reference.channels.keys():
        first, second = a.reference.channels[number], b.reference.channels[number]
        rows.append(
            Duration(f"time before analog {number} counts as lost", first.loss_delay, second.loss_delay)
        )
    return tuple(sorted((r for r in rows if r.before != r.after or r.shape), key=lambda r: r.name))


def _ramp_rows(a: DriveConfig, b: DriveConfig) -> list[Duration]:
    top = min(a.limits.maximum, b.limits.maximum)
    span = f"0 to {float(top):g} Hz"
    rows = []
    for name, kind, index in (
        (f"acceleration {span}", "up", 0),
        (f"deceleration {span}", "down", 0),
        (f"acceleration {span}, ramp set 2", "up", 1),
        (f"deceleration {span}, ramp set 2", "down", 1),
        (f"quick stop from {float(top):g} Hz", "quick", 0),
    ):
        curves = [ramp_curve(c, kind, index, top) for c in (a, b)]
        if index == 0 or any(c.ramps.select != "set_1" for c in (a, b)):
            rows.append(
                Duration(
                    name, curves[0][0], curves[1][0], curves[0][0] == curves[1][0] and curves[0] != curves[1]
                )
            )
    return rows


def ramp_curve(c: DriveConfig, kind: str, index: int, distance: Fraction) -> tuple[Fraction, ...]:
    """Total time, both roundings (s) and peak rate (Hz/s) of a ramp over a distance; zeros where at once."""
    r = c.ramps
    rate = r.quick if kind == "quick" else (r.up if kind == "up" else r.down)[index]
    if rate is None or not distance:
        return ZERO, ZERO, ZERO, ZERO
    roundings = (ZERO, ZERO) if kind == "quick" else r.s_up if kind == "up" else r.s_down
    return s_curve(distance, rate, roundings, r.reference if r.s_inside else None)
