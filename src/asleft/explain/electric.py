"""Torque, current and heat of one set in its slot."""

from __future__ import annotations

import math

from asleft.explain.facts import Lacking
from asleft.explain.motion import rpm, synchronous_rpm, working_hz
from asleft.explain.view import View

SURE_SHARE = 0.75
"""A set stop shorter than this share of the estimated least one is surely not held."""


def rated_torque(view: View) -> float:
    """Rated torque in N·m by the motor's plate."""
    from asleft.machine.motor import torque_nm

    return torque_nm(view.plate("rated_power_kw"), view.plate("rated_speed_rpm"))


def inertia(view: View) -> float:
    """Load inertia at the motor shaft."""
    return view.machine("inertia_kgm2")


def accelerating_torque(view: View, rate_hz_per_s: float) -> float:
    """Torque in N·m that a rate of change asks for the masses alone."""
    from asleft.machine.inertia import accelerating_torque_nm

    return accelerating_torque_nm(inertia(view), synchronous_rpm(view, rate_hz_per_s), 1.0)


def current_for(view: View, torque_share: float) -> float:
    """Line current at a share of rated torque; an estimate."""
    from asleft.machine.motor import estimated_current_a

    return estimated_current_a(view.plate("rated_current_a"), view.plate("power_factor"), torque_share)


def torque_for(view: View, current_a: float) -> float:
    """Torque as a share of rated at a current and full flux; an estimate, 0 below the magnetising current."""
    rated, factor = view.plate("rated_current_a"), view.plate("power_factor")
    if not 0 < factor <= 1:
        raise Lacking("the power factor is no number between 0 and 1")
    left = (current_a / rated) ** 2 - (1 - factor**2)
    return math.sqrt(max(0.0, left)) / factor


def drive_current(view: View) -> float:
    """The unit's continuous current at the duty that is set."""
    heavy = view.is_("drive.duty_rating", "heavy_duty")
    return view.number("drive.rated_current_heavy_a" if heavy else "drive.rated_current_light_a")


def time_constant(view: View) -> float:
    """Time constant of the overload model, from its class at the class's limit."""
    from asleft.machine.overload import class_time_constant_s

    trip_class = view.choice("protection.overload_class")
    if trip_class == "custom":
        raise Lacking("the overload class is the drive's own")
    return class_time_constant_s(trip_class, standard(view), pickup(view))


def standard(view: View) -> str:
    """Whose class number it is; IEC is taken where the drive does not say."""
    if view.has("protection.overload_class_standard"):
        return view.choice("protection.overload_class_standard")
    view.assume("overload class standard IEC", 7.2, "×")
    return "iec"


def pickup(view: View) -> float:
    """Pick-up as a multiple of the overload current; 1.1 is taken where the drive does not say."""
    if view.has("protection.overload_pickup_pct"):
        return view.number("protection.overload_pickup_pct") / 100
    return view.assume("overload pick-up", 1.1, "×")


def trip_seconds(view: View, current_a: float, warm: bool = False) -> float:
    """Seconds to the overload trip at a current, from cold or from `warm_load`."""
    from asleft.machine.overload import time_to_trip_s

    load = current_a / view.number("protection.overload_current_a")
    return time_to_trip_s(load, time_constant(view), pickup(view), warm_load(view) if warm else 0.0)


def warm_load(view: View) -> float:
    """Balance of a warm motor over the overload current: at the plate's current, at most at its own."""
    return min(1.0, view.plate("rated_current_a") / view.number("protection.overload_current_a"))


def load_exponent(view: View) -> tuple[str, str]:
    """How torque goes with speed, as `machine.load` names it, and the law in words."""
    load = view.word("machine.load")
    if load == "pump":
        static = view.slot("machine.static_head_pct")
        if static is not None and str(static) != "0":
            raise Lacking("a pump against a static head does not follow the cube law")
    return {
        "fan": ("square", "by the cube law"),
        "pump": ("square", "by the cube law"),
        "constant_power": ("constant_power", "at constant power"),
    }.get(load, ("constant_torque", "at constant torque"))


def power_at(view: View, hz: float) -> float:
    """Shaft power in kW at a frequency, from the working point and the kind of load; an estimate."""
    from asleft.machine.load import shaft_power_kw

    kind = load_exponent(view)[0]
    return shaft_power_kw(kind, hz, view.machine("working_power_kw"), view.machine("working_frequency_hz"))


def power_ratio(view: View, hz: float, other_hz: float) -> float:
    """Shaft power at a frequency over that at another, by the kind of load."""
    from asleft.machine.load import power_share

    return power_share(load_exponent(view)[0], hz / other_hz)


def torque_share_at(view: View, hz: float) -> float:
    """Load torque over rated torque at a frequency; an estimate."""
    from asleft.machine.motor import torque_nm

    return torque_nm(power_at(view, hz), rpm(view, hz)) / rated_torque(view)


def low_speed_torque(view: View, hz: float) -> float:
    """Lasting torque over rated that the motor's cooling bears at a frequency; an estimate."""
    from asleft.machine.overload import low_speed_torque_share

    if view.word_or("plate.cooling", str(view.values.get("motor.cooling", "self_fan"))) != "self_fan":
        return 1.0
    return low_speed_torque_share(hz / view.plate("rated_frequency_hz"))


def flux(view: View, volts: float, hz: float) -> float:
    """Flux over rated at a voltage and frequency."""
    from asleft.machine.flux import flux_share

    return flux_share(volts, hz, view.plate("rated_voltage_v"), view.plate("rated_frequency_hz"))


def energy_kj(view: View, hz: float) -> float:
    """Energy in the turning masses at a frequency."""
    from asleft.machine.braking import kinetic_energy_j

    return kinetic_energy_j(inertia(view), synchronous_rpm(view, hz)) / 1000


def least_stop(view: View, hz: float) -> float:
    """Shortest stop held without a resistor, in seconds; an estimate. A fan's own drag counts by a third."""
    from asleft.machine.braking import least_stop_time_s
    from asleft.machine.motor import torque_nm

    drag = 0.0
    if view.word_or("machine.load", "") == "fan" and view.asset and "working_power_kw" in view.asset.machine:
        drag = torque_nm(power_at(view, hz), synchronous_rpm(view, hz)) / 3
    return least_stop_time_s(inertia(view), synchronous_rpm(view, hz), rated_torque(view), 0.1, drag)


def working_current(view: View) -> float:
    """Current at the working point, where the load there is recorded; an estimate."""
    return current_for(view, torque_share_at(view, working_hz(view)))
