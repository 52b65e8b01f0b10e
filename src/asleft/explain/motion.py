"""Speeds, usual points and ramps of one set in its slot."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.explain.facts import Lacking
from asleft.explain.figures import digits_allowed, figure
from asleft.explain.view import View

if TYPE_CHECKING:
    from asleft.machine.ramps import Ramp

ACCEL, DECEL = "ramps.accel_time_1_s", "ramps.decel_time_1_s"
PRESETS = tuple(f"presets.preset_{n}_hz" for n in range(1, 8))


def working_hz(view: View) -> float:
    """The frequency it usually runs at: as recorded, else its remote preset, else the maximum."""
    if view.asset is not None and "working_frequency_hz" in view.asset.machine:
        return view.machine("working_frequency_hz")
    if view.is_("stations.remote_reference_source", "preset") and view.has(PRESETS[0]):
        return view.number(PRESETS[0])
    if view.has("limits.frequency_max_hz"):
        return view.number("limits.frequency_max_hz")
    return view.plate("rated_frequency_hz")


def has_working_point(view: View) -> bool:
    """Whether the working point is recorded, or fixed by the preset it runs at."""
    recorded = view.asset is not None and "working_frequency_hz" in view.asset.machine
    preset = view.is_("stations.remote_reference_source", "preset") and view.has(PRESETS[0])
    return recorded or preset


def rpm(view: View, hz: float, load: float = 1.0) -> float:
    """Shaft speed at a frequency, at full load unless said otherwise, by the motor's plate."""
    from asleft.machine.motor import shaft_speed_rpm

    if hz == 0:
        return 0.0
    return shaft_speed_rpm(hz, view.plate("rated_speed_rpm"), view.plate("rated_frequency_hz"), load)


def poles(view: View) -> int:
    """Pole count by the motor's plate."""
    from asleft.machine.motor import poles_from_plate

    return poles_from_plate(view.plate("rated_speed_rpm"), view.plate("rated_frequency_hz"))


def synchronous_rpm(view: View, hz: float) -> float:
    """Speed of the field at a frequency."""
    from asleft.machine.motor import synchronous_speed_rpm

    return synchronous_speed_rpm(hz, poles(view))


def has_machine_speed(view: View) -> bool:
    """Whether what a hertz means at the machine is recorded."""
    asset = view.asset
    return asset is not None and {"machine_speed", "machine_speed_at_hz"} <= asset.machine.keys()


def machine_speed(view: View, hz: float) -> tuple[float, str]:
    """Speed of the machine and its unit."""
    from asleft.machine.ramps import machine_speed as speed

    known, at = view.machine("machine_speed"), view.machine("machine_speed_at_hz")
    return speed(hz, known, at), view.word_or("machine.machine_speed_unit", "")


def speed_words(view: View, hz: float) -> str:
    """A frequency as speed: at the machine where that is recorded, else at the motor's shaft."""
    if has_machine_speed(view):
        speed, unit = machine_speed(view, hz)
        return figure(speed, unit, digits_allowed(view.used))
    return figure(rpm(view, hz), "rpm", 4)


def ramp_seconds(view: View, key: str, from_hz: float, to_hz: float) -> float:
    """Seconds between two frequencies on the ramp of a time setting, roundings counted."""
    return _ramp(view, key, from_hz, to_hz).duration_s


def ramp_cycles(view: View, key: str, from_hz: float, to_hz: float) -> float:
    """Hz·s between two frequencies on a ramp."""
    from asleft.machine.ramps import cycles

    return cycles(_ramp(view, key, from_hz, to_hz))


def _ramp(view: View, key: str, from_hz: float, to_hz: float) -> Ramp:
    from asleft.machine.ramps import linear_ramp, s_ramp_added

    time, reference = view.number(key), view.ramp_reference()
    curves = [0.0, 0.0]
    way = "accel" if "accel" in key else "decel"
    if view.option("s_mode", "adds") == "adds" and "_time_" in key and "jog" not in key:
        names = [f"ramps.s_curve_{way}_{end}_s" for end in ("start", "end")]
        curves = [view.number_or(name, 0.0) if _stands(view, name) else 0.0 for name in names]
    if any(curves):
        return s_ramp_added(from_hz, to_hz, time, reference, *curves)
    return linear_ramp(from_hz, to_hz, time, reference)


def _stands(view: View, key: str) -> bool:
    return bool(view.values.get(key))


def rate(view: View, key: str) -> float:
    """Hz/s of a ramp setting."""
    from asleft.machine.ramps import rate_hz_per_s

    return rate_hz_per_s(view.number(key), view.ramp_reference())


def start_seconds(view: View, hz: float) -> float:
    """From the command to a frequency: delay, direct current, hold and ramp."""
    waits = ("start_stop.start_delay_s", "start_stop.start_frequency_hold_s")
    total = sum(view.number_or(key, 0.0) for key in waits if _stands(view, key))
    if _stands(view, "start_stop.dc_brake_time_at_start_s"):
        total += view.number("start_stop.dc_brake_time_at_start_s")
    return total + ramp_seconds(view, ACCEL, 0.0, hz)


def stop_seconds(view: View, hz: float, method: str = "") -> float:
    """From a frequency to rest by the stop method that is set, or by one named."""
    method = method or view.choice("start_stop.stop_method")
    if method == "coast":
        return view.machine("run_down_time_s")
    if method == "quick_ramp":
        return ramp_seconds(view, "ramps.quick_stop_time_s", hz, 0.0)
    total = ramp_seconds(view, DECEL, hz, 0.0)
    if method == "ramp_then_dc":
        total += view.number_or("start_stop.dc_brake_time_at_stop_s", 0.0)
    return total


def run_on(view: View, key: str, hz: float) -> tuple[float, str]:
    """How far the machine goes while it ramps to rest: metres, where its speed is in m/s."""
    return _distance(view, ramp_cycles(view, key, hz, 0.0))


def way(view: View, key: str, from_hz: float, to_hz: float) -> tuple[float, str]:
    """How far the machine goes on a ramp between two frequencies."""
    return _distance(view, ramp_cycles(view, key, from_hz, to_hz))


def distance(view: View, hz: float, seconds: float) -> tuple[float, str]:
    """How far the machine goes in a time at one frequency."""
    return _distance(view, hz * seconds)


def _distance(view: View, hz_seconds: float) -> tuple[float, str]:
    if has_machine_speed(view) and view.word_or("machine.machine_speed_unit", "") == "m/s":
        return machine_speed(view, 1.0)[0] * hz_seconds, "m"
    raise Lacking("what a hertz means in m/s at the machine is not recorded")


def least(view: View) -> float:
    """Minimum frequency."""
    return view.number("limits.frequency_min_hz")


def most(view: View) -> float:
    """Maximum frequency."""
    return view.number("limits.frequency_max_hz")


def skip_bands(view: View) -> list[tuple[int, float, float]]:
    """Skip bands in force: number, low and high edge."""
    found = []
    for number in (1, 2, 3):
        low, high = (f"skip_bands.band_{number}.{end}_hz" for end in ("low", "high"))
        if _stands(view, high) and view.has(low):
            edges = view.number(low), view.number(high)
            if edges[0] < edges[1]:
                found.append((number, *edges))
    return found


def held_hz(view: View, hz: float, preset: bool = False) -> float:
    """What a wanted frequency becomes by minimum and maximum; 0 where the drive rests below its minimum."""
    low, high = least(view), most(view)
    free = preset and view.option("clamp_scope", "not_jog") in ("not_jog_or_presets", "own_reference_only")
    if hz >= low or free:
        return min(hz, high)
    return 0.0 if rests_below_minimum(view) else min(low, high)


def rests_below_minimum(view: View) -> bool:
    """Whether a reference below the minimum leaves the motor at rest."""
    key = "limits.frequency_min_behaviour"
    way = view.choice(key) if view.has(key) else view.option("below_min", "clamp")
    return way != "clamp"


def command_starts_by_level(view: View) -> bool:
    """Whether a standing contact alone is a start."""
    wiring, trigger = view.choice("start_stop.run_wiring"), view.choice("start_stop.start_trigger")
    return wiring != "three_wire" and trigger == "level"


def band_around(view: View, hz: float) -> int:
    """The number of the skip band a frequency lies inside of, or 0."""
    return next((number for number, low, high in skip_bands(view) if low < hz < high), 0)
