"""The nouns: parameter sets, readings, assets, changes, findings. Frozen and pure."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from asleft.record.faults import Fault, Refused
from asleft.record.sets import OCCASIONS, READING_KINDS, ParameterSet, Reading
from asleft.record.values import Value, canonical, kept_digits, same_value, shown, step_of

if TYPE_CHECKING:
    from asleft.record.asset import Asset, Feed, Permit, Selector

__all__ = [
    "OCCASIONS",
    "READING_KINDS",
    "Asset",
    "Fault",
    "Feed",
    "ParameterSet",
    "Permit",
    "Reading",
    "Refused",
    "Selector",
    "Value",
    "canonical",
    "kept_digits",
    "same_value",
    "shown",
    "step_of",
]


def __getattr__(name: str) -> Any:
    """Slots are loaded when first asked for: two loose files are compared without them."""
    if name in ("Asset", "Feed", "Permit", "Selector"):
        from asleft.record import asset

        return getattr(asset, name)
    raise AttributeError(name)
