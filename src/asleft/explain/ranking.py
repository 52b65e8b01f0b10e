"""The order of changes: what can hurt or leave the machine unguarded first."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

from asleft.compare import Change
from asleft.explain.facts import Fact
from asleft.explain.phrases import DATA
from asleft.record import Value
from asleft.vocabulary.kept import kept

_RISK = {"high": 0, "medium": 1, "low": 2}


@cache
def _guards() -> dict[str, Any]:
    found: dict[str, Any] = kept(DATA, ("guards",))["guards"]
    return found


def lets_go(change: Change) -> str:
    """What a change gives up: ``protection``, ``start`` (nobody asked for), ``access``, or nothing."""
    row = change.parameter.row
    for what, rows in _guards().items():
        if row in rows and _towards(rows[row], change.old, change.new):
            return what
    return ""


def _towards(rule: Any, old: Value, new: Value) -> bool:
    """Whether a change goes the dangerous way: up, down, more, or later in a list from safe to dangerous."""
    if rule in ("up", "down"):
        return old != new and (float(str(new)) > float(str(old))) is (rule == "up")
    if rule == "more":
        return isinstance(new, tuple) and isinstance(old, tuple) and bool(set(new) - set(old))
    place = {choice: at for at, choices in enumerate(rule) for choice in choices.split("|")}
    return place.get(str(new), 0) > place.get(str(old), 0)


_WEIGHT = {"protection": 0, "start": 1, "access": 3}


def weight(change: Change, facts: Sequence[Fact]) -> tuple[int, int, int]:
    """Sort key, smallest first: what is let go, then what a fact calls grave, then the parameter's risk."""
    given_up = _WEIGHT.get(lets_go(change), 9)
    is_grave = any(fact.grave for fact in facts)
    grave = 2 if is_grave else 9
    nothing = 4 if any(fact.idle for fact in facts) else 0
    risk = _RISK[change.parameter.risk]
    return min(given_up, grave, 4 + risk) + nothing, 1 - is_grave, risk
