"""Whether any setting of a drive model can meet a claim."""

from __future__ import annotations

from collections.abc import Collection
from decimal import Decimal

from asleft.models import Model, Native
from asleft.models.units import factor
from asleft.record import shown
from asleft.spec.claims import Claim
from asleft.spec.operands import operand
from asleft.spec.table import numbers_of
from asleft.spec.wanted import Range, disjoint
from asleft.vocabulary import vocabulary


def cannot_meet(claim: Claim, model: Model) -> str:
    """Why nothing this drive can hold meets the claim; empty where something does, or it is not known."""
    if "_n" in claim.key and numbers_of(claim.key):
        reasons = [_of_key(key, claim, model) for _, key in numbers_of(claim.key)]
        return reasons[0] if all(reasons) else ""
    return _of_key(claim.key, claim, model)


def _of_key(key: str, claim: Claim, model: Model) -> str:
    found, parameter = operand(key), vocabulary().get(key)
    if found is None or parameter is None or parameter.class_ == "slot":
        return ""
    if not model.has(key):
        return f"it has no setting for the {found.label}" if claim.if_absent == "breached" else ""
    if key in model.fixed:
        held = claim.wanted.holds(model.fixed[key])
        return "" if held else f"the {found.label} is fixed at {found.words(model.fixed[key])}"
    natives = model.by_key[key]
    if found.choices and parameter.kind == "choice":
        return _choices(key, claim, natives, found.label)
    return _numbers(key, claim, natives, found.label) if parameter.is_number and claim.to_hz is None else ""


def _choices(key: str, claim: Claim, natives: Collection[Native], label: str) -> str:
    reachable = {
        choice.sets[key] for native in natives for choice in native.choices.values() if key in choice.sets
    }
    if not reachable or any(claim.wanted.holds(name) for name in reachable):
        return ""
    named = operand(key)
    has = ", ".join(named.choices.get(name, name) for name in sorted(reachable)) if named else ""
    return f"its {label} can be {has}"


def _numbers(key: str, claim: Claim, natives: Collection[Native], label: str) -> str:
    """Only where the drive shows the number itself, in some unit: a percentage depends on its base."""
    unit = vocabulary()[key].unit
    for native in natives:
        scale = factor(native.unit, unit) if native.form == "number" else None
        if scale is None or native.low is None or native.high is None:
            return ""
        held = Range(native.low * scale, native.high * scale)
        if disjoint(claim.wanted, held):
            low, high = (_shown(end * scale, unit) for end in (native.low, native.high))
            return f"its {label} goes from {low} to {high}"
    return ""


def _shown(number: Decimal, unit: str) -> str:
    return shown(number.normalize() if number else Decimal(0), unit)
