"""The supply: how far it may stray, and the DC link it makes."""

import math
from dataclasses import dataclass

from asleft.machine import checks

MOST_FREQUENCY_DEVIATION_PCT = 5.0
MOST_SUM_PCT = 10.0


@dataclass(frozen=True, slots=True)
class SupplyDeviation:
    """Deviations in percent of the plate, signed, their absolute sum, and whether a motor stands it."""

    voltage_pct: float
    frequency_pct: float
    sum_pct: float
    acceptable: bool


def supply_deviation(
    voltage_v: float, frequency_hz: float, rated_voltage_v: float, rated_frequency_hz: float
) -> SupplyDeviation:
    """Deviation of a supply from a plate: ±10 % V, ±5 % f, absolute sum at most 10 %.

    Raises ValueError unless all are above zero. Source: NEMA MG 1-12.44.
    """
    checks.above_zero(voltage_v=voltage_v, frequency_hz=frequency_hz)
    checks.above_zero(rated_voltage_v=rated_voltage_v, rated_frequency_hz=rated_frequency_hz)
    return judge_deviation(
        100 * (voltage_v / rated_voltage_v - 1), 100 * (frequency_hz / rated_frequency_hz - 1)
    )


def judge_deviation(voltage_pct: float, frequency_pct: float) -> SupplyDeviation:
    """The same from deviations already in percent. Raises ValueError for a number that is not finite."""
    checks.finite(voltage_pct=voltage_pct, frequency_pct=frequency_pct)
    total = abs(voltage_pct) + abs(frequency_pct)
    # The sum's limit is the voltage's limit too.
    acceptable = abs(frequency_pct) <= MOST_FREQUENCY_DEVIATION_PCT and total <= MOST_SUM_PCT
    return SupplyDeviation(voltage_pct, frequency_pct, total, acceptable)


def dc_link_v(line_voltage_v: float) -> float:
    """DC link at light load behind a diode bridge, √2·V. Raises ValueError unless above zero.

    Source: arithmetic.
    """
    checks.above_zero(line_voltage_v=line_voltage_v)
    return math.sqrt(2) * line_voltage_v
