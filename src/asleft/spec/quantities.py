"""Numbers with units in plain form: ``6 s``, ``50 Hz``, ``12 months``."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from asleft.models.units import factor
from asleft.record import canonical

_QUANTITY = re.compile(r"([+\-−]?)\s*(\d+(?:\.\d+)?)\s*(.*)")
_ANY_UNIT = ("process unit (pid_unit)",)


def read_quantity(raw: Any, unit: str) -> Decimal:
    """The number in ``unit``. A number with a unit stands in quotes with it; without one it may stand bare.

    Raises ``ValueError`` with one plain sentence.
    """
    if isinstance(raw, bool) or not isinstance(raw, (str, int, Decimal)):
        raise ValueError(f"{raw!r} is no number.")
    if not isinstance(raw, str):
        if unit and unit not in _ANY_UNIT:
            raise ValueError(f'{raw} of what? Write it with its unit: "{raw} {unit}".')
        return canonical(Decimal(raw))
    found = _QUANTITY.fullmatch(raw.strip())
    if found is None:
        raise ValueError(f'{raw!r} is no number with a unit. Write it like "6 {unit}".')
    sign, digits, given = found.groups()
    return canonical((-1 if sign else 1) * Decimal(digits) * _scale(raw, given.strip(), unit))


def _scale(raw: str, given: str, unit: str) -> Decimal:
    if given in ("", unit) or unit in _ANY_UNIT:
        if unit and not given and unit not in _ANY_UNIT:
            raise ValueError(f'{raw} of what? Write it with its unit: "{raw} {unit}".')
        return Decimal(1)
    scale = factor(given, unit) if unit else None
    if scale is None:
        raise ValueError(f"{raw!r} is not in {unit}." if unit else f"{raw!r} has a unit where none belongs.")
    return scale
