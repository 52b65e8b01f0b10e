"""Stopping a mass: energy, power, the resistor, and what happens without one."""

import math
from dataclasses import dataclass

from asleft.machine import checks
from asleft.machine.inertia import RAD_PER_S_PER_RPM


@dataclass(frozen=True, slots=True)
class ResistorRange:
    """Least and greatest ohms of a braking resistor; with the least above the greatest none serves."""

    least_ohm: float
    greatest_ohm: float

    @property
    def exists(self) -> bool:
        """Whether any resistor serves."""
        return self.least_ohm <= self.greatest_ohm

    def holds(self, resistance_ohm: float) -> bool:
        """Whether this resistor serves."""
        return self.least_ohm <= resistance_ohm <= self.greatest_ohm


def kinetic_energy_j(inertia_kgm2: float, speed_rpm: float) -> float:
    """Energy in a turning mass, ½·J·ω². Raises ValueError for a negative inertia.

    Source: theprimecalculator.com, flywheel energy calculator.
    """
    checks.not_negative(inertia_kgm2=inertia_kgm2)
    checks.finite(speed_rpm=speed_rpm)
    return inertia_kgm2 * (speed_rpm * RAD_PER_S_PER_RPM) ** 2 / 2


def braking_torque_nm(
    inertia_kgm2: float, speed_change_rpm: float, time_s: float, drag_torque_nm: float = 0.0
) -> float:
    """Torque the drive must hold to slow in a time, J·Δω/t less the machine's own drag; never below zero.

    Raises ValueError for negatives or a time not above zero. Source: arithmetic.
    """
    checks.not_negative(
        inertia_kgm2=inertia_kgm2, speed_change_rpm=speed_change_rpm, drag_torque_nm=drag_torque_nm
    )
    checks.above_zero(time_s=time_s)
    return max(0.0, inertia_kgm2 * speed_change_rpm * RAD_PER_S_PER_RPM / time_s - drag_torque_nm)


def peak_braking_power_w(torque_nm: float, speed_rpm: float) -> float:
    """Power at the first instant of slowing, T·ω. Raises ValueError for negatives.

    Source: firgelliauto.com, regenerative braking resistor sizing.
    """
    checks.not_negative(torque_nm=torque_nm, speed_rpm=speed_rpm)
    return torque_nm * speed_rpm * RAD_PER_S_PER_RPM


def average_braking_power_w(energy_j: float, time_s: float) -> float:
    """Mean power over the stop, E/t. Raises ValueError for a negative energy or a time not above zero.

    Source: firgelliauto.com, regenerative braking resistor sizing.
    """
    checks.not_negative(energy_j=energy_j)
    checks.above_zero(time_s=time_s)
    return energy_j / time_s


def resistor_range(chopper_level_v: float, peak_power_w: float, unit_least_ohm: float) -> ResistorRange:
    """Ohms that serve: at most V²/P_peak to take the power, at least the unit's least or the chopper fails.

    Raises ValueError unless all are above zero.
    Source: firgelliauto.com, regenerative braking resistor sizing.
    """
    checks.above_zero(
        chopper_level_v=chopper_level_v, peak_power_w=peak_power_w, unit_least_ohm=unit_least_ohm
    )
    return ResistorRange(unit_least_ohm, chopper_level_v**2 / peak_power_w)


def least_resistance_ohm(chopper_level_v: float, chopper_current_a: float) -> float:
    """Least ohms from the current the chopper can switch, V/I. Raises ValueError unless both are above zero.

    Source: arithmetic.
    """
    checks.above_zero(chopper_level_v=chopper_level_v, chopper_current_a=chopper_current_a)
    return chopper_level_v / chopper_current_a


def duty_share(braking_time_s: float, cycle_time_s: float) -> float:
    """Share of the cycle spent braking. Raises ValueError for a braking longer than its cycle.

    Source: by definition.
    """
    checks.above_zero(cycle_time_s=cycle_time_s)
    checks.within(0, cycle_time_s, braking_time_s=braking_time_s)
    return braking_time_s / cycle_time_s


def continuous_resistor_power_w(energy_per_stop_j: float, cycle_time_s: float) -> float:
    """Power the resistor must shed for ever, energy of a stop over the cycle. Raises as the average power."""
    return average_braking_power_w(energy_per_stop_j, cycle_time_s)


def capacitor_energy_j(capacitance_uf: float, from_v: float, to_v: float) -> float:
    """Energy a DC link takes up from one voltage to another, ½·C·(V2² − V1²); negative on the way down.

    Raises ValueError for negatives. Source: arithmetic.
    """
    checks.not_negative(capacitance_uf=capacitance_uf, from_v=from_v, to_v=to_v)
    return capacitance_uf * 1e-6 * (to_v**2 - from_v**2) / 2


def dc_link_after_v(capacitance_uf: float, from_v: float, energy_j: float) -> float:
    """DC link once it has taken up an energy without a resistor, √(V² + 2·E/C).

    Losses are to be taken off the energy first. Raises ValueError for negatives or no capacitance.
    Source: arithmetic.
    """
    checks.above_zero(capacitance_uf=capacitance_uf)
    checks.not_negative(from_v=from_v, energy_j=energy_j)
    return math.sqrt(from_v**2 + 2 * energy_j / (capacitance_uf * 1e-6))


def least_stop_time_s(
    inertia_kgm2: float,
    speed_rpm: float,
    rated_torque_nm: float,
    loss_share: float = 0.1,
    drag_torque_nm: float = 0.0,
) -> float:
    """Shortest stop a drive holds without a resistor, J·ω/(T_drag + share·T_rated).

    `loss_share` is the braking torque that motor and drive turn into heat by themselves, over rated torque:
    an approximation, larger for small motors and smaller for large ones (0.02…0.3).
    Raises ValueError outside these ranges. Source: common practice, no source.
    """
    checks.above_zero(inertia_kgm2=inertia_kgm2, speed_rpm=speed_rpm, rated_torque_nm=rated_torque_nm)
    checks.within(0.02, 0.3, loss_share=loss_share)
    checks.not_negative(drag_torque_nm=drag_torque_nm)
    return inertia_kgm2 * speed_rpm * RAD_PER_S_PER_RPM / (drag_torque_nm + loss_share * rated_torque_nm)


def held_rate_hz_per_s(frequency_hz: float, least_stop_time_s: float) -> float:
    """Fastest deceleration without a resistor as a rate, f/t. Raises ValueError unless both above zero."""
    checks.above_zero(frequency_hz=frequency_hz, least_stop_time_s=least_stop_time_s)
    return frequency_hz / least_stop_time_s
