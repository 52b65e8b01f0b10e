"""Motor overload: trip classes, the first-order thermal model, what may be set."""

import itertools
import math
from enum import StrEnum

from asleft.machine import checks


class Standard(StrEnum):
    """Whose trip class a number is."""

    IEC = "iec"
    NEMA = "nema"


CLASS_MULTIPLE = {Standard.IEC: 7.2, Standard.NEMA: 6.0}
"""Multiple of the setting the class speaks of. Source: memory of IEC 60947-4-1; electricalterminology.com."""

IEC_TRIP_WINDOW_S = {
    "5": (0.5, 5.0),
    "10A": (2.0, 10.0),
    "10": (4.0, 10.0),
    "20": (6.0, 20.0),
    "30": (9.0, 30.0),
}
"""Trip from cold at 7.2 × the setting, least and most seconds. Source: memory of IEC 60947-4-1 table."""

IEC_WARM_MOST_S = {"10A": 120.0, "10": 240.0, "20": 480.0, "30": 720.0}
"""Most seconds to trip at 1.5 × after balance at 1.0 ×. Source: memory of IEC 60947-4-1."""

IEC_NO_TRIP_MULTIPLE = 1.05
IEC_TRIP_MULTIPLE = 1.2
IEC_CONVENTIONAL_TIME_S = 7200.0
"""No trip within this time at 1.05 × from cold, trip within it at 1.2 × warm. Memory of IEC 60947-4-1."""

_LOW_SPEED_TORQUE = ((0.0, 0.40), (0.1, 0.55), (0.2, 0.65), (0.5, 0.85), (0.9, 1.0), (1.0, 1.0))


def class_trip_time_s(trip_class: str, standard: Standard | str) -> float:
    """Most seconds to trip from cold at the class's multiple: the class number.

    Raises ValueError for a class without a number. Source: memory of IEC 60947-4-1; NEMA, class number = most
    seconds at 6 × full-load amps.
    """
    number = trip_class.removesuffix("A") if Standard(standard) is Standard.IEC else trip_class
    if not (number.isascii() and number.isdigit() and int(number) > 0):
        raise ValueError(f"trip class {trip_class} names no time")
    return float(number)


def time_constant_s(trip_time_s: float, multiple: float, pickup: float = 1.1) -> float:
    """Time constant of a first-order model that trips from cold in a time at a multiple of the setting.

    τ = t/ln(m²/(m² − k²)), k the pick-up as a multiple of the setting. Raises ValueError unless the time is
    above zero and the multiple above the pick-up. Source: arithmetic.
    """
    checks.above_zero(trip_time_s=trip_time_s, pickup=pickup)
    if not (math.isfinite(multiple) and multiple > pickup):
        raise ValueError(f"at {multiple:g} × the setting a pick-up of {pickup:g} never trips")
    return trip_time_s / -math.log1p(-((pickup / multiple) ** 2))


def class_time_constant_s(trip_class: str, standard: Standard | str, pickup: float = 1.1) -> float:
    """Time constant from a trip class at its limit. Raises as the two functions it joins."""
    return time_constant_s(
        class_trip_time_s(trip_class, standard), CLASS_MULTIPLE[Standard(standard)], pickup
    )


def time_to_trip_s(
    load: float, time_constant_s: float, pickup: float = 1.1, balanced_at: float = 0.0
) -> float:
    """Seconds to trip at a load (multiple of the setting) after thermal balance at another; inf: never.

    t = τ·ln((m² − w²)/(m² − k²)); w = 0 is cold; at or below the pick-up k it never trips.
    Raises ValueError for negatives, or a balance above the pick-up, which would have tripped.
    Source: arithmetic on a first-order model.
    """
    checks.not_negative(load=load, balanced_at=balanced_at)
    return time_from_heat_s(load, time_constant_s, heat_at_balance(balanced_at, pickup), pickup)


def time_from_heat_s(load: float, time_constant_s: float, heat: float, pickup: float = 1.1) -> float:
    """The same from a state of heat, 0 cold to 1 trip. Raises ValueError for a heat outside 0…1."""
    checks.not_negative(load=load)
    checks.above_zero(time_constant_s=time_constant_s, pickup=pickup)
    checks.within(0, 1, heat=heat)
    if load <= pickup:
        return math.inf
    final = (load / pickup) ** 2
    return time_constant_s * math.log((final - heat) / (final - 1))


def heat_at_balance(load: float, pickup: float = 1.1) -> float:
    """State of heat a lasting load ends in, (m/k)²: 0 cold, 1 trip, above 1 tripped on the way.

    Raises ValueError for a negative load or a pick-up not above zero. Source: arithmetic.
    """
    checks.not_negative(load=load)
    checks.above_zero(pickup=pickup)
    return (load / pickup) ** 2


def heat_after(heat: float, load: float, time_s: float, time_constant_s: float, pickup: float = 1.1) -> float:
    """State of heat after a time at a load, h∞ + (h − h∞)·e^(−t/τ). Raises ValueError for negatives.

    Source: arithmetic on a first-order model.
    """
    checks.not_negative(heat=heat, time_s=time_s)
    checks.above_zero(time_constant_s=time_constant_s)
    final = heat_at_balance(load, pickup)
    return final + (heat - final) * math.exp(-time_s / time_constant_s)


def cooling_time_s(heat: float, reset_heat: float, time_constant_s: float) -> float:
    """Seconds at rest until the heat falls to a reset level, τ·ln(h/h_r); 0 if it is there already.

    Real motors cool more slowly at rest, their fan standing. Raises ValueError unless the reset level
    is above zero. Source: arithmetic.
    """
    checks.above_zero(reset_heat=reset_heat, time_constant_s=time_constant_s)
    checks.not_negative(heat=heat)
    return time_constant_s * math.log(heat / reset_heat) if heat > reset_heat else 0.0


def most_trip_percent(service_factor: float, temperature_rise_k: float | None = None) -> float:
    """Most trip rating in percent of nameplate amps: 125 for a service factor of 1.15 or more, or a rise of
    40 °C or less, else 115. Raises ValueError unless the service factor is at least 1. Source: NEC 430.32.
    """
    checks.within(1, 2, service_factor=service_factor)
    if temperature_rise_k is not None:
        checks.above_zero(temperature_rise_k=temperature_rise_k)
    cool = temperature_rise_k is not None and temperature_rise_k <= 40
    return 125.0 if cool or service_factor >= 1.15 else 115.0


def trip_current_a(overload_current_a: float, pickup: float) -> float:
    """Amps above which it trips in the end, setting × pick-up. Raises ValueError unless both above zero."""
    checks.above_zero(overload_current_a=overload_current_a, pickup=pickup)
    return overload_current_a * pickup


def most_trip_current_a(
    plate_current_a: float, service_factor: float, temperature_rise_k: float | None = None
) -> float:
    """Most amps at which a motor's overload may trip. Raises likewise. Source: NEC 430.32."""
    checks.above_zero(plate_current_a=plate_current_a)
    return plate_current_a * most_trip_percent(service_factor, temperature_rise_k) / 100


def relative_heating(current_a: float, motor_current_a: float) -> float:
    """Copper heat at a current over that at the motor's, (I/I_m)². Raises ValueError unless both above zero.

    Source: arithmetic.
    """
    checks.above_zero(current_a=current_a, motor_current_a=motor_current_a)
    return (current_a / motor_current_a) ** 2


def percent_of_base(current_a: float, base_current_a: float) -> float:
    """A setting in amps as percent of a base. Raises ValueError unless both are above zero."""
    checks.above_zero(current_a=current_a, base_current_a=base_current_a)
    return 100 * current_a / base_current_a


def low_speed_torque_share(frequency_share: float) -> float:
    """Lasting torque a self-ventilated motor stands at a share of rated frequency, over rated.

    Straight between 0.40 at rest, 0.55 at a tenth, 0.65 at a fifth, 0.85 at half, 1 from nine tenths up.
    An approximation: the motor's own curve is better. Raises ValueError for a negative share.
    Source: common practice, no source.
    """
    checks.not_negative(frequency_share=frequency_share)
    for (left, low), (right, high) in itertools.pairwise(_LOW_SPEED_TORQUE):
        if frequency_share <= right:
            return low + (high - low) * (frequency_share - left) / (right - left)
    return 1.0
