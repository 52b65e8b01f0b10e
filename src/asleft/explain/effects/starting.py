"""Starts nobody asked for, starts that come later, stops, resets and dips."""

from __future__ import annotations

import math

from asleft.explain import electric, motion
from asleft.explain.facts import Fact
from asleft.explain.scene import Scene
from asleft.explain.view import View
from asleft.vocabulary import vocabulary


def _start(scene: Scene) -> dict[str, str]:
    hz = motion.working_hz(scene.new)
    seconds = motion.start_seconds(scene.new, hz)
    return {
        "hz": scene.show(hz, "Hz"),
        "time": scene.show(seconds, "s"),
        "speed": motion.speed_words(scene.new, hz),
    }


def by_itself(scene: Scene) -> Fact | None:
    """Whether a standing contact makes the change a start by itself, and to what speed."""
    risky = scene.choices[1] in ("allow", "as_before", "resume_if_present", "continue", "level", "yes")
    if scene.key == "start_stop.run_wiring":
        risky = scene.choices[1] != "three_wire"
    level = motion.command_starts_by_level(scene.new)
    if not risky:
        return scene.words("waits_for_command") if level else None
    if not level and scene.choices[1] != "as_before":
        return scene.words("edge_still_guards")
    return scene.words("starts_by_itself", **_start(scene))


def power_up_and_level(scene: Scene) -> Fact | None:
    """What a standing contact starts, by every setting that lets it."""
    if not motion.command_starts_by_level(scene.new):
        return scene.words("nothing_by_level")
    view = scene.new
    ways = []
    if view.is_("start_stop.start_at_power_up", "allow", "as_before"):
        ways.append("power return")
    if view.is_("recovery.reset_with_run_standing", "resume_if_present"):
        ways.append("a fault reset")
    if view.is_("stations.change_restart", "resume_if_present"):
        ways.append("a change of station")
    if view.is_("protection.safe_torque_off_recovery", "resume_if_present"):
        ways.append("the release of safe torque off")
    ways.append("the return of the run enable")
    return scene.words("level_starts", ways=", ".join(ways), **_start(scene))


def people(scene: Scene) -> Fact | None:
    """A start by itself where people can reach moving parts."""
    risky = scene.choices[1] in (
        "allow",
        "as_before",
        "resume_if_present",
        "level",
        "yes",
        "on",
        "coast_and_catch",
    )
    if not risky or scene.new.slot("machine.reachable_by_people") != "yes":
        return None
    return scene.words("people_in_reach")


def start_time(scene: Scene) -> Fact | None:
    """Seconds from the command to the working point, waits and ramp together."""
    hz = motion.working_hz(scene.new)
    old, new = (motion.start_seconds(view, hz) for view in scene.sides)
    return scene.fact(old, new, unit="s", hz=scene.show(hz, "Hz"))


def start_torque(scene: Scene) -> Fact | None:
    """The start frequency against the motor's rated slip: more than a few slips is a kick of current."""
    from asleft.machine.motor import rated_slip_rpm

    speed, base = scene.new.plate("rated_speed_rpm"), scene.new.plate("rated_frequency_hz")
    slip_hz = rated_slip_rpm(speed, base) * motion.poles(scene.new) / 120
    old, new = (view.number(scene.key) / slip_hz for view in scene.sides)
    return scene.fact(old, new, unit="×", slip=scene.show(slip_hz, "Hz"))


def stop_time(scene: Scene) -> Fact | None:
    """Seconds from the working point to rest by the way of stopping set before and now."""
    hz = motion.working_hz(scene.new)
    old, new = (
        motion.stop_seconds(view, hz, choice) for view, choice in zip(scene.sides, scene.choices, strict=True)
    )
    coasts = "coast" in scene.choices
    name = "starting.stop_coasting" if coasts else "starting.stop_time"
    return scene.fact(old, new, name=name, unit="s", hz=scene.show(hz, "Hz"))


def driven_on(scene: Scene) -> Fact | None:
    """How long the motor is still driven after the enable is lost."""
    hz = motion.working_hz(scene.new)
    key = {"ramp": motion.DECEL, "quick_ramp": "ramps.quick_stop_time_s"}.get(scene.choices[1])
    if key is None:
        return scene.words("enable_cuts", hz=scene.show(hz, "Hz"), speed=motion.speed_words(scene.new, hz))
    seconds = motion.ramp_seconds(scene.new, key, hz, 0.0)
    return scene.words("enable_ramps", hz=scene.show(hz, "Hz"), time=scene.show(seconds, "s"))


def let_go(scene: Scene) -> Fact | None:
    """Speed at which the motor is let go in a stop."""
    hz = scene.new.number(scene.key)
    old, new = (_share_of_energy(view, scene.key) for view in scene.sides)
    if not hz:
        return scene.words("never_let_go")
    return scene.fact(old, new, unit="%", hz=scene.show(hz, "Hz"), speed=motion.speed_words(scene.new, hz))


def _share_of_energy(view: View, key: str) -> float:
    return (view.number(key) / motion.working_hz(view)) ** 2 * 100


def dc_time(scene: Scene) -> Fact | None:
    """The whole stop with the direct current counted."""
    if not scene.new.is_("start_stop.stop_method", "ramp_then_dc"):
        return scene.words("dc_idle")
    hz = motion.working_hz(scene.new)
    old, new = (motion.stop_seconds(view, hz) for view in scene.sides)
    return scene.fact(old, new, unit="s", hz=scene.show(hz, "Hz"))


def dc_speed(scene: Scene) -> Fact | None:
    """Shaft speed at which direct current begins."""
    if not scene.new.is_("start_stop.stop_method", "ramp_then_dc"):
        return scene.words("dc_idle")
    old, new = (motion.synchronous_rpm(view, view.number(scene.key)) for view in scene.sides)
    return scene.fact(old, new, unit="rpm")


def catching(scene: Scene) -> Fact | None:
    """How long the machine can still be turning after an output cut."""
    seconds = scene.new.machine("run_down_time_s")
    name = "no_catching" if scene.choices[1] == "off" else "catching"
    return scene.words(name, time=scene.show(seconds, "s"))


def dip(scene: Scene) -> Fact | None:
    """What is left of the speed after the longest dip, from the run-down time, taken as even."""
    run_down = scene.new.machine("run_down_time_s")
    hz = motion.working_hz(scene.new)
    old, new = (max(0.0, 1 - seconds / run_down) * 100 for seconds in scene.numbers)
    return scene.fact(old, new, unit="%", hz=scene.show(hz, "Hz"), run_down=scene.show(run_down, "s"))


def dip_start(scene: Scene) -> Fact | None:
    """What comes back by itself after a dip, and within which time."""
    if scene.choices[1] in ("off", "fault", "warning"):
        return None
    view = scene.new
    limit = view.number("supply.power_dip_max_time_s")
    hz = motion.working_hz(view)
    return scene.words(
        "dip_start", limit=scene.show(limit, "s"), hz=scene.show(hz, "Hz"), speed=motion.speed_words(view, hz)
    )


def retries(scene: Scene) -> Fact | None:
    """How long the drive goes on trying by itself before it gives up."""
    old, new = (_retry_seconds(view) for view in scene.sides)
    attempts = scene.new.number("recovery.auto_reset_attempts")
    delay = scene.new.number("recovery.auto_reset_delay_s")
    if not attempts:
        return scene.words("no_retry" if scene.key.endswith("attempts") else "no_retry_today")
    counted = f"{attempts:.0f} attempt" + ("s" if attempts != 1 else "")
    return scene.fact(old, new, unit="s", attempts=counted, delay=scene.show(delay, "s"))


def _retry_seconds(view: View) -> float:
    return view.number("recovery.auto_reset_attempts") * view.number("recovery.auto_reset_delay_s")


def retry_starts(scene: Scene) -> Fact | None:
    """Whether the retries start the motor, and after which faults."""
    view = scene.new
    attempts = view.number("recovery.auto_reset_attempts")
    if not attempts:
        return None
    if view.is_("recovery.auto_reset_restarts_motor", "no"):
        return scene.words("retry_only_resets")
    if not motion.command_starts_by_level(view):
        return scene.words("edge_still_guards")
    faults = view.values.get("recovery.auto_reset_faults", ())
    named = faults if isinstance(faults, tuple) else ()
    view.note("faults reset automatically", named, "", "setting")
    says = vocabulary()["recovery.auto_reset_faults"].choices
    names = ", ".join(says[fault].says if fault in says else fault for fault in named) or "no fault at all"
    return scene.words("retry_starts", faults=names, **_start(scene))


def endless(scene: Scene) -> Fact | None:
    """How often a fault that leaves the window free each time is reset, without end."""
    view = scene.new
    attempts, window = (
        view.number("recovery.auto_reset_attempts"),
        view.number("recovery.auto_reset_window_s"),
    )
    if not attempts:
        return scene.words("window_idle") if scene.key.endswith("window_s") else None
    per_hour = [
        3600 / side.number("recovery.auto_reset_window_s")
        if side.number("recovery.auto_reset_attempts")
        else 0.0
        for side in scene.sides
    ]
    return scene.fact(*per_hour, unit="", window=scene.show(window, "s"))


def cooled_between(scene: Scene) -> Fact | None:
    """How much of its heat the motor loses in the delay between two resets."""
    constant = electric.time_constant(scene.new)
    old, new = ((1 - math.exp(-seconds / constant)) * 100 for seconds in scene.numbers)
    return scene.fact(old, new, unit="%")
