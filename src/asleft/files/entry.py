"""A value as a person types it: other units, decimal comma, choices in words."""

from __future__ import annotations

import re
from decimal import ROUND_HALF_EVEN, Decimal
from functools import cache
from typing import Any

from asleft.files.value import did_you_mean, to_value
from asleft.record import Value, kept_digits
from asleft.vocabulary import Parameter

_NUMBER = re.compile(r"\s*([-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+))\s*([^\d\s].*?)?\s*")
_ALIASES = {
    "PS": "metric_horsepower", "hp": "horsepower", "HP": "horsepower", "sec": "second", "mins": "minute",
    "Ohm": "ohm", "Ω": "ohm", "rpm": "rpm", "1/min": "rpm", "min-1": "rpm", "°C": "degC", "V": "volt",
    "A": "ampere",
    "m³/h": "meter**3/hour", "kg·m²": "kilogram*meter**2", "%": "percent", "kbit/s": "kilobit/second",
}  # fmt: skip


_TURNS = {"rpm", "1/min", "min-1"}


def split_number(text: str) -> tuple[Decimal, str] | None:
    """Number and unit of a typed text (decimal point or comma), or None where it is no number."""
    found = _NUMBER.fullmatch(text)
    if found is None:
        return None
    return Decimal(found[1].replace(",", ".")), (found[2] or "").strip()


def typed_value(parameter: Parameter, text: str, poles: int | None = None) -> Value:
    """The value a person means, in the parameter's unit.

    A number in another unit is converted and rounded to the parameter's usual step; rpm become Hz through
    ``poles``. Raises ``ValueError`` with one plain sentence.
    """
    if parameter.is_number:
        return to_value(parameter, typed_number(parameter, text, poles))
    if parameter.kind == "choice":
        return to_value(parameter, _choice_name(parameter, text))
    if parameter.kind in ("list", "set"):
        parts = [part.strip() for part in text.split(",") if part.strip() and text.strip() != "none"]
        return to_value(parameter, parts)
    return text


def typed_number(parameter: Parameter, text: str, poles: int | None) -> Decimal:
    """The number in the parameter's unit. Raises ``ValueError``."""
    parts = split_number(text)
    if parts is None:
        raise ValueError(
            f"{parameter.key} is a number in {parameter.unit or 'no unit'}, and {text!r} is none."
        )
    number, unit = parts
    if unit in ("", parameter.unit):
        return number
    if unit in _TURNS and parameter.unit == "Hz":
        if poles is None:
            raise ValueError("rpm become Hz through the motor's number of poles, which is not known here.")
        return _rounded(number * poles / 120, parameter)
    return _rounded(convert(number, unit, parameter.unit), parameter)


def convert(number: Decimal, unit: str, wanted: str) -> Decimal:
    """The number in another unit of the same quantity. Raises ``ValueError``."""
    import pint

    registry = _registry()
    if {unit, wanted} & _TURNS and "Hz" in (unit, wanted):
        raise ValueError("rpm and Hz lead to one another only through the motor's number of poles.")
    try:
        quantity = registry.Quantity(number, _ALIASES.get(unit, unit))
        return Decimal(quantity.to(_ALIASES.get(wanted, wanted or "dimensionless")).magnitude)
    except (pint.PintError, ArithmeticError, AttributeError, TypeError, ValueError):
        raise ValueError(f"{unit!r} does not become {wanted or 'a bare number'}.") from None


@cache
def _registry() -> Any:
    import pint

    return pint.UnitRegistry(non_int_type=Decimal, cache_folder=None)


def _rounded(number: Decimal, parameter: Parameter) -> Decimal:
    step = parameter.step or Decimal("0.001")
    return kept_digits(number.quantize(step, ROUND_HALF_EVEN), step)


def _choice_name(parameter: Parameter, text: str) -> str:
    wanted = text.strip().lower()
    for name, choice in parameter.choices.items():
        if wanted in (name.lower(), choice.says.lower()):
            return name
    if parameter.key.endswith("pin_state"):
        return text
    near = did_you_mean(wanted, [*parameter.choices, *(choice.says for choice in parameter.choices.values())])
    raise ValueError(
        f"{parameter.key} has no choice {text!r}. {near or 'It has: ' + ', '.join(parameter.choices) + '.'}"
    )
