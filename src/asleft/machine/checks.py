"""Refuse numbers an equation does not hold for, in a sentence that names the quantity."""

import math


def _refuse(name: str, value: float, wanted: str) -> ValueError:
    return ValueError(f"{name.replace('_', ' ')} must be {wanted}, not {value:g}")


def finite(**values: float) -> None:
    """Raise ValueError for a value that is infinite or not a number."""
    for name, value in values.items():
        if not math.isfinite(value):
            raise _refuse(name, value, "an ordinary number")


def above_zero(**values: float) -> None:
    """Raise ValueError for a value that is not an ordinary number above zero."""
    for name, value in values.items():
        if not (math.isfinite(value) and value > 0):
            raise _refuse(name, value, "above zero")


def not_negative(**values: float) -> None:
    """Raise ValueError for a value that is not an ordinary number of zero or more."""
    for name, value in values.items():
        if not (math.isfinite(value) and value >= 0):
            raise _refuse(name, value, "zero or more")


def within(least: float, most: float, **values: float) -> None:
    """Raise ValueError for a value outside least…most, both included."""
    for name, value in values.items():
        if not least <= value <= most:
            raise _refuse(name, value, f"from {least:g} to {most:g}")


def pole_count(poles: int) -> None:
    """Raise ValueError unless poles is an even number of at least 2."""
    if poles < 2 or poles % 2:
        raise ValueError(f"a motor has an even number of poles, 2 or more, not {poles}")
