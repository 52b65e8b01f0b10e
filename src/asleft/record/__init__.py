"""The nouns: parameter sets, readings, assets, changes, findings. Frozen and pure."""

from asleft.record.asset import Asset, Feed, Permit
from asleft.record.faults import Fault, Refused
from asleft.record.sets import OCCASIONS, READING_KINDS, ParameterSet, Reading
from asleft.record.values import Value, canonical, kept_digits, same_value, shown, step_of

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
    "Value",
    "canonical",
    "kept_digits",
    "same_value",
    "shown",
    "step_of",
]
