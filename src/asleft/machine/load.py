"""What the machine asks of the shaft: fans and pumps, conveyors, winders, hoists, bowls."""

import math
from dataclasses import dataclass
from enum import StrEnum

from asleft.machine import checks

GRAVITY_M_S2 = 9.80665


class LoadKind(StrEnum):
    """How a machine's torque goes with its speed."""

    SQUARE = "square"
    LINEAR = "linear"
    CONSTANT_TORQUE = "constant_torque"
    CONSTANT_POWER = "constant_power"


_TORQUE_EXPONENT = {
    LoadKind.SQUARE: 2,
    LoadKind.LINEAR: 1,
    LoadKind.CONSTANT_TORQUE: 0,
    LoadKind.CONSTANT_POWER: -1,
}


def torque_share(kind: LoadKind | str, speed_share: float) -> float:
    """Torque at a share of speed over torque at full speed: r², r, 1 or 1/r.

    Raises ValueError unless the share is above zero. Source: DOE-HDBK-1012/3 for the square; the others by
    definition.
    """
    checks.above_zero(speed_share=speed_share)
    return float(speed_share ** _TORQUE_EXPONENT[LoadKind(kind)])


def power_share(kind: LoadKind | str, speed_share: float) -> float:
    """Shaft power over power at full speed: torque share × speed share. Raises likewise."""
    return torque_share(kind, speed_share) * speed_share


def shaft_power_kw(
    kind: LoadKind | str, frequency_hz: float, known_power_kw: float, known_frequency_hz: float
) -> float:
    """Shaft power at a frequency from the power known at another, speed taken to go with frequency.

    For fans and pumps it holds only without static head. Raises ValueError unless frequencies are above zero
    and the power is not negative. Source: DOE-HDBK-1012/3 for the cube; arithmetic.
    """
    checks.not_negative(known_power_kw=known_power_kw)
    checks.above_zero(frequency_hz=frequency_hz, known_frequency_hz=known_frequency_hz)
    return known_power_kw * power_share(kind, frequency_hz / known_frequency_hz)


def affinity_flow(flow: float, speed_share: float) -> float:
    """Flow q·r in the unit given, without static head. Raises ValueError for a negative flow or share.

    Source: DOE-HDBK-1012/3 (pages that print flow with the cube are wrong).
    """
    checks.not_negative(flow=flow, speed_share=speed_share)
    return flow * speed_share


def affinity_head(head: float, speed_share: float) -> float:
    """Head or pressure h·r² in the unit given. Otherwise as `affinity_flow`."""
    checks.not_negative(head=head, speed_share=speed_share)
    return head * speed_share**2


def affinity_power(power: float, speed_share: float) -> float:
    """Shaft power p·r³ in the unit given. Otherwise as `affinity_flow`."""
    checks.not_negative(power=power, speed_share=speed_share)
    return power * speed_share**3


@dataclass(frozen=True, slots=True)
class PumpPoint:
    """A centrifugal pump at full speed: duty flow and head, shut-off head, static head; any consistent units.

    Pump curve H = H_0·r² − k·Q², system H = H_s + c·Q². Raises ValueError unless flow is above zero and
    0 ≤ H_s < duty head ≤ H_0.
    """

    flow: float
    head: float
    shut_off_head: float
    static_head: float = 0.0

    def __post_init__(self) -> None:
        checks.above_zero(flow=self.flow, head=self.head)
        checks.not_negative(static_head=self.static_head)
        if not self.static_head < self.head <= self.shut_off_head:
            raise ValueError(
                "the static head must lie below the duty head, and that not above the shut-off head"
            )


def least_speed_share(point: PumpPoint) -> float:
    """Share of speed below which nothing flows, √(H_s/H_0). Source: arithmetic on the two curves."""
    return math.sqrt(point.static_head / point.shut_off_head)


def pump_flow(point: PumpPoint, speed_share: float) -> float:
    """Flow where both curves meet, Q·√((H_0·r² − H_s)/(H_0 − H_s)); 0 below `least_speed_share`.

    Raises ValueError for a negative share. Source: arithmetic on the two curves.
    """
    checks.not_negative(speed_share=speed_share)
    left = point.shut_off_head * speed_share**2 - point.static_head
    return point.flow * math.sqrt(max(0.0, left) / (point.shut_off_head - point.static_head))


def pump_head(point: PumpPoint, speed_share: float) -> float:
    """Head of the system at `pump_flow`; below the least speed share what the pump makes, H_0·r²."""
    if speed_share < least_speed_share(point):
        return affinity_head(point.shut_off_head, speed_share)
    share = pump_flow(point, speed_share) / point.flow
    return point.static_head + (point.head - point.static_head) * share**2


def pump_power_share(point: PumpPoint, speed_share: float) -> float:
    """Shaft power over power at full speed, Q·H/(Q_1·H_1), the pump's efficiency taken as unchanged.

    Raises ValueError where nothing flows: the power then only heats what stands in the pump, and this model
    cannot tell how much. Source: arithmetic; unchanged efficiency is common practice, no source.
    """
    flow = pump_flow(point, speed_share)
    if flow == 0:
        raise ValueError("nothing flows at this speed, so the shaft power cannot be told")
    return (flow / point.flow) * (pump_head(point, speed_share) / point.head)


def hoist_power_kw(mass_kg: float, speed_m_s: float, efficiency: float) -> float:
    """Shaft power to lift, m·g·v/(1000·η). Raises ValueError for negatives or η outside 0.1…1.

    Source: arithmetic.
    """
    checks.not_negative(mass_kg=mass_kg, speed_m_s=speed_m_s)
    checks.within(0.1, 1, efficiency=efficiency)
    return mass_kg * GRAVITY_M_S2 * speed_m_s / (1000 * efficiency)


def lowering_power_kw(mass_kg: float, speed_m_s: float, efficiency: float) -> float:
    """Shaft power that comes back when lowering, m·g·v·η/1000. Raises as `hoist_power_kw`."""
    checks.not_negative(mass_kg=mass_kg, speed_m_s=speed_m_s)
    checks.within(0.1, 1, efficiency=efficiency)
    return mass_kg * GRAVITY_M_S2 * speed_m_s * efficiency / 1000


def rotor_stress_share(frequency_hz: float, known_frequency_hz: float) -> float:
    """Stress in a spinning bowl or wheel over its stress at the known frequency, (f/f_1)².

    Raises ValueError unless the known frequency is above zero. Source: arithmetic.
    """
    checks.not_negative(frequency_hz=frequency_hz)
    checks.above_zero(known_frequency_hz=known_frequency_hz)
    return (frequency_hz / known_frequency_hz) ** 2
