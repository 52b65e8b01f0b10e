"""Motor cable and carrier frequency. Approximations by common practice; a drive's own manual wins."""

import math

from asleft.machine import checks

CARRIER_BY_CABLE = ((25.0, 12.0), (50.0, 8.0), (100.0, 4.0), (200.0, 2.5))
"""Longest cable in m, greatest carrier in kHz without an output choke. Common practice, no source."""

COPPER_OHM_MM2_PER_M = 0.0225
"""Copper at about 70 °C. Source: memory."""

WAVE_M_PER_US = 150.0
"""Speed of a pulse in a motor cable, about half that of light. Common practice, no source."""


def greatest_carrier_khz(cable_length_m: float) -> float | None:
    """Greatest carrier for a cable length without an output choke; None: too long, choke or filter.

    Approximate. Raises ValueError for a negative length. Source: common practice, no source.
    """
    checks.not_negative(cable_length_m=cable_length_m)
    return next((khz for length, khz in CARRIER_BY_CABLE if cable_length_m <= length), None)


def carrier_current_share(carrier_khz: float, rated_carrier_khz: float, share_per_khz: float = 0.05) -> float:
    """Lasting drive current over rated at a carrier above the rated one, 1 − share·ΔkHz, never below 0.

    Approximate: read the unit's own table. Raises ValueError unless carriers are above zero and the share is
    0…0.2. Source: common practice, no source.
    """
    checks.above_zero(carrier_khz=carrier_khz, rated_carrier_khz=rated_carrier_khz)
    checks.within(0, 0.2, share_per_khz=share_per_khz)
    return max(0.0, 1 - share_per_khz * max(0.0, carrier_khz - rated_carrier_khz))


def altitude_current_share(altitude_m: float) -> float:
    """Lasting drive current over rated at an altitude: 1 % less each 100 m above 1000 m, up to 4000 m.

    Approximate. Raises ValueError outside 0…4000 m. Source: common practice, no source.
    """
    checks.within(0, 4000, altitude_m=altitude_m)
    return 1 - max(0.0, altitude_m - 1000) / 10_000


def critical_length_m(rise_time_us: float, wave_m_per_us: float = WAVE_M_PER_US) -> float:
    """Cable length from which a reflected pulse can double at the motor, v·t_rise/2.

    Approximate. Raises ValueError unless both are above zero. Source: common practice, no source.
    """
    checks.above_zero(rise_time_us=rise_time_us, wave_m_per_us=wave_m_per_us)
    return wave_m_per_us * rise_time_us / 2


def greatest_terminal_peak_v(dc_link_v: float, cable_length_m: float, rise_time_us: float) -> float:
    """Greatest peak at the motor's terminals, V_dc·(1 + min(1, l/l_crit)): twice the link on a long cable.

    Approximate. Raises ValueError for values not above zero. Source: common practice, no source.
    """
    checks.above_zero(dc_link_v=dc_link_v)
    checks.not_negative(cable_length_m=cable_length_m)
    return dc_link_v * (1 + min(1.0, cable_length_m / critical_length_m(rise_time_us)))


def voltage_drop_v(length_m: float, section_mm2: float, current_a: float, power_factor: float) -> float:
    """Line voltage lost in a three-phase copper cable, √3·I·ρ·l/A·cosφ, reactance left out.

    Approximate; good up to about 50 mm². Raises ValueError for negatives, no section or cosφ outside 0…1.
    Source: arithmetic; resistivity from memory.
    """
    checks.not_negative(length_m=length_m, current_a=current_a)
    checks.above_zero(section_mm2=section_mm2)
    checks.within(0, 1, power_factor=power_factor)
    return math.sqrt(3) * current_a * COPPER_OHM_MM2_PER_M * length_m / section_mm2 * power_factor
