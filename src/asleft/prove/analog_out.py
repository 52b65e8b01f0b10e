"""What the analog output gives at a frequency, where that hangs on nothing but the set."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Final

from asleft.record import Value

SPANS: Final = {"0_20_ma": (0, 20, "mA"), "4_20_ma": (4, 20, "mA"), "0_10_v": (0, 10, "V")}
"""Signal -> low end, high end, unit. Source: memory of IEC 60381-1 and -2."""

QUANTITIES: Final = ("frequency", "reference")
"""Quantities that follow the output frequency of a steady drive; the others hang on the load."""


def quantity(values: Mapping[str, Value]) -> str:
    """What the output shows; "" where it shows nothing or the drive has none."""
    shown = values.get("outputs.ao_1.quantity", "none")
    return "" if shown == "none" else str(shown)


def signal(values: Mapping[str, Value], hz: Fraction) -> tuple[Fraction | None, str]:
    """The signal at a frequency and its unit; None where quantity, span or base are not known.

    Full scale is in percent of the motor's rated frequency, and the output ends at its span.
    """
    span = SPANS.get(str(values.get("outputs.ao_1.signal")))
    rated = values.get("motor.rated_frequency_hz")
    scale = values.get("outputs.ao_1.full_scale_pct")
    known = isinstance(rated, Decimal) and isinstance(scale, Decimal) and rated and scale
    if span is None or not known or quantity(values) not in QUANTITIES:
        return None, span[2] if span else "mA"
    assert isinstance(rated, Decimal) and isinstance(scale, Decimal)
    low, high, unit = span
    share = min(hz / (Fraction(rated) * Fraction(scale) / 100), Fraction(1))
    return low + (high - low) * share, unit
