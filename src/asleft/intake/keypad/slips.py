"""Values that look like a common slip of reading or typing. What is asked about is never refused.

The slips are common practice, no source; the factors are arithmetic: the root of 3 between star and delta
volts or amps, 60/50 between supply regions.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import NamedTuple

from asleft.intake.keypad.rows import Row
from asleft.models import Native
from asleft.models.units import number_shown

_ROOT_3 = Decimal(3).sqrt()
_SIXTY_FIFTY = Decimal("1.2")
_NEAR = Decimal("0.01")
_LEAST_HZ = Decimal(50)
_FEWEST_DIGITS = 3


class Beside(NamedTuple):
    """A row above or below in the list, and what it displays as far as known."""

    row: Row
    displayed: str


def slip(row: Row, displayed: str, typed: str, beside: tuple[Beside, ...] = ()) -> str:
    """One sentence saying which slip the value looks like; empty where it looks like none.

    ``typed`` is the text as the person typed it: a bare choice code is one key, a word is not a slip of one.
    """
    if row.native.secret or any(_same(row, displayed, value) for _, value in row.expected):
        return ""
    if row.native.choices and row.native.form != "bits":
        return _code_slip(row, displayed, typed)
    if not row.native.is_number:
        return _text_slip(row, displayed)
    return next(_number_slips(row, displayed, beside), "")


def likeness(native: Native, displayed: str, wanted: str) -> str:
    """Which slip of typing makes one displayed value of another, as "8.0 s with the decimal point moved";
    empty where none does."""
    row = Row(native, wanted)
    if native.secret or native.choices:
        return ""
    one, other = number_shown(displayed), number_shown(wanted)
    if native.is_number and one is not None and other is not None:
        kind = next(_kinds(row, one, other), "")
        return f"{row.words(wanted)} {kind}" if kind else ""
    near = _is_swapped(displayed, wanted) or _one_apart(displayed, wanted)
    return f"nearly {row.words(wanted)}" if near else ""


def _same(row: Row, one: str, other: str) -> bool:
    numbers = (number_shown(one), number_shown(other)) if row.native.is_number else (None, None)
    return one == other or (numbers[0] is not None and numbers[0] == numbers[1])


def _code_slip(row: Row, displayed: str, typed: str) -> str:
    if typed.strip() != displayed or not row.expected:
        return ""
    label, value = row.expected[0]
    return f"Code {row.words(displayed)}; {label} has {row.words(value)}."


def _text_slip(row: Row, displayed: str) -> str:
    for label, value in row.expected:
        if _is_swapped(displayed, value) or _one_apart(displayed, value):
            return f"{displayed} is nearly {value}, which {label} has."
    return ""


def _number_slips(row: Row, displayed: str, beside: tuple[Beside, ...]) -> Iterator[str]:
    number = number_shown(displayed)
    if number is None:
        return
    for label, value in row.expected:
        other = number_shown(value)
        for kind in () if other is None else _kinds(row, number, other):
            yield f"{row.words(displayed)} is {row.words(value)} of {label} {kind}."
    for near in beside:
        if near.row.native.unit == row.native.unit and _same(near.row, near.displayed, displayed):
            yield f"{row.words(displayed)} is what {near.row.title} reads, the entry beside this one."
    if row.plate is not None and row.native.keys[0].startswith("motor."):
        yield f"{row.words(displayed)} differs from the nameplate of the slot, {row.words(row.plate)}."


def _kinds(row: Row, number: Decimal, other: Decimal) -> Iterator[str]:
    if number and other and _is_power_of_ten(number / other):
        yield "with the decimal point moved"
    one, two = _digits(row, number), _digits(row, other)
    if _is_swapped(one.zfill(len(two)), two.zfill(len(one))):
        yield "with two digits swapped"
    if number * other > 0:
        yield from _factors(row, number, other)
    if len(one) != len(two) and len(two.strip("0")) >= _FEWEST_DIGITS and _one_apart(one, two):
        yield "with one digit too many or too few"


def _factors(row: Row, number: Decimal, other: Decimal) -> Iterator[str]:
    ratio = max(number / other, other / number)
    unit = row.native.unit
    if unit in ("V", "A") and abs(ratio / _ROOT_3 - 1) <= _NEAR:
        way = "times" if number > other else "divided by"
        yield f"{way} 1.73, the factor between star and delta"
    concerned = unit in ("V", "rpm") or (unit == "Hz" and max(number, other) >= _LEAST_HZ)
    if concerned and abs(ratio / _SIXTY_FIFTY - 1) <= _NEAR:
        way = "times" if number > other else "divided by"
        yield f"{way} 1.2, the factor between 50 and 60 Hz"


def _is_power_of_ten(ratio: Decimal) -> bool:
    return ratio in (Decimal(10), Decimal(100), Decimal("0.1"), Decimal("0.01"))


def _digits(row: Row, number: Decimal) -> str:
    """The digits as displayed, without point and leading zeros."""
    exponent = (row.native.step or Decimal(1)).as_tuple().exponent
    places = -exponent if isinstance(exponent, int) and exponent < 0 else 0
    return f"{abs(number):.{places}f}".replace(".", "").lstrip("0") or "0"


def _is_swapped(one: str, other: str) -> bool:
    if len(one) != len(other):
        return False
    places = [place for place, (a, b) in enumerate(zip(one, other, strict=True)) if a != b]
    if len(places) != 2:
        return False
    first, second = places
    return one[first] == other[second] and one[second] == other[first]


def _one_apart(one: str, other: str) -> bool:
    """Alike but for one character: another one, one too many, or one too few."""
    if len(one) == len(other):
        return sum(a != b for a, b in zip(one, other, strict=True)) == 1
    short, long = sorted((one, other), key=len)
    if len(long) - len(short) != 1:
        return False
    return any(long[:place] + long[place + 1 :] == short for place in range(len(long)))
