"""What ramp settings do: times between the usual points, steepness, torque, run-on."""

from __future__ import annotations

from asleft.explain import electric, motion
from asleft.explain.facts import Fact
from asleft.explain.scene import Scene
from asleft.explain.view import View


def _key(scene: Scene, way: str) -> str:
    own = {"accel": motion.ACCEL, "decel": motion.DECEL}[way]
    return scene.key if "_time_" in scene.key else own


def to_speed(scene: Scene) -> Fact | None:
    """Seconds from rest to the working point."""
    target, key = motion.working_hz(scene.new), _key(scene, "accel")
    old, new = (motion.ramp_seconds(view, key, 0.0, target) for view in scene.sides)
    return scene.fact(old, new, hz=scene.show(target, "Hz"), why=_why_same(scene, key))


def to_rest(scene: Scene) -> Fact | None:
    """Seconds from the working point to rest."""
    target, key = motion.working_hz(scene.new), _key(scene, "decel")
    old, new = (motion.ramp_seconds(view, key, target, 0.0) for view in scene.sides)
    return scene.fact(old, new, hz=scene.show(target, "Hz"), why=_why_same(scene, key))


def _why_same(scene: Scene, key: str) -> str:
    moved = scene.old.ramp_reference() != scene.new.ramp_reference()
    turned = scene.old.number(key) != scene.new.number(key)
    return ": ramp time and ramp reference make up for each other" if moved and turned else ""


def steepness(scene: Scene) -> Fact | None:
    """Hz/s of the ramp."""
    key = scene.key if "_time_" in scene.key else motion.ACCEL
    old, new = (motion.rate(view, key) for view in scene.sides)
    return scene.fact(old, new)


def run_on(scene: Scene) -> Fact | None:
    """How far the machine goes from the working point to rest."""
    target, key = motion.working_hz(scene.new), _key(scene, "decel")
    (old, _), (new, unit) = (motion.run_on(view, key, target) for view in scene.sides)
    return scene.fact(old, new, unit=unit, hz=scene.show(target, "Hz"))


def masses(scene: Scene) -> Fact | None:
    """Torque the turning masses take while speed changes, in N·m and of rated torque."""
    key = _key(scene, "decel" if "decel" in scene.key or "quick" in scene.key else "accel")
    old, new = (electric.accelerating_torque(view, motion.rate(view, key)) for view in scene.sides)
    share = new / electric.rated_torque(scene.new) * 100
    inertia = scene.show(electric.inertia(scene.new), "kg·m²")
    return scene.fact(old, new, share=scene.show(share, "%"), inertia=inertia)


def run_up_current(scene: Scene) -> Fact | None:
    """Current that the turning masses alone draw on the way up, against the current limit."""
    view = scene.new
    key = _key(scene, "accel")
    rated = electric.rated_torque(view)
    loads = [electric.accelerating_torque(side, motion.rate(side, key)) / rated for side in scene.sides]
    old, new = (electric.current_for(view, share) for share in loads)
    limit = view.number("control.current_limit_a")
    name = "ramps.run_up_current" if new < limit else "ramps.run_up_held"
    return scene.fact(old, new, name=name, limit=scene.show(limit, "A"))


def held_stop(scene: Scene) -> Fact | None:
    """A stop shorter than motor and drive can hold without a resistor."""
    view, hz = scene.new, motion.working_hz(scene.new)
    if view.is_("braking.chopper", "on", "on_while_running"):
        return None
    least = electric.least_stop(view, hz)
    wanted = motion.ramp_seconds(view, _key(scene, "decel"), hz, 0.0)
    hold = view.is_("ramps.overvoltage_ramp_hold", "on")
    if wanted >= least:
        return scene.words("stop_is_held", hz=scene.show(hz, "Hz"), least=scene.show(least, "s"))
    name = "stop_stretched" if hold else "stop_trips"
    if wanted >= electric.SURE_SHARE * least:
        name = "stop_is_close"
    return scene.words(
        name, hz=scene.show(hz, "Hz"), least=scene.show(least, "s"), set=scene.show(wanted, "s")
    )


def monitor_passed(scene: Scene) -> Fact | None:
    """When a start passes the trip speed of the motion monitor, against the start delay."""
    view = scene.new
    if not view.is_("protection.external_fault_watched", "after_start_delay"):
        return None
    passed = [_passes(side) for side in scene.sides]
    delay = view.number("protection.external_fault_start_delay_s")
    spare = delay - passed[1]
    name = "ramps.monitor_passed" if spare > 0 else "ramps.monitor_too_late"
    speed = motion.machine_speed(view, _monitor_hz(view))
    return scene.fact(
        passed[0],
        passed[1],
        name=name,
        delay=scene.show(delay, "s"),
        spare=scene.show(abs(spare), "s"),
        speed=scene.show(*speed),
    )


def _monitor_hz(view: View) -> float:
    trip = view.machine("monitor_trip_speed")
    return trip / motion.machine_speed(view, 1.0)[0]


def _passes(view: View) -> float:
    return motion.ramp_seconds(view, motion.ACCEL, 0.0, _monitor_hz(view))


def reversal(scene: Scene) -> Fact | None:
    """Seconds of a reversal from the working point to the same speed the other way."""
    hz = motion.working_hz(scene.new)
    if scene.new.is_("limits.direction_permitted", "forward_only", "reverse_only"):
        return scene.words("reversal_barred")
    total = [
        motion.ramp_seconds(view, motion.DECEL, hz, 0.0)
        + view.number(scene.key)
        + motion.ramp_seconds(view, motion.ACCEL, 0.0, hz)
        for view in scene.sides
    ]
    return scene.fact(*total, hz=scene.show(hz, "Hz"))


def chosen_set(scene: Scene) -> Fact | None:
    """Seconds to the working point with the set that holds, before and after; of set 2 where it may hold."""
    hz = motion.working_hz(scene.new)
    first, second = (motion.ramp_seconds(scene.new, f"ramps.accel_time_{n}_s", 0.0, hz) for n in (1, 2))
    down = [motion.ramp_seconds(scene.new, f"ramps.decel_time_{n}_s", hz, 0.0) for n in (1, 2)]
    return scene.words(
        "chosen_set",
        hz=scene.show(hz, "Hz"),
        first=scene.show(first, "s"),
        second=scene.show(second, "s"),
        first_down=scene.show(down[0], "s"),
        second_down=scene.show(down[1], "s"),
    )


def switched(scene: Scene) -> Fact | None:
    """Rates below and above the frequency where set 2 takes over."""
    low, high = (motion.rate(scene.new, f"ramps.accel_time_{n}_s") for n in (1, 2))
    hz = scene.new.number(scene.key)
    name = "switched" if hz <= motion.most(scene.new) else "switched_never"
    most = scene.show(motion.most(scene.new), "Hz")
    return scene.words(
        name, at=scene.show(hz, "Hz"), low=scene.show(low, "Hz/s"), high=scene.show(high, "Hz/s"), most=most
    )


def jog_time(scene: Scene) -> Fact | None:
    """Seconds and way from jog speed to rest."""
    hz = scene.new.number("presets.jog_frequency_hz")
    old, new = (motion.ramp_seconds(view, scene.key, hz, 0.0) for view in scene.sides)
    way, unit = motion.run_on(scene.new, scene.key, hz)
    return scene.fact(old, new, hz=scene.show(hz, "Hz"), way=scene.show(way, unit))
