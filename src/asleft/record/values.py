"""Values of parameters and the digits they carry."""

from __future__ import annotations

from decimal import Decimal
from typing import TypeAlias

Value: TypeAlias = Decimal | str | tuple[str, ...]


def shown(value: Value, unit: str = "") -> str:
    """The value as a person reads it, with its unit. An empty list or set is ``none``."""
    if isinstance(value, Decimal):
        return f"{value:f} {unit}".rstrip()
    if isinstance(value, tuple):
        return ", ".join(value) or "none"
    return value


def step_of(value: Decimal) -> Decimal:
    """The step its digits speak of: 50.00 gives 0.01, 50 gives 1."""
    exponent = value.as_tuple().exponent
    return Decimal(1).scaleb(exponent) if isinstance(exponent, int) and exponent < 0 else Decimal(1)


def canonical(value: Decimal) -> Decimal:
    """The same number without exponent form, digits kept: 5E+1 becomes 50, 50.00 stays."""
    exponent = value.as_tuple().exponent
    plain = value.quantize(Decimal(1)) if isinstance(exponent, int) and exponent > 0 else value
    return plain.copy_abs() if plain == 0 else plain


def kept_digits(value: Decimal, step: Decimal) -> Decimal:
    """The value with at least the digits of the step: 8 with a step of 0.1 becomes 8.0; none are lost."""
    exponent = step.as_tuple().exponent
    wanted = Decimal(1).scaleb(exponent) if isinstance(exponent, int) and exponent < 0 else Decimal(1)
    rounded = value.quantize(wanted)
    return rounded if rounded == value else canonical(value)


def same_value(one: Value, other: Value) -> bool:
    """Equal in meaning, digits aside: 50 and 50.00 are the same number, and never the same as a text."""
    return type(one) is type(other) and one == other
