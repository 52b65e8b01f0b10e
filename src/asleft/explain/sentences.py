"""A change as a technician would say it: what it is, from, to, which direction, what that does."""

from __future__ import annotations

from decimal import Decimal

from asleft.compare import Change
from asleft.record import Value, shown
from asleft.vocabulary import Parameter


def capital(text: str) -> str:
    """The text with its first letter large."""
    return text[:1].upper() + text[1:]


def said(parameter: Parameter, value: Value) -> str:
    """A value as a person says it: with its unit, or the choice in words."""
    if isinstance(value, tuple):
        names = [parameter.choices[name].says if name in parameter.choices else name for name in value]
        return ", ".join(names) or "none"
    if isinstance(value, str) and value in parameter.choices:
        return parameter.choices[value].says
    if parameter.unit.startswith("process unit"):
        return f"{shown(value)} process units"
    return shown(value, parameter.unit)


def change_sentence(change: Change) -> str:
    """What changed, in one sentence."""
    parameter, label = change.parameter, capital(change.parameter.label)
    old, new = said(parameter, change.old), said(parameter, change.new)
    if isinstance(change.old, Decimal) and isinstance(change.new, Decimal):
        return f"{label} is {direction(change)}: from {old} to {new}."
    if change.parts:
        return f"{label}: {'; '.join(_spoken(parameter, part) for part in change.parts)}."
    return f"{label} goes from {old} to {new}."


def _spoken(parameter: Parameter, part: str) -> str:
    name, _, rest = part.partition(" ")
    return f"{parameter.choices[name].says} {rest}" if name in parameter.choices else part


def direction(change: Change) -> str:
    """The direction word that fits the quantity."""
    parameter = change.parameter
    if isinstance(change.old, Decimal) and isinstance(change.new, Decimal) and change.new < change.old:
        return parameter.down or "lower"
    return parameter.up or "higher"


def consequence(change: Change) -> str:
    """What the change does, from the vocabulary; empty where nothing particular is recorded."""
    parameter, old, new = change.parameter, change.old, change.new
    if isinstance(old, Decimal) and isinstance(new, Decimal):
        return parameter.raised if new > old else parameter.lowered
    if isinstance(old, tuple) and isinstance(new, tuple):
        return parameter.raised if set(new) - set(old) else parameter.lowered
    if parameter.choices:
        return parameter.effect_of(str(old), str(new))
    return parameter.raised
