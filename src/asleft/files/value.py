"""One raw TOML value as the value of a parameter, or the plain reason why not."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from asleft.files.toml import GREATEST
from asleft.record import Value, canonical
from asleft.vocabulary import Parameter


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """A question naming the nearest known words, or nothing."""
    import difflib

    near = difflib.get_close_matches(word, list(known), n=2, cutoff=0.6)
    return f"Did you mean {' or '.join(near)}?" if near else ""


def to_value(parameter: Parameter, raw: Any) -> Value:
    """The typed value. Raises ``ValueError`` with one plain sentence."""
    if parameter.is_number:
        return _number(parameter, raw)
    if parameter.kind == "choice":
        return _choice(parameter, raw)
    if parameter.kind in ("list", "set"):
        return _several(parameter, raw)
    if not isinstance(raw, str):
        raise ValueError(f"{parameter.key} is a text and stands in quotes.")
    return raw


def _number(parameter: Parameter, raw: Any) -> Decimal:
    if isinstance(raw, bool) or not isinstance(raw, (int, Decimal)):
        raise ValueError(f"{parameter.key} is a number in {parameter.unit or 'no unit'}, without quotes.")
    number = Decimal(raw)
    if not number.is_finite():
        raise ValueError(f"{parameter.key} is {raw}, which no drive can hold.")
    if abs(number) > GREATEST:
        raise ValueError(f"{parameter.key} is beyond ±2^53.")
    number = canonical(number)
    if parameter.kind == "integer" and number != number.to_integral_value():
        raise ValueError(f"{parameter.key} is a whole number, and {number} is not.")
    return number


def _choice(parameter: Parameter, raw: Any) -> str:
    name = str(raw) if isinstance(raw, int) and not isinstance(raw, bool) else raw
    if isinstance(name, str) and name in parameter.choices:
        return name
    if isinstance(raw, bool):
        asked = f"{parameter.key} is a choice in quotes, not true or false."
    else:
        asked = f"{parameter.key} has no choice {raw!r}."
    if parameter.key.endswith("pin_state"):
        asked = f"{parameter.key} says whether a code is set; the code itself is never taken."
    near = did_you_mean(str(raw), parameter.choices)
    raise ValueError(f"{asked} {near or 'It has: ' + ', '.join(parameter.choices) + '.'}")


def _several(parameter: Parameter, raw: Any) -> tuple[str, ...]:
    if not isinstance(raw, list) or not all(isinstance(item, str) for item in raw):
        raise ValueError(f'{parameter.key} is a list of texts: ["…", "…"].')
    if parameter.kind == "list":
        return tuple(raw)
    unknown = [item for item in raw if item not in parameter.choices]
    if unknown:
        near = did_you_mean(unknown[0], parameter.choices)
        raise ValueError(f"{parameter.key} has no member {unknown[0]!r}. {near}".rstrip())
    if len(set(raw)) != len(raw):
        raise ValueError(f"{parameter.key} names a member twice.")
    return tuple(name for name in parameter.choices if name in raw)
