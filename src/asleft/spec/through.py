"""Which setting moves a computed quantity, and to what."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from asleft.record import Value
from asleft.spec.operands import Known
from asleft.spec.subject import View


@dataclass(frozen=True, slots=True)
class Lever:
    """The quantity goes with the setting (``way`` 1) or against it (-1), in proportion; ``words`` where the
    proportion does not hold: what to do to get more of it, and less."""

    key: str
    way: int
    more: str
    less: str


_RAMP = ("lengthen the {} time", "shorten the {} time")
LEVERS: Mapping[str, Lever] = {
    "derived.stop_time_s": Lever("ramps.decel_time_1_s", 1, *(one.format("deceleration") for one in _RAMP)),
    "derived.start_time_s": Lever("ramps.accel_time_1_s", 1, *(one.format("acceleration") for one in _RAMP)),
    "derived.decel_rate_hz_per_s": Lever(
        "ramps.decel_time_1_s", -1, *(one.format("deceleration") for one in reversed(_RAMP))
    ),
    "derived.accel_rate_hz_per_s": Lever(
        "ramps.accel_time_1_s", -1, *(one.format("acceleration") for one in reversed(_RAMP))
    ),
    "derived.overload_pct_of_plate": Lever(
        "protection.overload_current_a", 1, "raise the overload current", "lower the overload current"
    ),
    "derived.trip_pct_of_plate": Lever(
        "protection.overload_current_a", 1, "raise the overload current", "lower the overload current"
    ),
    "derived.power_at_maximum_kw": Lever("", 0, "", "lower the maximum frequency"),
    "derived.power_at_maximum_pct": Lever("", 0, "", "lower the maximum frequency"),
    "derived.load_torque_pct": Lever("", 0, "", "raise the minimum frequency, or cool the motor separately"),
}
_CURVES = {
    "ramps.decel_time_1_s": ("ramps.s_curve_decel_start_s", "ramps.s_curve_decel_end_s"),
    "ramps.accel_time_1_s": ("ramps.s_curve_accel_start_s", "ramps.s_curve_accel_end_s"),
}
_STEP = Decimal("0.1")


@dataclass(frozen=True, slots=True)
class Moved:
    """The setting that brings the quantity where it must be, or what to do in words."""

    targets: Mapping[str, Value]
    do: str = ""


def moved(found: Known, bound: Decimal | None, more: bool, view: View) -> Moved:
    """What brings a computed quantity to a bound; ``more`` where it is too small.

    The setting is rounded to 0.1 on the side that meets the bound. Nothing where no setting moves it.
    """
    lever = LEVERS.get(found.operand.name)
    if lever is None:
        return Moved({})
    words = lever.more if more else lever.less
    setting = view.look(lever.key) if lever.key else None
    value = found.value
    if bound is None or not isinstance(setting, Known) or not _in_proportion(lever.key, view):
        return Moved({}, words)
    if not isinstance(value, Decimal) or not isinstance(setting.value, Decimal) or not value or not bound:
        return Moved({}, words)
    raw = setting.value * (bound / value if lever.way > 0 else value / bound)
    upwards = more if lever.way > 0 else not more
    rounded = raw.quantize(_STEP, ROUND_CEILING if upwards else ROUND_FLOOR)
    return Moved({lever.key: rounded}) if rounded > 0 else Moved({}, words)


def _in_proportion(key: str, view: View) -> bool:
    """Not with an S-curve, whose time is added, and not where the stop is no plain ramp."""
    for curve in _CURVES.get(key, ()):
        found = view.look(curve)
        if isinstance(found, Known) and found.value != 0:
            return False
    method = view.look("start_stop.stop_method")
    plain = not isinstance(method, Known) or method.value in ("ramp", "ramp_then_dc")
    return key != "ramps.decel_time_1_s" or plain
