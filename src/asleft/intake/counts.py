"""Whole numbers as a drive keeps them, and what it displays for them."""

from __future__ import annotations

from decimal import Decimal

from asleft.models import Native
from asleft.record import kept_digits


def displayed_count(native: Native, count: int) -> str:
    """What the drive shows for a kept whole number: a number with the digits of its step, or a code.

    A choice or number that the list does not allow is given as it stands; it is for the model to judge.
    """
    if native.choices and native.form != "bits":
        return next((code for code in native.choices if _same(code, count)), str(count))
    if native.secret:
        return native.factory if _same(native.factory, count) else str(count)
    if native.is_number and native.step is not None:
        return str(kept_digits(count * native.step, native.step))
    return str(count)


def count_of(native: Native, shown: str) -> int:
    """The whole number behind a displayed value. Raises ``ValueError`` where there is none."""
    if native.is_number and native.step is not None:
        count = Decimal(shown) / native.step
        if count != count.to_integral_value():
            raise ValueError(f"{native.text} at {shown} lies between two steps of {native.step}")
        return int(count)
    return int(shown) if shown.lstrip("-").isdecimal() else int(shown, 0)


def _same(code: str, count: int) -> bool:
    try:
        return (int(code) if code.isdecimal() else int(code, 0)) == count
    except ValueError:
        return False
