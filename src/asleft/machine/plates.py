"""Tables a plate is held against. Each says where its values come from."""

import bisect
import math

from asleft.machine import checks

PREFERRED_KW = (
    0.06, 0.09, 0.12, 0.18, 0.25, 0.37, 0.55, 0.75, 1.1, 1.5, 2.2, 3.0, 4.0, 5.5, 7.5, 11.0, 15.0, 18.5, 22.0,
    30.0, 37.0, 45.0, 55.0, 75.0, 90.0, 110.0, 132.0, 160.0, 200.0, 250.0, 315.0, 355.0, 400.0, 500.0, 630.0,
    800.0, 1000.0,
)  # fmt: skip
"""Preferred outputs in kW. Source: memory of IEC 60072-1."""

PREFERRED_HP = (
    1.0, 1.5, 2.0, 3.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 75.0, 100.0, 125.0, 150.0,
    200.0, 250.0, 300.0, 350.0, 400.0, 450.0, 500.0,
)  # fmt: skip
"""The NEMA series in hp. Source: PyPI `fluids`."""

NOMINAL_VOLTAGES_V = {50: ((230, 400), (400, 690)), 60: ((120, 208), (277, 480), (347, 600))}
"""Nominal supplies by frequency in Hz, phase and line volts. Source: IEC 60038."""

EFFICIENCY_PCT_4_POLE_50_HZ = {
    0.75: (79.6, 82.5, 85.7),
    1.5: (82.8, 85.3, 88.2),
    2.2: (84.3, 86.7, 89.5),
    4.0: (86.6, 88.6, 91.1),
    7.5: (88.7, 90.4, 92.6),
    11.0: (89.8, 91.4, 93.3),
    15.0: (90.6, 92.1, 93.9),
    22.0: (91.6, 93.0, 94.5),
    30.0: (92.3, 93.6, 94.9),
    55.0: (93.5, 94.6, 95.7),
    75.0: (94.0, 95.0, 96.0),
    110.0: (94.5, 95.4, 96.3),
}
"""Least efficiency in percent for IE2, IE3, IE4 by kW. Source: IEC 60034-30-1 (two public files agree)."""

TYPICAL_AMPS_400_V = {
    0.75: 1.9, 1.5: 3.6, 2.2: 4.9, 4.0: 8.5, 5.5: 11.5, 7.5: 15.5, 11.0: 22.0, 15.0: 29.0, 18.5: 35.0,
    22.0: 41.0, 30.0: 55.0, 37.0: 66.0, 45.0: 80.0, 55.0: 97.0, 75.0: 132.0,
}  # fmt: skip
"""Typical motor amps at 400 V by kW. Source: memory of IEC 60947-4-1 annex."""

NEC_AMPS_230_460_V = {
    1.0: (4.2, 2.1), 2.0: (6.8, 3.4), 3.0: (9.6, 4.8), 5.0: (15.2, 7.6), 7.5: (22.0, 11.0),
    10.0: (28.0, 14.0), 15.0: (42.0, 21.0), 20.0: (54.0, 27.0), 25.0: (68.0, 34.0), 30.0: (80.0, 40.0),
    40.0: (104.0, 52.0), 50.0: (130.0, 65.0), 75.0: (192.0, 96.0), 100.0: (248.0, 124.0),
}  # fmt: skip
"""Full-load amps at 230 and 460 V by hp, for sizing conductors only: overload protection uses the nameplate
(430.6). Source: NEC Table 430.250."""

_PLAUSIBLE_EFFICIENCY = (
    (0.06, 0.40, 0.68),
    (0.12, 0.47, 0.78),
    (0.37, 0.60, 0.85),
    (0.75, 0.68, 0.90),
    (1.5, 0.74, 0.92),
    (4.0, 0.80, 0.94),
    (7.5, 0.83, 0.955),
    (15.0, 0.86, 0.965),
    (30.0, 0.88, 0.97),
    (110.0, 0.905, 0.98),
    (1000.0, 0.92, 0.985),
)


def nearest_preferred_kw(power_kw: float) -> float:
    """Preferred output nearest by ratio. Raises ValueError unless above zero. Source: as PREFERRED_KW."""
    checks.above_zero(power_kw=power_kw)
    return min(PREFERRED_KW, key=lambda listed: abs(math.log(listed / power_kw)))


def is_preferred_power(power_kw: float, kw_per_hp: float = 0.74569987) -> bool:
    """Whether a power stands within 2 % of the kW series or of the hp series in kW.

    Raises ValueError unless above zero. Source: as the two series; the 2 % is for rounded plates (common
    practice, no source).
    """
    checks.above_zero(power_kw=power_kw)
    listed = (*PREFERRED_KW, *(hp * kw_per_hp for hp in PREFERRED_HP))
    return any(abs(power_kw / value - 1) <= 0.02 for value in listed)


def plausible_efficiency(power_kw: float) -> tuple[float, float]:
    """Least and greatest efficiency a plate of this size can imply, about 0.6…0.97 from 0.37 kW up.

    Wider than the classes on both sides, for old motors and for rounded volts, amps and cosφ; between the
    sizes linear in log P. Raises ValueError outside 0.06…1000 kW. Source: common practice, no source.
    """
    checks.within(0.06, 1000, power_kw=power_kw)
    sizes = [row[0] for row in _PLAUSIBLE_EFFICIENCY]
    above = max(1, bisect.bisect_left(sizes, power_kw))
    (size_1, low_1, high_1), (size_2, low_2, high_2) = _PLAUSIBLE_EFFICIENCY[above - 1 : above + 1]
    share = math.log(power_kw / size_1) / math.log(size_2 / size_1)
    return low_1 + share * (low_2 - low_1), high_1 + share * (high_2 - high_1)
