"""What a cell says of one parameter, as the drive would display it."""

from __future__ import annotations

import re

from asleft.intake.tables.numbers import written
from asleft.models import Native, as_displayed, outside

_CODE_AND_TEXT = re.compile(r"[\[(]?\s*(-?\w+)\s*(?:[\])]\s*[-:=]?|[-:=–])\s*(\S.*)")


def cell_displayed(native: Native, text: str, unit: str, decimal: str) -> str:
    """The displayed form. ``unit`` is what a column of units says, for a number without its own.

    Raises ``ValueError`` with one plain sentence, also where a number can be read in two ways.
    """
    if native.is_number:
        return _number(native, text, unit, decimal)
    if native.choices and native.form != "bits":
        return _choice(native, text)
    return as_displayed(native, text)


def _number(native: Native, text: str, unit: str, decimal: str) -> str:
    meant = written(text, decimal)
    if not meant:
        raise ValueError(f"{native.text} shows a number in {native.unit or 'no unit'}, and {text!r} is none.")
    shown = [as_displayed(native, _with_unit(each, unit)) for each in meant]
    fitting = [each for each in shown if not outside(native, each)] or shown
    if len(set(fitting)) > 1:
        raise ValueError(f"{text!r} reads as {' or as '.join(fitting)}: say decimal=comma or decimal=point.")
    return fitting[0]


def _with_unit(number: str, unit: str) -> str:
    return number if " " in number or unit in ("", "-") else f"{number} {unit}"


def _choice(native: Native, text: str) -> str:
    try:
        return as_displayed(native, text)
    except ValueError:
        both = _CODE_AND_TEXT.fullmatch(text)
        code = both[1].lstrip("0") or "0" if both is not None else ""
        if both is None or code not in native.choices:
            raise
        if as_displayed(native, both[2]) != code:
            raise ValueError(f"{native.text} has no choice {text!r}: {code} is not {both[2]!r}.") from None
        return code
