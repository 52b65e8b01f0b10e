"""Numbers for a reader: no more digits than the inputs carry, and than the unit is read in."""

from __future__ import annotations

import math
from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal

from asleft.explain.facts import Input

_DECIMALS = {
    "Hz": 1, "s": 1, "A": 1, "kW": 1, "V": 0, "%": 1, "rpm": 0, "kg": 0, "m/s": 2, "Hz/s": 2, "N·m": 1,
    "ohm": 1, "mA": 2, "×": 2, "m": 1, "ms": 0, "h": 0, "kWh": 0, "mm": 1, "kHz": 1,
    "V/Hz": 2, "J": 0, "A²": 0, "µs": 0, "kg·m²": 2, "kWs": 1,
}  # fmt: skip
"""Most decimals a reader wants of a unit; smaller values may show more."""

_LEAST, _MOST = 3, 4


def digits_of(value: Decimal) -> int:
    """Digits a reading carries: 33.0 three, 0.05 one, 50 two; 0 counts as exact."""
    return len(value.as_tuple().digits) if value else _MOST


def digits_allowed(inputs: Iterable[Input]) -> int:
    """One digit more than the coarsest input, three to four: results are read, not worked on with."""
    return min(max(min((one.digits for one in inputs), default=_MOST) + 1, _LEAST), _MOST)


def rounded(value: float, unit: str, digits: int = _MOST) -> float:
    """The value at the digits allowed and the decimals its unit is read in."""
    if value == 0 or not math.isfinite(value):
        return value
    places = digits - 1 - math.floor(math.log10(abs(value)))
    limit = _DECIMALS.get(unit, 2)
    if unit in ("%", "×"):
        places = min(places, 2 - math.floor(math.log10(abs(value))))
    if (abs(value) < 1 and limit) or (abs(value) < 10 and unit == "s"):
        limit = max(limit, 2) + (abs(value) < 0.1)
    elif abs(value) >= 100 and unit == "s":
        limit = 0
    elif abs(value) < 10 and unit in ("V", "kg"):
        limit = 1
    step = Decimal(1).scaleb(-min(places, limit))
    return float(Decimal(repr(value)).quantize(step, ROUND_HALF_UP))


def figure(value: float, unit: str = "", digits: int = _MOST) -> str:
    """The value with its unit: ``7.2 s``, ``45.0 Hz``, ``163 kg``, ``1.86 times``, ``never``."""
    if math.isinf(value):
        return "never"
    given = rounded(value, unit, digits)
    text = f"{given:.10f}".rstrip("0").rstrip(".")
    if unit == "Hz" and "." not in text and abs(given) < 1000:
        text += ".0"
    shown = "times" if unit == "×" else unit
    return f"{text} {shown}".rstrip()
