"""Quantities worked out from settings, plate and machine, for rules that need them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, TypeAlias

from asleft.record import Value
from asleft.spec.operands import Absent, Known, Looked, NotKnown, Operand
from asleft.spec.subject import View
from asleft.spec.tidy import plain, tidy

if TYPE_CHECKING:
    from asleft.machine.load import LoadKind


class Lacking(Exception):
    """An input is missing, with the reason."""


Made: TypeAlias = tuple[Value, str]


@dataclass(frozen=True, slots=True)
class Inputs:
    """Values by name; what is missing raises ``Lacking``."""

    view: View

    def value(self, name: str) -> Value:
        """The value of a name."""
        found = self.view.look(name)
        if isinstance(found, Known):
            return found.value
        raise Lacking(found.reason)

    def number(self, name: str) -> Decimal:
        """The number of a name."""
        value = self.value(name)
        if not isinstance(value, Decimal):
            raise Lacking(f"{name} is no number")
        return value

    def above_zero(self, name: str) -> Decimal:
        """A number above zero."""
        number = self.number(name)
        if number <= 0:
            raise Lacking(f"{name} is {number}, which allows no working out")
        return number


def compute(found: Operand, view: View) -> Looked:
    """The computed quantity, or why it cannot be worked out."""
    try:
        value, note = _MAKERS[found.name](Inputs(view))
    except Lacking as lacking:
        return NotKnown(found, f"the {found.label} cannot be worked out: {lacking}")
    except ValueError as problem:
        return NotKnown(found, f"the {found.label} cannot be worked out: {problem}")
    return Known(found, value, note)


def _drive_current(given: Inputs) -> Made:
    duty = given.view.look("drive.duty_rating")
    heavy = isinstance(duty, Known) and duty.value == "heavy_duty"
    if isinstance(duty, NotKnown):
        raise Lacking(duty.reason)
    key = "drive.rated_current_heavy_a" if heavy else "drive.rated_current_light_a"
    return given.number(key), "heavy duty" if heavy else "light duty"


def _ramp_reference(given: Inputs) -> Made:
    own = given.view.look("ramps.ramp_reference_frequency_hz")
    if isinstance(own, Known):
        return own.value, ""
    model = given.view.subject.model
    basis = model.behaviour.get("ramp_basis", "own_setting") if model else "own_setting"
    if basis == "motor_rated_frequency":
        return given.number("motor.rated_frequency_hz"), "the motor's rated frequency"
    if basis == "frequency_max":
        return given.number("limits.frequency_max_hz"), "the maximum frequency"
    reason = own.reason if isinstance(own, (NotKnown, Absent)) else ""
    raise Lacking(reason)


def _rate(time_key: str) -> Callable[[Inputs], Made]:
    def make(given: Inputs) -> Made:
        reference = given.above_zero("derived.ramp_reference_hz")
        time = given.above_zero(time_key)
        return tidy(reference / time, 4), f"{time} s to {tidy(reference)} Hz"

    return make


def _stop_time(given: Inputs) -> Made:
    method = given.value("start_stop.stop_method")
    if method == "coast":
        time = given.view.look("machine.run_down_time_s")
        if isinstance(time, Known):
            return time.value, "it coasts: run-down time of the machine"
        raise Lacking("it stops by coasting, and the run-down time of the machine is not recorded")
    key = "ramps.quick_stop_time_s" if method == "quick_ramp" else "ramps.decel_time_1_s"
    return _ramp_time(given, key, "decel"), "ramp as set, no hold by overvoltage"


def _start_time(given: Inputs) -> Made:
    return _ramp_time(given, "ramps.accel_time_1_s", "accel"), "ramp as set"


def _ramp_time(given: Inputs, key: str, way: str) -> Decimal:
    from asleft.machine.ramps import linear_ramp, s_ramp_added, s_ramp_inside

    numbers = [given.number(name) for name in ("limits.frequency_max_hz", key, "derived.ramp_reference_hz")]
    top, time, reference = (float(number) for number in numbers)
    curves = [_curve(given, f"ramps.s_curve_{way}_{end}_s") for end in ("start", "end")]
    if not any(curves):
        return plain(linear_ramp(0.0, top, time, reference).duration_s, 5)
    model = given.view.subject.model
    inside = model is not None and model.behaviour.get("s_mode") == "percent_inside"
    if inside:
        return plain(s_ramp_inside(0.0, top, time, reference, 0.0, 0.0).duration_s, 5)
    return plain(s_ramp_added(0.0, top, time, reference, *curves).duration_s, 5)


def _curve(given: Inputs, key: str) -> float:
    found = given.view.look(key)
    if isinstance(found, NotKnown):
        raise Lacking(found.reason)
    return float(found.value) if isinstance(found, Known) and isinstance(found.value, Decimal) else 0.0


def _overload_share(given: Inputs) -> Made:
    plate = given.above_zero("plate.rated_current_a")
    setting = given.number("protection.overload_current_a")
    return tidy(setting / plate * 100, 4), f"{setting} A on a {plate} A motor"


def _trip_share(given: Inputs) -> Made:
    from asleft.machine.overload import percent_of_base, trip_current_a

    pickup = given.above_zero("protection.overload_pickup_pct") / 100
    setting = given.above_zero("protection.overload_current_a")
    plate = given.above_zero("plate.rated_current_a")
    amps = trip_current_a(float(setting), float(pickup))
    note = f"{setting} A × {tidy(pickup)} = {plain(amps)} A on a {plate} A motor"
    return plain(percent_of_base(amps, float(plate)), 4), note


def _trip_allowed(given: Inputs) -> Made:
    from asleft.machine.overload import most_trip_percent

    factor = given.view.look("plate.service_factor")
    if isinstance(factor, Known) and isinstance(factor.value, Decimal):
        return plain(most_trip_percent(float(factor.value)), 4), f"service factor {factor.value}"
    return plain(most_trip_percent(1.0), 4), "no service factor on the plate's record, 1.0 taken"


def _power_at_maximum(given: Inputs) -> Made:
    power, note = _power_kw(given)
    return plain(power), note


def _power_kw(given: Inputs) -> tuple[float, str]:
    from asleft.machine.load import shaft_power_kw

    kind, estimated = _load_kind(given)
    top = given.above_zero("limits.frequency_max_hz")
    working = given.above_zero("machine.working_frequency_hz")
    power = given.number("machine.working_power_kw")
    result = shaft_power_kw(kind, float(top), float(power), float(working))
    return result, f"{estimated} from {power} kW at {working} Hz, an estimate"


def _load_kind(given: Inputs) -> tuple[LoadKind, str]:
    from asleft.machine.load import LoadKind

    load = given.value("machine.load")
    static = given.view.look("machine.static_head_pct")
    if load == "pump" and isinstance(static, Known) and static.value != 0:
        raise Lacking("a pump against a static head does not follow the cube law")
    kinds = {
        "fan": (LoadKind.SQUARE, "by the cube law"),
        "pump": (LoadKind.SQUARE, "by the cube law"),
        "constant_torque": (LoadKind.CONSTANT_TORQUE, "at constant torque"),
        "hoist": (LoadKind.CONSTANT_TORQUE, "at constant torque"),
        "constant_power": (LoadKind.CONSTANT_POWER, "at constant power"),
    }
    return kinds[str(load)]


def _power_share(given: Inputs) -> Made:
    power, _ = _power_kw(given)
    plate = given.above_zero("plate.rated_power_kw")
    top = given.number("limits.frequency_max_hz")
    note = f"{plain(power)} kW at {top} Hz on a {plate} kW motor, an estimate"
    return plain(power / float(plate) * 100), note


def _least_stop(given: Inputs) -> Made:
    from asleft.machine.braking import least_stop_time_s
    from asleft.machine.motor import poles_from_plate, synchronous_speed_rpm, torque_nm

    inertia = float(given.above_zero("machine.inertia_kgm2"))
    power, speed = (float(given.above_zero(f"plate.rated_{name}")) for name in ("power_kw", "speed_rpm"))
    poles = poles_from_plate(speed, float(given.above_zero("plate.rated_frequency_hz")))
    top = synchronous_speed_rpm(float(given.above_zero("limits.frequency_max_hz")), poles)
    drag = _fan_drag(given, top)
    time = plain(least_stop_time_s(inertia, top, torque_nm(power, speed), drag_torque_nm=drag), 2)
    note = "losses of motor and drive taken as a tenth of rated torque, an estimate"
    run_down = given.view.look("machine.run_down_time_s")
    if isinstance(run_down, Known) and isinstance(run_down.value, Decimal) and run_down.value < time:
        return run_down.value, "the machine runs down in this time by itself"
    return time, f"{note}, the machine's own drag counted" if drag else note


def _fan_drag(given: Inputs, top_rpm: float) -> float:
    """Mean drag over the speeds of a stop: a third of the torque at the top, for a square load; else none."""
    from asleft.machine.motor import torque_nm

    load, power = given.view.look("machine.load"), given.view.look("derived.power_at_maximum_kw")
    if isinstance(load, Known) and load.value == "fan" and isinstance(power, Known):
        return torque_nm(float(str(power.value)), top_rpm) / 3
    return 0.0


def _plate_check(given: Inputs) -> Made:
    from asleft.machine.nameplate import Hypothesis, Plate, check_plate

    poles = given.view.look("plate.pole_count")
    plate = Plate(
        power_kw=float(given.number("plate.rated_power_kw")),
        voltage_v=float(given.number("plate.rated_voltage_v")),
        current_a=float(given.number("plate.rated_current_a")),
        power_factor=float(given.number("plate.power_factor")),
        speed_rpm=float(given.number("plate.rated_speed_rpm")),
        frequency_hz=float(given.number("plate.rated_frequency_hz")),
        poles=int(str(poles.value)) if isinstance(poles, Known) else None,
    )
    check = check_plate(plate)
    if check.consistent:
        return "agrees", f"efficiency {round(check.implied_efficiency * 100)} %"
    fits = [fit.hypothesis for fit in (*check.electrical, *check.mechanical)]
    likely = [str(fit).replace("_", " ") for fit in fits if fit is not Hypothesis.CONSISTENT]
    note = f"volts, amps and cos φ make {round(check.implied_efficiency * 100)} % efficiency"
    return "contradicts", f"{note}; likely: {', '.join(likely)}" if likely else note


def _torque_stood(given: Inputs) -> Made:
    from asleft.machine.overload import low_speed_torque_share

    cooling = given.value("plate.cooling")
    if cooling != "self_fan":
        return Decimal(100), "its cooling does not depend on speed"
    low = given.number("limits.frequency_min_hz")
    rated = given.above_zero("plate.rated_frequency_hz")
    share = low_speed_torque_share(float(low / rated))
    return plain(share * 100, 2), f"own fan on the shaft, {low} Hz, an estimate"


def _load_torque(given: Inputs) -> Made:
    load = given.value("machine.load")
    if load not in ("constant_torque", "hoist"):
        raise Lacking("the load's torque is not constant over speed")
    limit = given.view.look("machine.load_limit_pct")
    if isinstance(limit, Known):
        return limit.value, "load limit at low speed"
    power, working = (given.above_zero(f"machine.working_{name}") for name in ("power_kw", "frequency_hz"))
    plate, rated = (given.above_zero(f"plate.rated_{name}") for name in ("power_kw", "frequency_hz"))
    return tidy(power / working / (plate / rated) * 100, 2), f"{power} kW at {working} Hz"


_MAKERS: Mapping[str, Callable[[Inputs], Made]] = {
    "drive.rated_current": _drive_current,
    "derived.ramp_reference_hz": _ramp_reference,
    "derived.accel_rate_hz_per_s": _rate("ramps.accel_time_1_s"),
    "derived.decel_rate_hz_per_s": _rate("ramps.decel_time_1_s"),
    "derived.stop_time_s": _stop_time,
    "derived.start_time_s": _start_time,
    "derived.overload_pct_of_plate": _overload_share,
    "derived.trip_pct_of_plate": _trip_share,
    "derived.trip_allowed_pct_of_plate": _trip_allowed,
    "derived.power_at_maximum_kw": _power_at_maximum,
    "derived.power_at_maximum_pct": _power_share,
    "derived.least_stop_time_s": _least_stop,
    "derived.plate_check": _plate_check,
    "derived.torque_stood_at_minimum_pct": _torque_stood,
    "derived.load_torque_pct": _load_torque,
}
