"""Volts per hertz: the motor's flux, too much, too little, and above base frequency."""

from asleft.machine import checks


def flux_share(
    voltage_v: float, frequency_hz: float, rated_voltage_v: float, rated_frequency_hz: float
) -> float:
    """Flux as a share of rated, (V/f)/(V_r/f_r). Above 1 the iron saturates and the motor heats at no load.

    Resistive drop left out: good above about 10 Hz. Raises ValueError unless all are above zero.
    Source: common practice, no source.
    """
    checks.above_zero(voltage_v=voltage_v, frequency_hz=frequency_hz)
    checks.above_zero(rated_voltage_v=rated_voltage_v, rated_frequency_hz=rated_frequency_hz)
    return (voltage_v / frequency_hz) / (rated_voltage_v / rated_frequency_hz)


def output_voltage_v(frequency_hz: float, rated_voltage_v: float, rated_frequency_hz: float) -> float:
    """Voltage of a straight V/f line: V_r·f/f_r, and V_r above f_r. No boost.

    Raises ValueError for a negative frequency or ratings not above zero. Source: common practice, no source.
    """
    checks.not_negative(frequency_hz=frequency_hz)
    checks.above_zero(rated_voltage_v=rated_voltage_v, rated_frequency_hz=rated_frequency_hz)
    return rated_voltage_v * min(1.0, frequency_hz / rated_frequency_hz)


def full_flux_frequency_hz(
    supply_voltage_v: float, rated_voltage_v: float, rated_frequency_hz: float
) -> float:
    """Highest frequency with full flux, f_r·V_supply/V_r: 87 Hz for a 230 V 50 Hz link on 400 V.

    Raises ValueError unless all are above zero. Source: arithmetic.
    """
    checks.above_zero(supply_voltage_v=supply_voltage_v)
    checks.above_zero(rated_voltage_v=rated_voltage_v, rated_frequency_hz=rated_frequency_hz)
    return rated_frequency_hz * supply_voltage_v / rated_voltage_v


def weakened_flux_share(frequency_hz: float, base_frequency_hz: float) -> float:
    """Flux share at full voltage: 1 up to base frequency, f_b/f above.

    Raises ValueError for a negative frequency or a base not above zero. Source: Electric Motor Handbook.
    """
    checks.not_negative(frequency_hz=frequency_hz)
    checks.above_zero(base_frequency_hz=base_frequency_hz)
    return base_frequency_hz / max(frequency_hz, base_frequency_hz)


def constant_power_torque_share(frequency_hz: float, base_frequency_hz: float) -> float:
    """Torque at rated power as a share of rated: 1 up to base, f_b/f above (slip left out).

    Raises as `weakened_flux_share`. Source: Electric Motor Handbook; arithmetic.
    """
    return weakened_flux_share(frequency_hz, base_frequency_hz)


def breakdown_torque_share(frequency_hz: float, base_frequency_hz: float) -> float:
    """Breakdown torque as a share of its value at base: 1 up to base, (f_b/f)² above.

    Raises as `weakened_flux_share`. Source: Electric Motor Handbook; arithmetic.
    """
    return weakened_flux_share(frequency_hz, base_frequency_hz) ** 2


def breakdown_reserve(
    frequency_hz: float, base_frequency_hz: float, breakdown_ratio: float, torque_share: float
) -> float:
    """Breakdown torque over the torque in use at a frequency: at 1 the motor pulls out.

    `breakdown_ratio` is breakdown over rated torque at base (2…3.5 on most data sheets), `torque_share` the
    load's torque there over rated. Raises ValueError unless both are above zero.
    Source: Electric Motor Handbook for the square; arithmetic.
    """
    checks.above_zero(breakdown_ratio=breakdown_ratio, torque_share=torque_share)
    return breakdown_ratio * breakdown_torque_share(frequency_hz, base_frequency_hz) / torque_share
