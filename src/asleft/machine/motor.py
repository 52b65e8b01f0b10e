"""An induction motor by its plate: speeds, slip, torque, electrical power, current."""

import math

from asleft.machine import checks

KW_PER_HP = 0.74569987
NM_PER_LBFT = 1.3558179483
MOST_RATED_SLIP = 0.15
"""Above this share a rated speed does not belong to its frequency (common practice, no source)."""

_NM_RPM_PER_KW = 60_000 / (2 * math.pi)
_LBFT_RPM_PER_HP = 33_000 / (2 * math.pi)


def synchronous_speed_rpm(frequency_hz: float, poles: int) -> float:
    """Speed of the field, n = 120·f/p. Poles are counted singly (4, not 2 pairs).

    Raises ValueError for a negative frequency or an odd pole count.
    Source: electricalengineeringtoolbox.com, how to calculate synchronous speed.
    """
    checks.not_negative(frequency_hz=frequency_hz)
    checks.pole_count(poles)
    return 120 * frequency_hz / poles


def poles_from_plate(rated_speed_rpm: float, rated_frequency_hz: float) -> int:
    """Pole count whose field is the next at or above the rated speed.

    Raises ValueError where no pole count gives a rated slip of 0 to 15 %: speed and frequency are then not of
    one plate. Source: n = 120·f/p solved for p; the slip bound is common practice, no source.
    """
    checks.above_zero(rated_speed_rpm=rated_speed_rpm, rated_frequency_hz=rated_frequency_hz)
    poles = 2 * math.floor(60 * rated_frequency_hz / rated_speed_rpm)
    if poles < 2 or 1 - rated_speed_rpm * poles / (120 * rated_frequency_hz) > MOST_RATED_SLIP:
        rated = f"{rated_speed_rpm:g} rpm at {rated_frequency_hz:g} Hz"
        raise ValueError(f"no pole count makes {rated} the rated speed of a motor")
    return poles


def slip_share(speed_rpm: float, synchronous_rpm: float) -> float:
    """Slip s = (n_s − n)/n_s, 0…1 motoring, negative where the load drives the motor.

    Raises ValueError unless the synchronous speed is above zero. Source: DOE-HDBK-1011/4.
    """
    checks.finite(speed_rpm=speed_rpm)
    checks.above_zero(synchronous_speed_rpm=synchronous_rpm)
    return (synchronous_rpm - speed_rpm) / synchronous_rpm


def speed_from_slip_rpm(synchronous_rpm: float, slip: float) -> float:
    """Shaft speed n = n_s·(1 − s). Raises ValueError for a slip above 1.

    Source: theprimecalculator.com, motor speed calculator.
    """
    checks.not_negative(synchronous_speed_rpm=synchronous_rpm)
    checks.within(-1, 1, slip=slip)
    return synchronous_rpm * (1 - slip)


def rated_slip_rpm(rated_speed_rpm: float, rated_frequency_hz: float) -> float:
    """Synchronous less rated speed, the poles taken from the plate. Raises as `poles_from_plate`."""
    poles = poles_from_plate(rated_speed_rpm, rated_frequency_hz)
    return synchronous_speed_rpm(rated_frequency_hz, poles) - rated_speed_rpm


def shaft_speed_rpm(
    frequency_hz: float, rated_speed_rpm: float, rated_frequency_hz: float, torque_share: float = 1.0
) -> float:
    """Shaft speed at a frequency and a share of rated torque, without slip compensation.

    n = 120·f/p − s_r·m·max(1, f/f_r)², s_r the rated slip in rpm, m the torque share (−2…2, negative when the
    load drives); 0 where the slip would exceed the field's speed. An approximation: straight torque curve,
    full flux up to rated frequency, flux with 1/f above. Raises ValueError outside these ranges.
    Source: Electric Motor Handbook for the flux above base; the straight line is common practice, no source.
    """
    checks.within(-2, 2, torque_share=torque_share)
    poles = poles_from_plate(rated_speed_rpm, rated_frequency_hz)
    weakening = max(1.0, frequency_hz / rated_frequency_hz) ** 2
    slip_rpm = rated_slip_rpm(rated_speed_rpm, rated_frequency_hz) * torque_share * weakening
    return max(0.0, synchronous_speed_rpm(frequency_hz, poles) - slip_rpm)


def frequency_for_speed_hz(
    speed_rpm: float, rated_speed_rpm: float, rated_frequency_hz: float, torque_share: float = 1.0
) -> float:
    """Frequency that gives a shaft speed: `shaft_speed_rpm` turned round, for a speed above zero.

    Raises ValueError where the flux left above rated frequency cannot hold the torque at that speed.
    """
    checks.above_zero(speed_rpm=speed_rpm)
    checks.within(-2, 2, torque_share=torque_share)
    poles = poles_from_plate(rated_speed_rpm, rated_frequency_hz)
    slip_rpm = rated_slip_rpm(rated_speed_rpm, rated_frequency_hz) * torque_share
    below_base = poles * (speed_rpm + slip_rpm) / 120
    if below_base <= rated_frequency_hz:
        return max(0.0, below_base)
    field_rpm_per_hz, slip_rpm_per_hz2 = 120 / poles, slip_rpm / rated_frequency_hz**2
    root = field_rpm_per_hz**2 - 4 * slip_rpm_per_hz2 * speed_rpm
    if root < 0:
        raise ValueError(f"the motor cannot hold {torque_share:g} of its torque at {speed_rpm:g} rpm")
    return 2 * speed_rpm / (field_rpm_per_hz + math.sqrt(root))


def torque_nm(power_kw: float, speed_rpm: float) -> float:
    """Shaft torque T = 60000/(2π)·P/n in N·m, P in kW, n in rpm (9550 where printed).

    Raises ValueError unless the speed is above zero. Source: dynamics.rpm-calculator.com, motor torque.
    """
    checks.finite(power_kw=power_kw)
    checks.above_zero(speed_rpm=speed_rpm)
    return _NM_RPM_PER_KW * power_kw / speed_rpm


def torque_lbft(power_hp: float, speed_rpm: float) -> float:
    """Shaft torque T = 33000/(2π)·P/n in lb·ft, P in hp, n in rpm (5252 where printed).

    Raises ValueError unless the speed is above zero. Source: gizzardstone.com, motor torque.
    """
    checks.finite(power_hp=power_hp)
    checks.above_zero(speed_rpm=speed_rpm)
    return _LBFT_RPM_PER_HP * power_hp / speed_rpm


def shaft_power_kw(torque_nm: float, speed_rpm: float) -> float:
    """Shaft power P = T·n·2π/60000 in kW. Raises ValueError for a number that is not finite."""
    checks.finite(torque_nm=torque_nm, speed_rpm=speed_rpm)
    return torque_nm * speed_rpm / _NM_RPM_PER_KW


def input_power_kw(voltage_v: float, current_a: float, power_factor: float) -> float:
    """Electrical power √3·V·I·cosφ/1000 in kW, line voltage and line current.

    Raises ValueError for volts or amps not above zero, or cosφ outside 0…1. Source: arithmetic.
    """
    checks.above_zero(voltage_v=voltage_v, current_a=current_a)
    checks.within(0, 1, power_factor=power_factor)
    return math.sqrt(3) * voltage_v * current_a * power_factor / 1000


def implied_efficiency(power_kw: float, voltage_v: float, current_a: float, power_factor: float) -> float:
    """Efficiency the plate implies, η = P/(√3·V·I·cosφ). Above 1 the plate contradicts itself.

    Raises ValueError unless all four are above zero and cosφ is at most 1. Source: arithmetic.
    """
    checks.above_zero(power_kw=power_kw, power_factor=power_factor)
    return power_kw / input_power_kw(voltage_v, current_a, power_factor)


def estimated_current_a(
    rated_current_a: float, power_factor: float, torque_share: float, flux_share: float = 1.0
) -> float:
    """Line current at a share of rated torque and of rated flux.

    I = I_r·√((ψ·sinφ)² + (m·cosφ/ψ)²), ψ the flux share (0.1…1.5), m the torque share. An approximation of
    some 10 %: leakage and saturation left out; rated torque at full flux gives rated current exactly.
    Raises ValueError outside these ranges. Source: common practice, no source.
    """
    checks.above_zero(rated_current_a=rated_current_a)
    checks.finite(torque_share=torque_share)
    checks.within(0, 1, power_factor=power_factor)
    checks.within(0.1, 1.5, flux_share=flux_share)
    magnetising = flux_share * math.sqrt(1 - power_factor**2)
    return rated_current_a * math.hypot(magnetising, torque_share * power_factor / flux_share)
