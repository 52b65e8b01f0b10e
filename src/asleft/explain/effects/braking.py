"""Brake chopper and resistor, against the energy in this machine."""

from __future__ import annotations

from asleft.explain import electric, motion
from asleft.explain.facts import Fact
from asleft.explain.scene import Scene


def peak(scene: Scene) -> Fact | None:
    """Peak power the resistor takes at the chopper voltage."""
    old, new = (
        view.number("braking.chopper_level_v") ** 2 / view.number("braking.resistor_value_ohm") / 1000
        for view in scene.sides
    )
    volts = scene.show(scene.new.number("braking.chopper_level_v"), "V")
    return scene.fact(old, new, unit="kW", volts=volts)


def least_value(scene: Scene) -> Fact | None:
    """The resistor's ohms against the least the unit bears."""
    least = scene.new.number("drive.min_resistor_ohm")
    value = scene.new.number("braking.resistor_value_ohm")
    name = "resistor_bearable" if value >= least else "resistor_too_small"
    return scene.words(name, least=scene.show(least, "ohm"), value=scene.show(value, "ohm"))


def fitted(scene: Scene) -> Fact | None:
    """A setting against the resistor that is fitted."""
    field, unit = {
        "braking.resistor_value_ohm": ("brake_resistor_ohm", "ohm"),
        "braking.resistor_power_kw": ("brake_resistor_kw", "kW"),
    }[scene.key]
    plate, value = scene.new.machine(field), scene.new.number(scene.key)
    name = "fitted_same" if plate == value else "fitted_other"
    return scene.words(name, plate=scene.show(plate, unit), value=scene.show(value, unit))


def stops_apart(scene: Scene) -> Fact | None:
    """Seconds between stops from the working point that the resistor's power bears."""
    hz = motion.working_hz(scene.new)
    old, new = (electric.energy_kj(view, hz) / view.number(scene.key) for view in scene.sides)
    energy = scene.show(electric.energy_kj(scene.new, hz), "kWs")
    return scene.fact(old, new, unit="s", hz=scene.show(hz, "Hz"), energy=energy)


def link_headroom(scene: Scene) -> Fact | None:
    """Chopper voltage above the DC link of the supply that is set."""
    from asleft.machine.supply import dc_link_v

    link = dc_link_v(scene.new.number("supply.voltage_nominal_v"))
    old, new = (view.number(scene.key) - link for view in scene.sides)
    if new <= 0.1 * link:
        return scene.words("chopper_always", link=scene.show(link, "V"))
    return scene.fact(old, new, unit="V", link=scene.show(link, "V"))


def stop_without(scene: Scene) -> Fact | None:
    """The set stop against the shortest one without a resistor."""
    hz = motion.working_hz(scene.new)
    wanted = motion.ramp_seconds(scene.new, motion.DECEL, hz, 0.0)
    least = electric.least_stop(scene.new, hz)
    off = scene.choices[1] == "off"
    if not off:
        held = scene.new.is_("ramps.overvoltage_ramp_hold", "on")
        name = "chopper_and_hold" if held else "chopper_takes"
    else:
        name = "stop_fits" if wanted >= least else "stop_too_short"
        if electric.SURE_SHARE * least <= wanted < least:
            name = "hold_close"
    return scene.words(
        name, hz=scene.show(hz, "Hz"), least=scene.show(least, "s"), set=scene.show(wanted, "s")
    )


def hold(scene: Scene) -> Fact | None:
    """What the ramp hold does to the set stop."""
    hz = motion.working_hz(scene.new)
    wanted = motion.ramp_seconds(scene.new, motion.DECEL, hz, 0.0)
    shown = {"hz": scene.show(hz, "Hz"), "set": scene.show(wanted, "s")}
    if scene.choices[1] == "on" and scene.new.is_("braking.chopper", "on", "on_while_running"):
        return scene.words("hold_with_chopper", **shown)
    least = electric.least_stop(scene.new, hz)
    shown["least"] = scene.show(least, "s")
    if wanted >= least:
        return scene.words("hold_idle", **shown)
    if wanted >= electric.SURE_SHARE * least:
        return scene.words("hold_close", **shown)
    return scene.words("hold_stretches" if scene.choices[1] == "on" else "hold_gone", **shown)


def unguarded(scene: Scene) -> Fact | None:
    """How soon a resistor at the chopper's full power passes its lasting power, as a ratio."""
    power = (
        scene.new.number("braking.chopper_level_v") ** 2
        / scene.new.number("braking.resistor_value_ohm")
        / 1000
    )
    ratio = power / scene.new.number("braking.resistor_power_kw")
    name = "resistor_guarded" if scene.choices[1] == "fault" else "resistor_unguarded"
    return scene.words(name, power=scene.show(power, "kW"), ratio=scene.show(ratio, "×"))


def unit_least(scene: Scene) -> Fact | None:
    """The unit's least resistance against the resistor that is set."""
    value, least = scene.new.number("braking.resistor_value_ohm"), scene.new.number(scene.key)
    name = "resistor_bearable" if value >= least else "resistor_too_small"
    return scene.words(name, least=scene.show(least, "ohm"), value=scene.show(value, "ohm"))
