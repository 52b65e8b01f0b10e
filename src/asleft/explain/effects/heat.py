"""Currents and heat: overload, limits, direct current, stall; always against this motor's plate."""

from __future__ import annotations

import math

from asleft.explain import electric, motion
from asleft.explain.facts import Fact
from asleft.explain.scene import Scene
from asleft.explain.view import View


def of_plate(scene: Scene) -> Fact | None:
    """A current as a share of the plate's."""
    old, new = (view.number(scene.key) / view.plate("rated_current_a") * 100 for view in scene.sides)
    plate = scene.new.plate("rated_current_a")
    return scene.fact(
        old, new, unit="%", amps=scene.show(scene.numbers[1], "A"), plate=scene.show(plate, "A")
    )


def overload_share(scene: Scene) -> Fact | None:
    """The overload current as a share of the plate's; above it the motor is guarded too late."""
    old, new = (view.number(scene.key) / view.plate("rated_current_a") * 100 for view in scene.sides)
    plate = scene.show(scene.new.plate("rated_current_a"), "A")
    amps = scene.show(scene.numbers[1], "A")
    heat = scene.show((new / 100) ** 2, "×")
    name = "heat.above_plate" if new > 100 and new > old else "heat.overload_share"
    if new == 100:
        name = "heat.as_plate"
    return scene.fact(old, new, name=name, unit="%", amps=amps, plate=plate, heat=heat)


def squared(scene: Scene) -> Fact | None:
    """Heat at the new current over heat at the old one."""
    old, new = scene.numbers
    if not old or not new:
        return None
    ratio = (new / old) ** 2
    return scene.fact(1.0, ratio, unit="×", was=scene.show(old, "A"), now=scene.show(new, "A"))


def heat_of_plate(scene: Scene) -> Fact | None:
    """Heat a lasting current at the setting makes over the heat the plate allows."""
    from asleft.machine.overload import relative_heating

    plate = scene.new.plate("rated_current_a")
    old, new = (relative_heating(amps, plate) for amps in scene.numbers)
    return scene.fact(old, new, unit="×", plate=scene.show(plate, "A"))


def trip_level(scene: Scene) -> Fact | None:
    """The lasting current that never trips, in amps and of the plate."""
    old, new = (view.number("protection.overload_current_a") * electric.pickup(view) for view in scene.sides)
    plate = scene.new.plate("rated_current_a")
    share = scene.show(new / plate * 100, "%")
    return scene.fact(old, new, unit="A", share=share, plate=scene.show(plate, "A"))


def trip_time(scene: Scene) -> Fact | None:
    """Seconds to the trip at 150 % of the plate, warm, before and after."""
    amps = 1.5 * scene.new.plate("rated_current_a")
    old, new = (electric.trip_seconds(view, amps, warm=True) for view in scene.sides)
    return _trip(scene, old, new, amps)


def _trip(scene: Scene, old: float, new: float, amps: float) -> Fact | None:
    shown = scene.show(amps, "A")
    if math.isinf(new):
        return scene.words("trip_never", amps=shown)
    if math.isinf(old):
        return scene.words("trip_again", amps=shown, new=scene.show(new, "s"))
    return scene.fact(old, new, name="heat.trip_time", unit="s", amps=shown)


def trip_lost(scene: Scene) -> Fact | None:
    """What the overload reaction is worth: the trip that now comes or no longer comes."""
    amps = 1.5 * scene.new.plate("rated_current_a")
    seconds = electric.trip_seconds(scene.new, amps, warm=True)
    lost = scene.choices[1] != "fault"
    if math.isinf(seconds):
        return scene.words("trip_never", amps=scene.show(amps, "A"))
    if lost == (scene.choices[0] != "fault"):
        return None
    name = "trip_lost" if lost else "trip_back"
    return scene.words(name, amps=scene.show(amps, "A"), time=scene.show(seconds, "s"))


def cold_again(scene: Scene) -> Fact | None:
    """What forgetting the heat at power-off gives away: the time to trip from warm against from cold."""
    amps = 1.5 * scene.new.plate("rated_current_a")
    warm, cold = (electric.trip_seconds(scene.new, amps, warm=state) for state in (True, False))
    if math.isinf(cold):
        return scene.words("trip_never", amps=scene.show(amps, "A"))
    name = "heat_forgotten" if scene.choices[1] == "cleared_at_power_off" else "heat_kept"
    return scene.words(
        name, amps=scene.show(amps, "A"), warm=scene.show(warm, "s"), cold=scene.show(cold, "s")
    )


def derated(scene: Scene) -> Fact | None:
    """What the motor's cooling bears at the minimum, which the drive now heeds or does not."""
    hz = motion.least(scene.new)
    share = electric.low_speed_torque(scene.new, hz) * 100
    name = "derating_off" if scene.choices[1] == "off" else "derating_on"
    if share >= 100:
        name = "derating_idle"
    return scene.words(name, hz=scene.show(hz, "Hz"), share=scene.show(share, "%"))


def torque(scene: Scene) -> Fact | None:
    """A current as torque at full flux, of rated."""
    old, new = (electric.torque_for(view, view.number(scene.key)) * 100 for view in scene.sides)
    return scene.fact(old, new, unit="%")


def of_drive(scene: Scene) -> Fact | None:
    """A current as a share of the unit's own."""
    old, new = (view.number(scene.key) / electric.drive_current(view) * 100 for view in scene.sides)
    drive = scene.show(electric.drive_current(scene.new), "A")
    return scene.fact(old, new, unit="%", drive=drive)


def drive_for_motor(scene: Scene) -> Fact | None:
    """What the unit carries at a duty, against the motor."""
    motor = scene.new.plate("rated_current_a")
    old, new = (electric.drive_current(view) for view in scene.sides)
    name = "heat.drive_for_motor" if new >= motor else "heat.drive_too_small"
    return scene.fact(old, new, name=name, unit="A", motor=scene.show(motor, "A"))


def unit_current(scene: Scene) -> Fact | None:
    """The motor as a share of the unit."""
    motor = scene.new.plate("rated_current_a")
    old, new = (motor / amps * 100 for amps in scene.numbers)
    return scene.fact(old, new, unit="%", motor=scene.show(motor, "A"))


def unit_power(scene: Scene) -> Fact | None:
    """The motor's power as a share of the unit's."""
    motor = scene.new.plate("rated_power_kw")
    old, new = (motor / power * 100 for power in scene.numbers)
    return scene.fact(old, new, unit="%", motor=scene.show(motor, "kW"))


def above_limit(scene: Scene) -> Fact | None:
    """A stall current the current limit never lets through."""
    view = scene.new
    stall, limit = view.number("protection.stall_current_a"), view.number("control.current_limit_a")
    plate = view.plate("rated_current_a")
    name = "stall_unreachable" if stall >= limit else "stall_reachable"
    shown = {"stall": stall, "limit": limit, "plate": plate}
    return scene.words(name, **{key: scene.show(amps, "A") for key, amps in shown.items()})


def stall_against_start(scene: Scene) -> Fact | None:
    """Time a start spends below the stall frequency, against the stall time."""
    hertz = [view.number("protection.stall_frequency_hz") for view in scene.sides]
    below = [
        motion.ramp_seconds(view, motion.ACCEL, 0.0, hz) for view, hz in zip(scene.sides, hertz, strict=True)
    ]
    time = scene.new.number("protection.stall_time_s")
    name = "start_within_stall" if below[1] < time else "start_past_stall"
    return scene.words(
        name, hz=scene.show(hertz[1], "Hz"), below=scene.show(below[1], "s"), time=scene.show(time, "s")
    )


def stall_heat(scene: Scene) -> Fact | None:
    """Heat of a stalled motor at the current limit until the reaction, as share of the overload's trip."""
    from asleft.machine.overload import heat_after, heat_at_balance

    view = scene.new
    load = view.number("control.current_limit_a") / view.number("protection.overload_current_a")
    constant, pickup = electric.time_constant(view), electric.pickup(view)
    warm = heat_at_balance(electric.warm_load(scene.new), pickup)
    if load <= pickup:
        return scene.words("stall_cold", limit=scene.show(view.number("control.current_limit_a"), "A"))
    old, new = (
        heat_after(warm, load, side.number("protection.stall_time_s"), constant, pickup) * 100
        for side in scene.sides
    )
    return scene.fact(old, new, unit="%", limit=scene.show(view.number("control.current_limit_a"), "A"))


def underload_level(scene: Scene) -> Fact | None:
    """The underload level in N·m or amps, against the load at the working point where it is recorded."""
    view = scene.new
    if view.is_("protection.underload_quantity", "current"):
        old, new = (side.number(scene.key) / 100 * side.plate("rated_current_a") for side in scene.sides)
        return scene.fact(old, new, unit="A")
    if view.is_("protection.underload_quantity", "power"):
        old, new = (side.number(scene.key) / 100 * side.plate("rated_power_kw") for side in scene.sides)
        return scene.fact(old, new, unit="kW")
    old, new = (side.number(scene.key) / 100 * electric.rated_torque(side) for side in scene.sides)
    return scene.fact(old, new, unit="N·m")


def underload_at_minimum(scene: Scene) -> Fact | None:
    """A fan's healthy torque at its minimum against the underload level."""
    view = scene.new
    if electric.load_exponent(view)[0] != "square":
        return None
    hz, level = motion.least(view), view.number("protection.underload_level_pct")
    healthy = electric.torque_share_at(view, hz) * 100
    name = "underload_false" if level >= healthy else "underload_clear"
    return scene.words(
        name, hz=scene.show(hz, "Hz"), healthy=scene.show(healthy, "%"), level=scene.show(level, "%")
    )


def current_threshold(scene: Scene) -> Fact | None:
    """A current level against the plate and, where known, the working current."""
    working = electric.working_current(scene.new)
    old, new = scene.numbers
    if (old < working) == (new < working):
        return None
    name = "threshold_above_working" if new >= working else "threshold_below_working"
    return scene.words(name, working=scene.show(working, "A"), level=scene.show(new, "A"))


def standstill_power(scene: Scene) -> Fact | None:
    """Heat in the winding at rest of the heat at rated current, by the square."""
    old, new = ((view.number(scene.key) / view.plate("rated_current_a")) ** 2 * 100 for view in scene.sides)
    return scene.fact(old, new, unit="%")


def dc_heat(scene: Scene) -> Fact | None:
    """Heat of one stop's direct current, as seconds at rated current."""
    old, new = (_dc_seconds(view) for view in scene.sides)
    if not scene.new.is_("start_stop.stop_method", "ramp_then_dc"):
        return None
    return scene.fact(old, new, unit="s")


def _dc_seconds(view: View) -> float:
    amps, time = (
        view.number("start_stop.dc_brake_current_a"),
        view.number("start_stop.dc_brake_time_at_stop_s"),
    )
    return (amps / view.plate("rated_current_a")) ** 2 * time


_LATE_PCT = 125
"""Most trip level in percent of the plate that any motor bears: NEC 430.32."""


def sensor_left(scene: Scene) -> Fact | None:
    """Whether the overload model still guards the winding without its sensor."""
    view = scene.new
    amps = view.number("protection.overload_current_a") * electric.pickup(view)
    still = view.choice("protection.overload_reaction") == "fault"
    share = amps / view.plate("rated_current_a") * 100
    name = "model_still_guards" if still else "nothing_guards"
    if still and share > _LATE_PCT:
        name = "model_guards_late"
    if scene.choices[1] in ("fault", "ptc", "rtd", "contact"):
        name = "sensor_and_model" if still else "sensor_alone"
    return scene.words(name, amps=scene.show(amps, "A"), share=scene.show(share, "%"))
