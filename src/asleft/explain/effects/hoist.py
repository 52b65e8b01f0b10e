"""The mechanical brake: torque that stands when it opens, speed when it closes, way in its delays."""

from __future__ import annotations

from asleft.explain import electric, motion
from asleft.explain.facts import Fact
from asleft.explain.scene import Scene


def release_torque(scene: Scene) -> Fact | None:
    """Torque that stands when the brake lifts; an estimate."""
    old, new = (electric.torque_for(view, view.number(scene.key)) * 100 for view in scene.sides)
    name = "hoist.release_torque" if new else "hoist.no_torque"
    plate = scene.new.plate("rated_current_a")
    return scene.fact(old, new, name=name, unit="%", plate=scene.show(plate, "A"))


def slips(scene: Scene) -> Fact | None:
    """A brake frequency in rated slips: below one slip the motor cannot hold its full load."""
    from asleft.machine.motor import rated_slip_rpm

    speed, base = scene.new.plate("rated_speed_rpm"), scene.new.plate("rated_frequency_hz")
    slip_hz = rated_slip_rpm(speed, base) * motion.poles(scene.new) / 120
    old, new = (view.number(scene.key) / slip_hz for view in scene.sides)
    name = "hoist.slips" if new >= 1 else "hoist.below_slip"
    return scene.fact(old, new, name=name, unit="×", slip=scene.show(slip_hz, "Hz"))


def way(scene: Scene) -> Fact | None:
    """How far the machine goes in a delay at the brake's own frequency."""
    end = "apply" if "apply" in scene.key else "release"
    hz = scene.new.number(f"mechanical_brake.{end}_frequency_hz")
    old, new = (motion.distance(view, hz, view.number(scene.key))[0] for view in scene.sides)
    return scene.fact(old * 1000, new * 1000, unit="mm", hz=scene.show(hz, "Hz"))


def free_fall(scene: Scene) -> Fact | None:
    """How far a hanging load can fall if the brake still needs the time it had, ½·g·t²."""
    from asleft.machine.load import GRAVITY_M_S2

    lost = scene.old.number(scene.key) - scene.new.number(scene.key)
    if lost <= 0 or scene.new.word("machine.load") != "hoist":
        return None
    fall, time = GRAVITY_M_S2 * lost**2 / 2, scene.show(scene.old.number(scene.key), "s")
    return scene.words("free_fall", time=time, lost=scene.show(lost, "s"), fall=scene.show(fall, "m"))


def stuck_heat(scene: Scene) -> Fact | None:
    """Heat of a motor that pulls against a stuck brake at the current limit, as seconds at rated current."""
    limit = scene.new.number("control.current_limit_a") / scene.new.plate("rated_current_a")
    old, new = (limit**2 * seconds for seconds in scene.numbers)
    amps = scene.show(scene.new.number("control.current_limit_a"), "A")
    return scene.fact(old, new, unit="s", limit=amps)
