"""Masses that turn: torque to speed them up, time they take, how they coast."""

import math
from enum import StrEnum

from asleft.machine import checks
from asleft.machine.motor import estimated_current_a

KGM2_PER_LBFT2 = 0.45359237 * 0.3048**2
RAD_PER_S_PER_RPM = 2 * math.pi / 60


class Drag(StrEnum):
    """How the torque that slows a coasting shaft goes with its speed."""

    CONSTANT = "constant"
    LINEAR = "linear"
    SQUARE = "square"


def inertia_from_wk2_kgm2(wk2_lbft2: float) -> float:
    """J in kg·m² from WK² in lb·ft². Raises ValueError for a negative.

    Source: the exact definitions of pound and foot.
    """
    checks.not_negative(wk2_lbft2=wk2_lbft2)
    return wk2_lbft2 * KGM2_PER_LBFT2


def disc_inertia_kgm2(mass_kg: float, radius_m: float) -> float:
    """J = ½·m·r² of a solid disc. Raises ValueError for negatives.

    Source: theprimecalculator.com, flywheel energy calculator.
    """
    checks.not_negative(mass_kg=mass_kg, radius_m=radius_m)
    return mass_kg * radius_m**2 / 2


def reflected_inertia_kgm2(load_inertia_kgm2: float, load_speed_rpm: float, motor_speed_rpm: float) -> float:
    """Load inertia as the motor feels it through a gear, J·(n_load/n_motor)².

    Raises ValueError for negatives or a motor speed not above zero. Source: scribd.com, document 375411626.
    """
    checks.not_negative(load_inertia_kgm2=load_inertia_kgm2, load_speed_rpm=load_speed_rpm)
    checks.above_zero(motor_speed_rpm=motor_speed_rpm)
    return load_inertia_kgm2 * (load_speed_rpm / motor_speed_rpm) ** 2


def trolley_inertia_kgm2(mass_kg: float, speed_m_s: float, motor_speed_rpm: float) -> float:
    """A mass moving in a line as inertia at the motor, m·(v/ω)². Raises as `reflected_inertia_kgm2`.

    Source: arithmetic on equal energy.
    """
    checks.not_negative(mass_kg=mass_kg, speed_m_s=speed_m_s)
    checks.above_zero(motor_speed_rpm=motor_speed_rpm)
    return mass_kg * (speed_m_s / (motor_speed_rpm * RAD_PER_S_PER_RPM)) ** 2


def accelerating_torque_nm(inertia_kgm2: float, speed_change_rpm: float, time_s: float) -> float:
    """Torque beyond the load's to change speed in a time, J·Δω/t; negative when slowing.

    Raises ValueError for a negative inertia or a time not above zero. Source: qammunity.org/6218401
    (J = 9.55·T·t/Δn).
    """
    checks.not_negative(inertia_kgm2=inertia_kgm2)
    checks.finite(speed_change_rpm=speed_change_rpm)
    checks.above_zero(time_s=time_s)
    return inertia_kgm2 * speed_change_rpm * RAD_PER_S_PER_RPM / time_s


def accelerating_time_s(inertia_kgm2: float, speed_change_rpm: float, torque_nm: float) -> float:
    """Time a constant spare torque takes, J·Δω/T. Raises ValueError for negatives or a torque not above zero.

    Source: scribd.com, document 375411626 (t = WK²·ΔN/(308·T)).
    """
    checks.not_negative(inertia_kgm2=inertia_kgm2, speed_change_rpm=speed_change_rpm)
    checks.above_zero(torque_nm=torque_nm)
    return inertia_kgm2 * speed_change_rpm * RAD_PER_S_PER_RPM / torque_nm


def accelerating_time_wk2_s(wk2_lbft2: float, speed_change_rpm: float, torque_lbft: float) -> float:
    """The same in lb·ft², rpm and lb·ft (308 where printed, exact 307.24). Raises likewise."""
    checks.above_zero(torque_lbft=torque_lbft)
    pound_force_n = 0.45359237 * 9.80665
    return accelerating_time_s(
        inertia_from_wk2_kgm2(wk2_lbft2), speed_change_rpm, torque_lbft * pound_force_n * 0.3048
    )


def inertia_from_run_up_kgm2(torque_nm: float, time_s: float, speed_change_rpm: float) -> float:
    """Inertia from an observed run-up, T·t/Δω. Raises ValueError unless all are above zero.

    Source: qammunity.org/6218401.
    """
    checks.above_zero(torque_nm=torque_nm, time_s=time_s, speed_change_rpm=speed_change_rpm)
    return torque_nm * time_s / (speed_change_rpm * RAD_PER_S_PER_RPM)


def accelerating_current_a(
    rated_current_a: float, power_factor: float, rated_torque_nm: float, torque_nm: float
) -> float:
    """Current while accelerating with a total torque (load and inertia) at full flux.

    Raises ValueError unless the rated torque is above zero. An approximation, as `estimated_current_a`.
    """
    checks.above_zero(rated_torque_nm=rated_torque_nm)
    return estimated_current_a(rated_current_a, power_factor, torque_nm / rated_torque_nm)


def coasting_time_s(
    inertia_kgm2: float, from_rpm: float, to_rpm: float, drag_torque_nm: float, drag: Drag | str
) -> float:
    """Time a shaft without drive takes from one speed to a lower one.

    `drag_torque_nm` is the drag at the first speed; unless it is constant, zero is never reached (inf).
    Constant: J·(ω1 − ω2)/T. Linear: J·ω1/T·ln(ω1/ω2).
    Square: J·ω1/T·(ω1/ω2 − 1). Raises ValueError for a rising speed or values not above zero.
    Source: arithmetic on J·dω/dt = −T.
    """
    checks.above_zero(inertia_kgm2=inertia_kgm2, from_rpm=from_rpm, drag_torque_nm=drag_torque_nm)
    checks.within(0, from_rpm, to_rpm=to_rpm)
    whole_s = inertia_kgm2 * from_rpm * RAD_PER_S_PER_RPM / drag_torque_nm
    if Drag(drag) is Drag.CONSTANT:
        return whole_s * (1 - to_rpm / from_rpm)
    if to_rpm == 0:
        return math.inf
    return whole_s * (math.log(from_rpm / to_rpm) if drag == Drag.LINEAR else from_rpm / to_rpm - 1)


def coasting_speed_rpm(
    inertia_kgm2: float, from_rpm: float, drag_torque_nm: float, drag: Drag | str, time_s: float
) -> float:
    """Speed after coasting for a time: `coasting_time_s` turned round. Raises likewise."""
    checks.above_zero(inertia_kgm2=inertia_kgm2, from_rpm=from_rpm, drag_torque_nm=drag_torque_nm)
    checks.not_negative(time_s=time_s)
    share = time_s * drag_torque_nm / (inertia_kgm2 * from_rpm * RAD_PER_S_PER_RPM)
    if Drag(drag) is Drag.CONSTANT:
        return from_rpm * max(0.0, 1 - share)
    return from_rpm * (math.exp(-share) if drag == Drag.LINEAR else 1 / (1 + share))
