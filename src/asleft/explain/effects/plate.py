"""Motor data entered in the drive, the V/f curve and the supply, against the motor's plate."""

from __future__ import annotations

import math
from decimal import Decimal

from asleft.explain import electric, motion
from asleft.explain.facts import Fact
from asleft.explain.scene import Scene
from asleft.explain.view import View
from asleft.vocabulary import vocabulary


def against_plate(scene: Scene) -> Fact | None:
    """An entered motor value against the plate's own."""
    name = scene.key.partition(".")[2]
    plate = scene.asset.plate.get(name) if scene.asset else None
    if not isinstance(plate, Decimal):
        return None
    scene.new.slot(f"plate.{name}")
    unit = vocabulary()[scene.key].unit
    old, new = scene.numbers
    shown = {"plate": scene.show(float(plate), unit), "value": scene.show(new, unit)}
    if new == float(plate):
        return scene.words("as_plate", **shown)
    if old == float(plate):
        off = scene.show(abs(new / old - 1) * 100, "%")
        return scene.words("off_plate_up" if new > old else "off_plate_down", off=off, **shown)
    off = scene.show(abs(new / float(plate) - 1) * 100, "%")
    return scene.words("still_off_up" if new > float(plate) else "still_off_down", off=off, **shown)


def torque_base(scene: Scene) -> Fact | None:
    """What 100 % torque means in N·m by the motor data entered."""
    from asleft.machine.motor import torque_nm

    old, new = (
        torque_nm(view.number("motor.rated_power_kw"), view.number("motor.rated_speed_rpm"))
        for view in scene.sides
    )
    return scene.fact(old, new, unit="N·m")


def implied(scene: Scene) -> Fact | None:
    """Efficiency the entered data imply; outside what a motor of the size can have, it says so."""
    from asleft.machine.motor import implied_efficiency
    from asleft.machine.plates import plausible_efficiency

    names = ("rated_power_kw", "rated_voltage_v", "rated_current_a", "power_factor")
    old, new = (
        implied_efficiency(*[view.number(f"motor.{name}") for name in names]) * 100 for view in scene.sides
    )
    low, high = (share * 100 for share in plausible_efficiency(scene.new.number("motor.rated_power_kw")))
    name = "plate.implied" if low <= new <= high else "plate.implied_wrong"
    kw = scene.show(scene.new.number("motor.rated_power_kw"), "kW")
    return scene.fact(old, new, name=name, unit="%", kw=kw, low=f"{low:.0f}", high=f"{high:.0f}")


def slip(scene: Scene) -> Fact | None:
    """Rated slip the drive reckons with."""
    from asleft.machine.motor import rated_slip_rpm

    old, new = (
        rated_slip_rpm(view.number("motor.rated_speed_rpm"), view.number("motor.rated_frequency_hz"))
        for view in scene.sides
    )
    faster = scene.new.number("motor.rated_speed_rpm") - scene.old.number("motor.rated_speed_rpm")
    if faster * (new - old) > 0:
        from asleft.machine.motor import poles_from_plate

        poles = poles_from_plate(
            *(scene.new.number(f"motor.rated_{name}") for name in ("speed_rpm", "frequency_hz"))
        )
        return scene.fact(old, new, name="plate.slip_of_poles", unit="rpm", poles=str(poles))
    return scene.fact(old, new, unit="rpm")


def magnetising(scene: Scene) -> Fact | None:
    """Magnetising current the entered power factor stands for, I·sin φ; an estimate."""
    old, new = (
        view.number("motor.rated_current_a") * math.sqrt(1 - min(1.0, view.number("motor.power_factor")) ** 2)
        for view in scene.sides
    )
    return scene.fact(old, new, unit="A")


def overload_base(scene: Scene) -> Fact | None:
    """The overload current beside a changed motor current."""
    view = scene.new
    overload, motor = view.number("protection.overload_current_a"), view.number("motor.rated_current_a")
    share = overload / motor * 100
    return scene.words("overload_beside", overload=scene.show(overload, "A"), share=scene.show(share, "%"))


def curve_flux(scene: Scene) -> Fact | None:
    """Flux of the V/f curve below its corner, of the plate's."""
    old, new = (
        electric.flux(
            view, view.number("control.vf_corner_voltage_v"), view.number("control.vf_corner_frequency_hz")
        )
        * 100
        for view in scene.sides
    )
    return scene.fact(old, new, unit="%", ratio=_ratio(scene))


def _ratio(scene: Scene) -> str:
    view = scene.new
    volts, hz = view.plate("rated_voltage_v"), view.plate("rated_frequency_hz")
    return scene.show(volts / hz, "V/Hz")


def motor_flux(scene: Scene) -> Fact | None:
    """Flux that the motor data entered make of the motor, of the plate's."""
    plate = (scene.new.own_plate("rated_voltage_v"), scene.new.own_plate("rated_frequency_hz"))
    old, new = (
        view.number("motor.rated_voltage_v")
        / view.number("motor.rated_frequency_hz")
        * plate[1]
        / plate[0]
        * 100
        for view in scene.sides
    )
    return scene.fact(
        old, new, name="plate.curve_flux", unit="%", ratio=scene.show(plate[0] / plate[1], "V/Hz")
    )


def middle_flux(scene: Scene) -> Fact | None:
    """Flux at the middle point of a custom curve, of the plate's."""
    old, new = (_middle(view) * 100 for view in scene.sides)
    hz = scene.new.number("control.vf_mid_frequency_hz")
    return scene.fact(old, new, unit="%", hz=scene.show(hz, "Hz"))


def _middle(view: View) -> float:
    volts = view.number("control.vf_mid_voltage_pct") / 100 * view.number("control.vf_corner_voltage_v")
    return electric.flux(view, volts, view.number("control.vf_mid_frequency_hz"))


def mode_torque(scene: Scene) -> Fact | None:
    """What a square curve leaves of the breakdown torque at the minimum frequency."""
    hz = motion.least(scene.new)
    base = scene.new.plate("rated_frequency_hz")
    if hz <= 0 or hz >= base:
        return None
    share = (hz / base) ** 2 * 100
    load = scene.new.word_or("machine.load", "")
    name = "square_curve" if scene.choices[1] == "vf_square" else ""
    if scene.choices[0] == "vf_square":
        name = "square_left"
    if not name:
        return None
    if name == "square_curve" and load in ("constant_torque", "hoist"):
        name = "square_on_constant"
    return scene.words(name, hz=scene.show(hz, "Hz"), share=scene.show(share, "%"))


def boost_volts(scene: Scene) -> Fact | None:
    """Boost in volts at this motor."""
    old, new = (view.number(scene.key) / 100 * view.plate("rated_voltage_v") for view in scene.sides)
    return scene.fact(old, new, unit="V")


def boost_current(scene: Scene) -> Fact | None:
    """Current the boost alone drives at rest through the measured stator resistance; an estimate."""
    resistance = scene.new.number("tuned.stator_resistance_ohm")
    old, new = (
        view.number(scene.key) / 100 * view.plate("rated_voltage_v") / math.sqrt(3) / resistance
        for view in scene.sides
    )
    share = new / scene.new.plate("rated_current_a") * 100
    return scene.fact(old, new, unit="A", share=scene.show(share, "%"))


def boost_range(scene: Scene) -> Fact | None:
    """Whether the motor ever stays in the range of the boost."""
    end, least = scene.new.number(scene.key), motion.least(scene.new)
    name = "boost_passed" if end <= least else "boost_stays"
    return scene.words(name, end=scene.show(end, "Hz"), least=scene.show(least, "Hz"))


def slip_added(scene: Scene) -> Fact | None:
    """Hertz added at rated load by the slip compensation."""
    from asleft.machine.motor import rated_slip_rpm

    speed, base = scene.new.plate("rated_speed_rpm"), scene.new.plate("rated_frequency_hz")
    hertz = rated_slip_rpm(speed, base) * motion.poles(scene.new) / 120
    old, new = (view.number(scene.key) / 100 * hertz for view in scene.sides)
    return scene.fact(old, new, unit="Hz")


def torque_limit(scene: Scene) -> Fact | None:
    """A torque limit in N·m at this motor."""
    old, new = (view.number(scene.key) / 100 * electric.rated_torque(view) for view in scene.sides)
    rated = electric.rated_torque(scene.new)
    return scene.fact(old, new, unit="N·m", rated=scene.show(rated, "N·m"))


def torque_current(scene: Scene) -> Fact | None:
    """The current a torque limit lets through, against the current limit; an estimate."""
    view = scene.new
    old, new = (electric.current_for(side, side.number(scene.key) / 100) for side in scene.sides)
    limit = view.number("control.current_limit_a")
    name = "plate.torque_current" if new <= limit else "plate.torque_current_limited"
    return scene.fact(old, new, name=name, unit="A", limit=scene.show(limit, "A"))


def carrier(scene: Scene) -> Fact | None:
    """The carrier against the motor cable."""
    from asleft.machine.cable import greatest_carrier_khz

    length, khz = scene.new.machine("cable_length_m"), scene.new.number(scene.key)
    most = greatest_carrier_khz(length)
    shown = {"length": scene.show(length, "m"), "khz": scene.show(khz, "kHz")}
    if most is None:
        return scene.words("cable_too_long", **shown)
    name = "carrier_within" if khz <= most else "carrier_past"
    return scene.words(name, most=scene.show(most, "kHz"), **shown)


def carrier_current(scene: Scene) -> Fact | None:
    """What the unit carries at the carrier, 4 kHz taken as the one it is rated at; an estimate."""
    from asleft.machine.cable import carrier_current_share

    rated = scene.new.assume("carrier the unit is rated at", 4.0, "kHz")
    old, new = (
        carrier_current_share(view.number(scene.key), rated) * electric.drive_current(view)
        for view in scene.sides
    )
    motor = scene.new.plate("rated_current_a")
    name = "plate.carrier_current" if new >= motor else "plate.carrier_too_high"
    return scene.fact(old, new, name=name, unit="A", motor=scene.show(motor, "A"))


def droop(scene: Scene) -> Fact | None:
    """Hertz and speed given up at full torque."""
    base = scene.new.plate("rated_frequency_hz")
    old, new = (view.number(scene.key) / 100 * base for view in scene.sides)
    hz = motion.working_hz(scene.new)
    speed = motion.speed_words(scene.new, hz - new) if hz > new else "rest"
    return scene.fact(old, new, unit="Hz", hz=scene.show(hz, "Hz"), speed=speed)


def output_volts(scene: Scene) -> Fact | None:
    """Most output voltage, against the motor's."""
    old, new = (
        view.number(scene.key) / 100 * view.number("supply.voltage_nominal_v") for view in scene.sides
    )
    motor = scene.new.plate("rated_voltage_v")
    return scene.fact(old, new, unit="V", motor=scene.show(motor, "V"))


def supply(scene: Scene) -> Fact | None:
    """The supply setting against the motor's voltage, and the DC link it stands for."""
    from asleft.machine.supply import dc_link_v

    old, new = (dc_link_v(view.number(scene.key)) for view in scene.sides)
    motor = scene.new.plate("rated_voltage_v")
    share = scene.new.number(scene.key) / motor * 100
    return scene.fact(old, new, unit="V", share=scene.show(share, "%"), motor=scene.show(motor, "V"))


def link_factor(scene: Scene) -> Fact | None:
    """What relinking does to a motor on the voltage that is entered."""
    volts = scene.new.number("motor.rated_voltage_v")
    other = volts * math.sqrt(3) if scene.choices[1] == "star" else volts / math.sqrt(3)
    name = "linked_star" if scene.choices[1] == "star" else "linked_delta"
    return scene.words(name, volts=scene.show(volts, "V"), other=scene.show(other, "V"))


def cooled(scene: Scene) -> Fact | None:
    """What the cooling bears at the minimum."""
    from asleft.machine.overload import low_speed_torque_share

    hz = motion.least(scene.new)
    share = low_speed_torque_share(hz / scene.new.plate("rated_frequency_hz")) * 100
    name = "cooled_by_own_fan" if scene.choices[1] == "self_fan" else "cooled_apart"
    return scene.words(name, hz=scene.show(hz, "Hz"), share=scene.show(share, "%"))


def back_voltage(scene: Scene) -> Fact | None:
    """Voltage of the magnets at the maximum frequency, against the motor's."""
    top = motion.most(scene.new)
    speed = 120 * top / int(scene.new.choice("motor.pole_count"))
    old, new = (view.number(scene.key) * speed / 1000 for view in scene.sides)
    motor = scene.new.plate("rated_voltage_v")
    return scene.fact(old, new, unit="V", hz=scene.show(top, "Hz"), motor=scene.show(motor, "V"))


def stator_drop(scene: Scene) -> Fact | None:
    """Line voltage the stator resistance takes at rated current."""
    old, new = (math.sqrt(3) * view.number(scene.key) * view.plate("rated_current_a") for view in scene.sides)
    share = new / scene.new.plate("rated_voltage_v") * 100
    return scene.fact(old, new, unit="V", share=scene.show(share, "%"))


def rotor_slip(scene: Scene) -> Fact | None:
    """Copper loss of the rotor at rated current, as share of rated power; an estimate."""
    old, new = (
        3
        * view.number(scene.key)
        * (view.plate("rated_current_a") * view.plate("power_factor")) ** 2
        / (view.plate("rated_power_kw") * 1000)
        * 100
        for view in scene.sides
    )
    from asleft.machine.motor import rated_slip_rpm

    base = scene.new.plate("rated_frequency_hz")
    slip_rpm = rated_slip_rpm(scene.new.plate("rated_speed_rpm"), base)
    share = slip_rpm / motion.synchronous_rpm(scene.new, base) * 100
    return scene.fact(old, new, unit="%", plate=scene.show(share, "%"))


def field_current(scene: Scene) -> Fact | None:
    """Magnetising current against what the plate's power factor stands for."""
    view = scene.new
    plate = view.plate("rated_current_a") * math.sqrt(1 - min(1.0, view.plate("power_factor")) ** 2)
    old, new = scene.numbers
    shares = [amps / view.plate("rated_current_a") * 100 for amps in (old, new)]
    return scene.fact(*shares, unit="%", amps=scene.show(new, "A"), plate=scene.show(plate, "A"))


def leakage_drop(scene: Scene) -> Fact | None:
    """Line voltage the leakage takes at rated current and frequency."""
    old, new = (
        math.sqrt(3)
        * 2
        * math.pi
        * view.plate("rated_frequency_hz")
        * view.number(scene.key)
        / 1000
        * view.plate("rated_current_a")
        for view in scene.sides
    )
    share = new / scene.new.plate("rated_voltage_v") * 100
    return scene.fact(old, new, unit="V", share=scene.show(share, "%"))


def unit_voltage(scene: Scene) -> Fact | None:
    """The unit's voltage class against the motor's and the supply's."""
    motor = scene.new.plate("rated_voltage_v")
    old, new = (view.number(scene.key) / motor * 100 for view in scene.sides)
    return scene.fact(old, new, unit="%", motor=scene.show(motor, "V"))
