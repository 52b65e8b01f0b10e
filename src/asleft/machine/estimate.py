"""A computed result with no more digits than its inputs allow."""

import math
from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value rounded for a reader, its unit, and what it rests on in a few words ("cube law")."""

    value: float
    unit: str
    basis: str


def significant_digits(value: Decimal) -> int:
    """Digits a reading carries: 33.0 three, 0.05 one, 50 two. Raises ValueError unless finite."""
    if not value.is_finite():
        raise ValueError("only an ordinary number carries digits")
    return len(value.as_tuple().digits)


def round_significant(value: float, digits: int) -> float:
    """Round to significant digits, half away from zero by its decimal form; infinite stays infinite.

    Raises ValueError for fewer than one digit or a value that is not a number.
    """
    if digits < 1 or math.isnan(value):
        raise ValueError("a number is rounded to one digit or more")
    if value == 0 or math.isinf(value):
        return value
    return float(f"{value:.{digits - 1}e}")


def estimate(value: float, unit: str, basis: str, *inputs: Decimal, least_digits: int = 2) -> Estimate:
    """The value rounded to the fewest digits among the inputs, but to at least `least_digits`.

    Without inputs it is rounded to `least_digits`. Raises as the two functions above.
    """
    digits = min((significant_digits(given) for given in inputs), default=least_digits)
    return Estimate(round_significant(value, max(digits, least_digits)), unit, basis)
