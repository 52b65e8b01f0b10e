"""What a rule wants of one value: a range, one of several, or members left out."""

from __future__ import annotations

import fnmatch
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, TypeAlias

from asleft.files.value import did_you_mean
from asleft.record import Value, shown
from asleft.spec.operands import Operand
from asleft.spec.quantities import read_quantity


@dataclass(frozen=True, slots=True)
class Range:
    """Between two bounds, both allowed unless ``strict``; a missing bound is no bound."""

    low: Decimal | None = None
    high: Decimal | None = None
    strict: bool = False

    def holds(self, value: Value) -> bool:
        """Whether the value lies inside. A text never does."""
        if not isinstance(value, Decimal):
            return False
        if self.strict and value in (self.low, self.high):
            return False
        return (self.low is None or value >= self.low) and (self.high is None or value <= self.high)

    def words(self, operand: Operand) -> str:
        """``at least 6 s``, ``between 6 s and 12 s``, ``above 0``."""
        low, high = (None if bound is None else operand.words(bound) for bound in (self.low, self.high))
        if low is not None and high is not None:
            return f"above {low} and below {high}" if self.strict else f"between {low} and {high}"
        if low is not None:
            return f"{'above' if self.strict else 'at least'} {low}"
        return f"{'below' if self.strict else 'at most'} {high}"

    def must(self, operand: Operand) -> str:
        """``must be at least 6 s``."""
        return f"must be {self.words(operand)}"

    def way(self, operand: Operand) -> str:
        """Where to set it, after ``set the …``: ``above 0 %``."""
        return self.words(operand)

    def nearest(self, value: Value) -> Value | None:
        """The bound that was passed, to be set instead; None where it is strict."""
        if self.strict or not isinstance(value, Decimal):
            return None
        return self.low if self.low is not None and value < self.low else self.high


@dataclass(frozen=True, slots=True)
class OneOf:
    """One of several values. Text may hold ``*`` for any letters where ``pattern``."""

    values: tuple[Value, ...]
    pattern: bool = False

    def holds(self, value: Value) -> bool:
        """Whether the value is one of them."""
        if self.pattern and isinstance(value, str):
            return any(isinstance(one, str) and fnmatch.fnmatchcase(value, one) for one in self.values)
        return any(type(one) is type(value) and one == value for one in self.values)

    def words(self, operand: Operand) -> str:
        """The values joined by ``or``."""
        return " or ".join(operand.words(value) for value in self.values)

    def must(self, operand: Operand) -> str:
        """``must be locked``."""
        return f"must be {self.words(operand)}"

    def way(self, operand: Operand) -> str:
        """``to fault or warning only``."""
        return f"to {self.words(operand)}"

    def nearest(self, value: Value) -> Value | None:
        """The value to set, where there is only one."""
        return self.values[0] if len(self.values) == 1 else None


@dataclass(frozen=True, slots=True)
class Without:
    """A set without some members, or any choice but some."""

    members: tuple[str, ...]

    def holds(self, value: Value) -> bool:
        """Whether none of them is there."""
        there = value if isinstance(value, tuple) else (value,)
        return not any(member in there for member in self.members)

    def words(self, operand: Operand) -> str:
        """``without external`` of a set, ``anything but off`` of a choice."""
        names = " or ".join(operand.choices.get(member, member) for member in self.members)
        return f"{'without' if operand.kind in ('set', 'list') else 'anything but'} {names}"

    def must(self, operand: Operand) -> str:
        """``must not hold external`` of a set, ``must not be off`` of a choice."""
        names = " or ".join(operand.choices.get(member, member) for member in self.members)
        return f"must not {'hold' if operand.kind in ('set', 'list') else 'be'} {names}"

    def way(self, operand: Operand) -> str:
        """``to warning only or fault``: the choices left, where they are few."""
        left = [words for name, words in operand.choices.items() if name not in self.members]
        return f"to {' or '.join(left)}" if 0 < len(left) <= MANY else f"to {self.words(operand)}"

    def nearest(self, value: Value) -> Value | None:
        """The same set without them."""
        if isinstance(value, tuple):
            return tuple(item for item in value if item not in self.members)
        return None


@dataclass(frozen=True, slots=True)
class Having:
    """A set that holds all of some members."""

    members: tuple[str, ...]

    def holds(self, value: Value) -> bool:
        """Whether all are there."""
        return isinstance(value, tuple) and all(member in value for member in self.members)

    def words(self, operand: Operand) -> str:
        """``with external``."""
        return "with " + " and ".join(operand.choices.get(member, member) for member in self.members)

    def must(self, operand: Operand) -> str:
        """``must hold external``."""
        return "must hold " + " and ".join(operand.choices.get(member, member) for member in self.members)

    def way(self, operand: Operand) -> str:
        """``with external fault``."""
        return self.words(operand)

    def nearest(self, value: Value) -> Value | None:
        """The same set with them."""
        if not isinstance(value, tuple):
            return None
        return (*value, *(member for member in self.members if member not in value))


Wanted: TypeAlias = Range | OneOf | Without | Having

MANY = 4
BOUNDS = ("at_least", "at_most", "above", "below")
_TESTS = (*BOUNDS, "is_not", "has", "has_not")


def read_value(operand: Operand, raw: Any) -> Value:
    """A value of this operand as a spec file writes it. Raises ``ValueError`` with one plain sentence."""
    if operand.kind in ("number", "integer"):
        return read_quantity(raw, operand.unit)
    if operand.kind in ("set", "list") and isinstance(raw, list):
        return tuple(_member(operand, item) for item in raw)
    return _member(operand, raw)


def _member(operand: Operand, raw: Any) -> str:
    name = str(raw) if isinstance(raw, int) and not isinstance(raw, bool) else raw
    if not isinstance(name, str):
        raise ValueError(f"{operand.name} takes a word in quotes, not {raw!r}.")
    if operand.choices and name not in operand.choices:
        hint = did_you_mean(name, operand.choices) or f"It has: {', '.join(operand.choices)}."
        raise ValueError(f"{operand.name} has no choice {name!r}. {hint}")
    return name


def read_range(operand: Operand, bounds: Mapping[str, Any]) -> Range:
    """A range from ``at_least``, ``at_most``, ``above`` and ``below``. Raises ``ValueError``."""
    if operand.kind not in ("number", "integer"):
        raise ValueError(f"{operand.name} is no number, so it has no bounds.")
    found = {name: read_quantity(bounds[name], operand.unit) for name in BOUNDS if name in bounds}
    if not found:
        raise ValueError("a bound is missing: at_least or at_most.")
    strict = any(name in found for name in ("above", "below"))
    if strict and any(name in found for name in ("at_least", "at_most")):
        raise ValueError("above and below do not mix with at_least and at_most.")
    low, high = found.get("at_least", found.get("above")), found.get("at_most", found.get("below"))
    if low is not None and high is not None and low > high:
        raise ValueError(f"no value lies between {shown(low)} and {shown(high)}: the bounds are crossed.")
    return Range(low, high, strict)


def read_wanted(operand: Operand, raw: Any) -> Wanted:
    """What a condition or a waiver wants: a value, a list of values, or a table of bounds, ``is_not``,
    ``has`` and ``has_not``. Raises ``ValueError`` with one plain sentence."""
    if isinstance(raw, Mapping):
        return _from_table(operand, raw)
    if isinstance(raw, list) and operand.kind not in ("set", "list"):
        if not raw:
            raise ValueError(f"{operand.name} must be one of no values.")
        return OneOf(tuple(read_value(operand, one) for one in raw), operand.kind == "text")
    return OneOf((read_value(operand, raw),), operand.kind == "text")


def _from_table(operand: Operand, raw: Mapping[str, Any]) -> Wanted:
    unknown = [name for name in raw if name not in _TESTS]
    if unknown:
        hint = did_you_mean(unknown[0], _TESTS) or f"It may hold {', '.join(_TESTS)}."
        raise ValueError(f"{unknown[0]} means nothing here. {hint}")
    for name, shape in (("is_not", Without), ("has_not", Without), ("has", Having)):
        if name in raw:
            items = raw[name] if isinstance(raw[name], list) else [raw[name]]
            return shape(tuple(_member(operand, item) for item in items))
    return read_range(operand, raw)


def disjoint(one: Wanted, other: Wanted) -> bool:
    """Whether no value can meet both. False where that is not certain."""
    if isinstance(one, OneOf):
        return not one.pattern and not any(other.holds(value) for value in one.values)
    if isinstance(other, OneOf):
        return disjoint(other, one)
    if isinstance(one, Range) and isinstance(other, Range):
        return _apart(one, other) or _apart(other, one)
    pair = (one, other) if isinstance(one, Having) else (other, one)
    if isinstance(pair[0], Having) and isinstance(pair[1], Without):
        return any(member in pair[1].members for member in pair[0].members)
    return False


def _apart(low: Range, high: Range) -> bool:
    """Whether ``low`` ends before ``high`` begins."""
    if low.high is None or high.low is None:
        return False
    return low.high < high.low or (low.high == high.low and (low.strict or high.strict))
