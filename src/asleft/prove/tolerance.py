"""How near an observed value must come, and how a predicted one is written."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Final

USUAL: Final[dict[str, tuple[str, str]]] = {
    "Hz": ("0.1", "0"),
    "s": ("0.5", "0.05"),
    "A": ("0", "0.05"),
    "mA": ("0.1", "0"),
    "V": ("0.05", "0"),
}
"""Unit -> fixed part, share of the value. Common practice, no source; V as mA, half a percent of full."""

PLACES: Final = {"Hz": 2, "s": 1, "A": 1, "mA": 2, "V": 2}
"""Most decimals a predicted value is written with; at least one."""


def written(value: Fraction, unit: str) -> Decimal:
    """A predicted value with the digits a display or a watch can show."""
    places = PLACES[unit]
    number = (Decimal(value.numerator) / Decimal(value.denominator)).quantize(
        Decimal(1).scaleb(-places), ROUND_HALF_EVEN
    )
    short = number.quantize(Decimal("0.1"))
    return short if short == number else number


def tolerance(value: Decimal, unit: str) -> Decimal:
    """The usual tolerance of a value, written to a tenth, or to what its fixed part needs."""
    fixed, share = (Decimal(part) for part in USUAL[unit])
    whole = fixed + share * abs(value)
    return fixed if not share else whole.quantize(Decimal("0.1"), ROUND_HALF_UP)
