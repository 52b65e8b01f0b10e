"""A value against another of the drive, the motor plate or the machine.

``left``, ``is`` (``at_most``, ``at_least``, ``equal``, ``within`` with ``percent``), ``of``; ``times`` and
``plus`` change what is on the right before it is compared.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from asleft.record import Value
from asleft.spec.claims import IF_ABSENT
from asleft.spec.operands import ABSENT, Absent, Known, Looked, NotKnown, Operand, operand
from asleft.spec.quantities import read_quantity
from asleft.spec.rules import IfAbsent, Outcome, sentence
from asleft.spec.subject import View
from asleft.spec.table import Table
from asleft.spec.through import moved
from asleft.spec.tidy import tidy

RELATIONS = ("at_most", "at_least", "equal", "within", "below", "above")
FIELDS = ("left", "is", "of", "times", "plus", "percent", "if_absent")


@dataclass(frozen=True, slots=True)
class Comparison:
    """How the left value must stand to the right one."""

    relation: str
    times: Decimal = Decimal(1)
    plus: Decimal = Decimal(0)
    percent: Decimal = Decimal(0)

    @property
    def changes(self) -> bool:
        """Whether the right side is changed before it is compared."""
        return self.times != 1 or self.plus != 0

    def bounds(self, right: Decimal) -> tuple[Decimal | None, Decimal | None]:
        """Least and greatest left value allowed."""
        base = tidy(right * self.times + self.plus)
        if self.relation in ("within", "equal"):
            spread = abs(base) * self.percent / 100
            return tidy(base - spread), tidy(base + spread)
        return (base, None) if self.relation in ("at_least", "above") else (None, base)

    def holds(self, left: Value, right: Value) -> bool:
        """Whether the relation holds; only equality is asked of what is no number."""
        if not isinstance(left, Decimal) or not isinstance(right, Decimal):
            return self.relation == "equal" and type(left) is type(right) and left == right
        low, high = self.bounds(right)
        if self.relation in ("above", "below") and left in (low, high):
            return False
        return (low is None or left >= low) and (high is None or left <= high)

    def aloud(self, right: str, unit: str) -> str:
        """``within 5 % of the plate current``, ``at most 0.84 × the working frequency − 2 s``."""
        base = right if self.times == 1 else f"{self.times} × {right}"
        if self.plus:
            base += f" {'+' if self.plus > 0 else '−'} {abs(self.plus)} {unit}".rstrip()
        words = {"at_most": "at most", "at_least": "at least", "equal": "equal to"}
        return (
            f"within {self.percent} % of {base}"
            if self.relation == "within"
            else (f"{words.get(self.relation, self.relation)} {base}")
        )

    def allowed(self, right: Decimal, named: Operand) -> str:
        """The bounds in numbers: ``31.35 A to 34.65 A``."""
        low, high = (None if bound is None else named.words(bound) for bound in self.bounds(right))
        return f"{low} to {high}" if low and high and low != high else str(low or high)

    def target(self, right: Value) -> Value:
        """The value that meets it best."""
        if not isinstance(right, Decimal):
            return right
        return tidy(right * self.times + self.plus)


@dataclass(frozen=True, slots=True)
class Relation:
    """``left`` against ``right`` of the same subject."""

    left: Operand
    right: Operand
    comparison: Comparison
    if_absent: IfAbsent

    def judge(self, view: View) -> Iterator[Outcome]:
        """One outcome."""
        found = view.look(self.left.name), view.look(self.right.name)
        yield compare(*found, self.comparison, self.aloud(), self.if_absent, view)

    def aloud(self) -> str:
        """``the overload current must be within 5 % of the plate current``."""
        right = self.comparison.aloud(f"the {self.right.label}", self.right.unit)
        return f"the {self.left.label} must be {right}"

    def names(self) -> tuple[str, ...]:
        """Both sides."""
        return self.left.name, self.right.name


def compare(
    left: Looked,
    right: Looked,
    comparison: Comparison,
    aloud: str,
    if_absent: IfAbsent,
    view: View,
    owner: str = "",
) -> Outcome:
    """The outcome of a comparison; ``owner`` names the drive on the right, where it is another one."""
    key, required = left.operand.name, aloud.partition(" must be ")[2] or aloud
    for found in (left, right):
        if isinstance(found, NotKnown):
            whose = f"{owner}: " if owner and found is right else ""
            return Outcome("cannot_tell", (key,), {}, "", required, sentence(f"{whose}{found.reason}"))
    for found in (left, right):
        if isinstance(found, Absent):
            name = found.operand.name
            return Outcome(if_absent, (name,), {name: ABSENT}, ABSENT, required, sentence(found.reason))
    assert isinstance(left, Known) and isinstance(right, Known)
    required = f"{required} ({right.words}){_bounds(comparison, right, left.operand)}"
    note = f" ({left.note})" if left.note else ""
    if comparison.holds(left.value, right.value):
        words = sentence(f"{left.operand.label}: {left.words}")
        return Outcome("met", (key,), {key: left.value}, left.words + note, required, words)
    words = _breach_words(left, right, comparison, owner)
    targets, do = _remedy(left, right.value, comparison, view)
    return Outcome("breached", (key,), {key: left.value}, left.words + note, required, words, targets, do)


def _bounds(comparison: Comparison, right: Known, named: Operand) -> str:
    computed = comparison.relation == "within" or comparison.changes
    if not computed or not isinstance(right.value, Decimal):
        return ""
    return f": {comparison.allowed(right.value, named)}"


def _breach_words(left: Known, right: Known, comparison: Comparison, owner: str) -> str:
    whose = f" of {owner}" if owner else ""
    must = _short(comparison, right.value, left.operand)
    other = f"the {right.operand.label}{whose} {right.words}"
    return sentence(f"{left.operand.label} is {left.words}, {other}: it must be {must}")


def _remedy(left: Known, right: Value, comparison: Comparison, view: View) -> tuple[Mapping[str, Value], str]:
    """The left value that meets it, or what moves it; nothing but words where the relation is strict."""
    named, target = left.operand, comparison.target(right)
    strict = comparison.relation in ("above", "below")
    if named.settable and not strict:
        return {named.name: target}, ""
    if named.settable:
        return {}, f"set the {named.label} {_short(comparison, right, named)}"
    more = isinstance(target, Decimal) and isinstance(left.value, Decimal) and target > left.value
    remedy = moved(left, target if isinstance(target, Decimal) and not strict else None, more, view)
    return remedy.targets, remedy.do


def _short(comparison: Comparison, right: Value, named: Operand) -> str:
    if not isinstance(right, Decimal):
        return "the same"
    bounds = comparison.allowed(right, named)
    word = {"at_most": "at most ", "at_least": "at least ", "below": "below ", "above": "above "}
    return f"{word.get(comparison.relation, '')}{bounds}"


def read_comparison(table: Table, left: Operand, right: Operand) -> Comparison | None:
    """``is``, ``times``, ``plus`` and ``percent`` of a rule. Units of both sides must be the same."""
    relation = table.choice("is", RELATIONS, "equal")
    numbers = {left.kind, right.kind} <= {"number", "integer"}
    if not numbers and relation != "equal":
        table.fault("is", f"{left.name} and {right.name} can only be compared as equal.")
        return None
    if numbers and not _comparable(left.unit, right.unit) and "times" not in table:
        table.fault(
            "of", f"{left.name} is in {left.unit or 'no unit'}, {right.name} in {right.unit or 'none'}."
        )
        return None
    if (relation == "within") != ("percent" in table):
        table.fault("percent", 'percent belongs to is = "within", and only there.')
        return None
    try:
        return Comparison(
            relation,
            read_quantity(table.data.get("times", 1), ""),
            read_quantity(table.data["plus"], left.unit) if "plus" in table else Decimal(0),
            read_quantity(table.data.get("percent", 0), ""),
        )
    except ValueError as problem:
        table.fault("plus", str(problem))
        return None


def _comparable(left: str, right: str) -> bool:
    """Alike, or a process value against one without unit, such as a transmitter's range."""
    return left == right or any(unit.startswith("process unit") for unit in (left, right))


def read(table: Table) -> Relation | None:
    """Both sides by name, ``left`` and ``of``."""
    sides = []
    for field in ("left", "of"):
        if field not in table:
            table.fault(field, f"{field} is missing.", "A relation has left, is and of.")
        else:
            found = table.operand(table.text(field), field)
            if found is not None and operand(found.name) is None:
                table.fault(field, f"which {found.name} is meant?", "Name its number.")
            elif found is not None:
                sides.append(found)
    if len(sides) < 2:
        return None
    comparison = read_comparison(table, *sides)
    if comparison is None:
        return None
    absent: IfAbsent = table.choice("if_absent", IF_ABSENT, "breached")  # type: ignore[assignment]
    return Relation(sides[0], sides[1], comparison, absent)
