"""What a frequency means: rpm, machine speed, power, cooling, limits, skip bands."""

from __future__ import annotations

from asleft.explain import channel, electric, motion
from asleft.explain.facts import Fact
from asleft.explain.scene import Scene
from asleft.explain.view import View


def _speed(scene: Scene, hertz: tuple[float, float], name: str = "") -> Fact | None:
    """A pair of frequencies as speeds of the machine, or of the shaft."""
    hz = scene.show(hertz[1], "Hz")
    if motion.has_machine_speed(scene.new):
        (old, _), (new, unit) = (
            motion.machine_speed(view, value) for view, value in zip(scene.sides, hertz, strict=True)
        )
        return scene.fact(old, new, name=name or "speeds.machine", unit=unit, hz=hz)
    old, new = (motion.rpm(view, value) for view, value in zip(scene.sides, hertz, strict=True))
    return scene.fact(old, new, name=f"{name}_shaft" if name else "speeds.shaft", unit="rpm", hz=hz)


_HELD = ("presets.preset_", "reference.keypad", "protection.")


def _reached(scene: Scene) -> tuple[float, float]:
    """Both values of the changed frequency, as far as minimum and maximum let a wanted speed come."""
    old, new = scene.numbers
    if not scene.key.startswith(_HELD) or scene.key == "protection.stall_frequency_hz":
        return old, new
    preset = scene.key.startswith("presets.preset_")
    return motion.held_hz(scene.old, old, preset), motion.held_hz(scene.new, new, preset)


def at(scene: Scene) -> Fact | None:
    """The changed frequency as a speed; inside a skip band no speed stands."""
    if scene.key.startswith(_HELD) and motion.band_around(scene.new, scene.new.number(scene.key)):
        return None
    return _speed(scene, _reached(scene))


def field_speed(scene: Scene) -> Fact | None:
    """Field speed by the pole count entered, at the motor's rated frequency."""
    from asleft.machine.motor import synchronous_speed_rpm

    hz = scene.new.plate("rated_frequency_hz")
    old, new = (synchronous_speed_rpm(hz, int(poles)) for poles in scene.choices)
    plate = motion.poles(scene.new)
    return scene.fact(old, new, hz=scene.show(hz, "Hz"), poles=str(plate))


def power(scene: Scene) -> Fact | None:
    """Shaft power at the changed frequency, for loads whose power goes with speed."""
    return _power(scene, *_reached(scene))


def _power(scene: Scene, old_hz: float, new_hz: float) -> Fact | None:
    view = scene.new
    law = electric.load_exponent(view)[1]
    if not old_hz or not new_hz or law == "at constant power":
        return None
    if view.asset is None or "working_power_kw" not in view.asset.machine:
        ratio = electric.power_ratio(view, new_hz, old_hz)
        return scene.fact(100.0, ratio * 100, name="speeds.power_ratio", unit="%", law=law)
    old, new = electric.power_at(view, old_hz), electric.power_at(view, new_hz)
    return scene.fact(old, new, name="speeds.power", unit="kW", hz=scene.show(new_hz, "Hz"), law=law)


def reach(view: View) -> tuple[float, str]:
    """The highest frequency the remote speed source can ask for, and that source in words."""
    most = motion.most(view)
    source = view.choice("stations.remote_reference_source")
    if source.startswith("analog_"):
        number = int(source[-1])
        span = channel.scaling(view, number)
        top = max(span.low_hz, span.high_hz)
        return min(most, top), f"analog input {number}"
    if source == "preset":
        return min(most, view.number("presets.preset_1_hz")), "preset 1"
    if source == "pid":
        return min(most, view.number("process.pid_output_max_hz")), "the process controller"
    if source == "comms":
        return min(most, view.number("reference.comms_reference_scale_hz")), "the bus"
    return most, "the keypad"


def path(scene: Scene) -> Fact | None:
    """Whether the remote speed source reaches another top speed than before."""
    (old, _), (new, source) = (reach(view) for view in scene.sides)
    most = [motion.most(view) for view in scene.sides]
    if abs(old - new) > 0.005:
        return scene.fact(old, new, name="speeds.reach", unit="Hz", source=source)
    if most[0] == most[1]:
        return None
    name = "path_unchanged" if most[1] > most[0] else "path_unchanged_lower"
    return scene.words(name, source=source, hz=scene.show(new, "Hz"), most=scene.show(most[1], "Hz"))


def full_power(scene: Scene) -> Fact | None:
    """Shaft power at the highest frequency the remote speed source reaches."""
    (old, _), (new, _) = (reach(view) for view in scene.sides)
    return _power(scene, old, new) if abs(old - new) > 0.005 else None


def full_load(scene: Scene) -> Fact | None:
    """Shaft power at the top of the remote source against the motor's power and the overload pick-up."""
    (old, _), (hz, _) = (reach(view) for view in scene.sides)
    if old == hz:
        return None
    view = scene.new
    if electric.load_exponent(view)[0] != "square":
        return None
    rated = view.plate("rated_power_kw")
    load = electric.power_at(view, hz) / rated * 100
    if load <= 100:
        return None
    pickup = electric.pickup(view) * 100
    name = "overloaded_unseen" if load <= pickup else "overloaded"
    return scene.words(
        name, load=scene.show(load, "%"), rated=scene.show(rated, "kW"), pickup=scene.show(pickup, "%")
    )


def stress(scene: Scene) -> Fact | None:
    """Stress of a spinning bowl, with the square of speed."""
    from asleft.machine.load import rotor_stress_share

    asset = scene.asset
    kind = f"{asset.application} {asset.designation}".lower() if asset else ""
    old, new = _reached(scene)
    if not any(word in kind for word in ("separator", "centrifuge", "decanter", "bowl")) or not old:
        return None
    share = rotor_stress_share(new, old) * 100
    return scene.fact(100.0, share, unit="%", hz=scene.show(new, "Hz"))


def machine_limit(scene: Scene) -> Fact | None:
    """A frequency above what the machine bears."""
    old, new = _reached(scene)
    if scene.asset is None or "max_frequency_hz" not in scene.asset.machine:
        return None
    limit = scene.new.machine("max_frequency_hz")
    if max(old, new) <= limit:
        return None
    name = "above_machine" if new > limit else "back_below_machine"
    return scene.words(name, hz=scene.show(new, "Hz"), limit=scene.show(limit, "Hz"))


def weakened(scene: Scene) -> Fact | None:
    """Torque left above the motor's rated frequency."""
    from asleft.machine.flux import breakdown_torque_share, constant_power_torque_share

    base = scene.new.plate("rated_frequency_hz")
    old, new = _reached(scene)
    if max(old, new) <= base:
        return None
    shares = [constant_power_torque_share(hz, base) * 100 for hz in (old, new)]
    least = breakdown_torque_share(new, base) * 100
    hz = scene.show(new, "Hz")
    return scene.fact(*shares, unit="%", hz=hz, base=scene.show(base, "Hz"), breakdown=scene.show(least, "%"))


def cooling(scene: Scene) -> Fact | None:
    """Lasting torque the motor's own cooling bears at the changed frequency."""
    old, new = (
        electric.low_speed_torque(view, hz) * 100
        for view, hz in zip(scene.sides, _reached(scene), strict=True)
    )
    if old == new:
        return None
    return scene.fact(old, new, unit="%", hz=scene.show(_reached(scene)[1], "Hz"))


def clamped(scene: Scene) -> Fact | None:
    """A wanted frequency outside minimum and maximum, or inside a skip band."""
    view, hz = scene.new, scene.new.number(scene.key)
    low, high = motion.least(view), motion.most(view)
    shown = {"hz": scene.show(hz, "Hz"), "low": scene.show(low, "Hz"), "high": scene.show(high, "Hz")}
    if 0 < hz < low and motion.held_hz(view, hz, scene.key.startswith("presets.preset_")) != hz:
        rests = motion.rests_below_minimum(view)
        return scene.words("below_minimum_rests" if rests else "below_minimum", **shown)
    if hz > high:
        return scene.words("above_maximum", **shown)
    for number, start, end in motion.skip_bands(view):
        if start < hz < end:
            edges = {"start": scene.show(start, "Hz"), "end": scene.show(end, "Hz")}
            return scene.words("in_band", number=str(number), hz=shown["hz"], **edges)
    return None


def resonance(scene: Scene) -> Fact | None:
    """A wanted frequency inside the machine's recorded resonance."""
    if scene.asset is None or "resonance_low_hz" not in scene.asset.machine:
        return None
    hz = scene.new.number(scene.key)
    low, high = scene.new.machine("resonance_low_hz"), scene.new.machine("resonance_high_hz")
    if not low < hz < high or motion.band_around(scene.new, hz):
        return None
    return scene.words(
        "in_resonance", hz=scene.show(hz, "Hz"), low=scene.show(low, "Hz"), high=scene.show(high, "Hz")
    )


def rearranged(scene: Scene) -> Fact | None:
    """Presets that a changed minimum or maximum moves."""
    moved = []
    for number, key in enumerate(motion.PRESETS, 1):
        if all(view.has(key) for view in scene.sides) and scene.new.values[key] == scene.old.values[key]:
            hz = float(scene.new.values[key])  # type: ignore[arg-type]
            before, after = (motion.held_hz(view, hz, preset=True) for view in scene.sides)
            if hz and before != after:
                moved.append((number, before, after))
    if not moved:
        return None
    number, before, after = max(moved, key=lambda one: abs(one[2] - one[1]))
    others = ", ".join(str(one[0]) for one in moved)
    return scene.fact(
        before,
        after,
        unit="Hz",
        which=str(number),
        all=f" (all that move: {others})" if len(moved) > 1 else "",
    )


def margin(scene: Scene) -> Fact | None:
    """Room between the maximum frequency and a bar above it."""
    old, new = (view.number(scene.key) - motion.most(view) for view in scene.sides)
    most = scene.show(motion.most(scene.new), "Hz")
    if new <= 0:
        return scene.words("no_margin", most=most, hz=scene.show(scene.new.number(scene.key), "Hz"))
    return scene.fact(old, new, unit="Hz", most=most)


def at_minimum(scene: Scene) -> Fact | None:
    """What the motor does with a reference of zero."""
    hz = motion.least(scene.new)
    if not hz:
        return scene.words("no_minimum")
    speed = motion.speed_words(scene.new, hz)
    name = {"clamp": "zero_is_minimum", "zero_below": "zero_is_rest", "stop_below": "zero_stops"}
    return scene.words(name[scene.choices[1]], hz=scene.show(hz, "Hz"), speed=speed)


def minimum_reached(scene: Scene) -> Fact | None:
    """What the time at minimum speed means with the minimum that is set."""
    hz = motion.least(scene.new)
    seconds = scene.new.number(scene.key)
    name = "timeout_off" if not seconds else "timeout_on"
    return scene.words(
        name, hz=scene.show(hz, "Hz"), time=scene.show(seconds, "s"), speed=motion.speed_words(scene.new, hz)
    )


def display(scene: Scene) -> Fact | None:
    """What the display shows at the working point, against the machine's true speed."""
    hz = motion.working_hz(scene.new)
    old, new = (view.number(scene.key) * hz for view in scene.sides)
    true = motion.speed_words(scene.new, hz)
    return scene.fact(old, new, unit="", hz=scene.show(hz, "Hz"), true=true)


def region(scene: Scene) -> Fact | None:
    """Top speed by the region's frequency, against the maximum that is set."""
    old, new = (float(choice) for choice in scene.choices)
    return _speed(scene, (old, new), "speeds.region")


def speed_ceiling(scene: Scene) -> Fact | None:
    """The mechanical ceiling in hertz, against the maximum frequency."""
    hertz = [rpm * motion.poles(scene.new) / 120 for rpm in scene.numbers]
    most = motion.most(scene.new)
    name = "speeds.ceiling_met" if hertz[1] >= most else "speeds.ceiling_passed"
    return scene.fact(*hertz, name=name, unit="Hz", most=scene.show(most, "Hz"))


def smoke(scene: Scene) -> Fact | None:
    """Load of the motor in emergency running against its plate."""
    hz = scene.new.number(scene.key)
    load = electric.power_at(scene.new, hz) / scene.new.plate("rated_power_kw") * 100
    old = electric.power_at(scene.old, scene.old.number(scene.key)) / scene.old.plate("rated_power_kw") * 100
    return scene.fact(old, load, unit="%", hz=scene.show(hz, "Hz"))
