"""Computed numbers with no more digits than a reader can use."""

from __future__ import annotations

from decimal import Decimal, localcontext

from asleft.record import canonical


def tidy(value: Decimal, digits: int = 6) -> Decimal:
    """The value rounded to significant digits, trailing zeros after the point left out."""
    if value == 0 or not value.is_finite():
        return Decimal(0) if value == 0 else value
    with localcontext() as precise:
        precise.prec = digits
        rounded = +value
    plain = rounded.normalize()
    return canonical(plain)


def plain(value: float, digits: int = 3) -> Decimal:
    """A computed float as a decimal of some significant digits."""
    return tidy(Decimal(repr(float(value))), digits)
