"""What a conveyor carries and delivers."""

from asleft.machine import checks


def delivered_kg(rate_t_per_h: float, time_s: float) -> float:
    """Mass fed in a time at a rate, rate·1000/3600·t. Raises ValueError for negatives.

    Source: arithmetic.
    """
    checks.not_negative(rate_t_per_h=rate_t_per_h, time_s=time_s)
    return rate_t_per_h * time_s / 3.6


def belt_load_kg_per_m(rate_t_per_h: float, belt_speed_m_s: float) -> float:
    """Mass lying on a metre of belt, rate/(3.6·v). Raises ValueError unless the belt moves.

    Source: arithmetic.
    """
    checks.not_negative(rate_t_per_h=rate_t_per_h)
    checks.above_zero(belt_speed_m_s=belt_speed_m_s)
    return rate_t_per_h / (3.6 * belt_speed_m_s)


def slipping_belt_speed_m_s(drum_speed_m_s: float, slip_share: float) -> float:
    """Belt speed on a slipping drum, v·(1 − s), s from 0 to 1. Raises ValueError outside.

    Source: arithmetic.
    """
    checks.not_negative(drum_speed_m_s=drum_speed_m_s)
    checks.within(0, 1, slip_share=slip_share)
    return drum_speed_m_s * (1 - slip_share)
