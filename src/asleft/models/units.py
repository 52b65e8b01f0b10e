"""Decimal factors between the units a drive displays and the unit of the neutral key."""

from __future__ import annotations

from decimal import Decimal

_FACTORS = {
    ("min", "s"): Decimal(60),
    ("h", "s"): Decimal(3600),
    ("ms", "s"): Decimal("0.001"),
    ("s", "ms"): Decimal(1000),
    ("kHz", "Hz"): Decimal(1000),
    ("Hz", "kHz"): Decimal("0.001"),
    ("W", "kW"): Decimal("0.001"),
    ("MWh", "kWh"): Decimal(1000),
    ("mA", "A"): Decimal("0.001"),
    ("mohm", "ohm"): Decimal("0.001"),
    ("kV", "V"): Decimal(1000),
    ("Mbit/s", "kbit/s"): Decimal(1000),
    ("‰", "%"): Decimal("0.1"),
}


def factor(displayed: str, neutral: str) -> Decimal | None:
    """What a displayed number is multiplied by to stand in the neutral unit; None where they do not meet."""
    if displayed in ("", neutral):
        return Decimal(1)
    return _FACTORS.get((displayed, neutral))


_GREATEST = Decimal(2**53)
_MOST_DECIMALS = 20


def number_shown(displayed: str) -> Decimal | None:
    """A displayed number; None where it is none, or is one that no display has room for."""
    try:
        number = Decimal(displayed)
    except ArithmeticError:
        return None
    exponent = number.as_tuple().exponent
    fits = isinstance(exponent, int) and exponent >= -_MOST_DECIMALS and abs(number) <= _GREATEST
    return number if fits else None
