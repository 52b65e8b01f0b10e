"""What a rule can speak of: a neutral key, a field of the slot, a computed quantity, a fact of the record."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache
from typing import TypeAlias

from asleft.record import Value, shown
from asleft.spec.computed_names import COMPUTED, FACTS
from asleft.vocabulary import slot_fields, vocabulary

ABSENT = "no such setting"
"""What stands for the value of a setting the drive lacks, in a finding and in a waiver."""


@dataclass(frozen=True, slots=True)
class Operand:
    """A name a rule may use: ``label`` in a sentence, ``unit``, ``kind`` as for a parameter, and what each
    choice is called. ``settable`` is whether somebody can enter it at the drive."""

    name: str
    label: str
    unit: str = ""
    kind: str = "number"
    choices: Mapping[str, str] = field(default_factory=dict)
    settable: bool = False

    def words(self, value: Value) -> str:
        """A value as a person reads it: with its unit, or the choice's own words."""
        if isinstance(value, Decimal):
            return shown(value, "" if self.unit.startswith("process unit") else self.unit)
        if isinstance(value, tuple):
            return ", ".join(self.choices.get(item, item) for item in value) or "none"
        return self.choices.get(value, value)


@dataclass(frozen=True, slots=True)
class Known:
    """A value that is known. ``note`` says how it was worked out, where it was."""

    operand: Operand
    value: Value
    note: str = ""

    @property
    def words(self) -> str:
        """The value as a person reads it."""
        return self.operand.words(self.value)


@dataclass(frozen=True, slots=True)
class NotKnown:
    """Nobody read it, or an input is missing; ``reason`` says which."""

    operand: Operand
    reason: str


@dataclass(frozen=True, slots=True)
class Absent:
    """The drive model has no such parameter."""

    operand: Operand
    reason: str


Looked: TypeAlias = Known | NotKnown | Absent


@cache
def operand(name: str) -> Operand | None:
    """The operand of a name, or None where there is none of that name."""
    parameter = vocabulary().get(name) or slot_fields().get(name)
    if parameter is not None:
        says = {choice.name: choice.says for choice in parameter.choices.values()}
        settable = name in vocabulary() and parameter.class_ not in ("identity", "counter", "slot")
        return Operand(name, parameter.label, parameter.unit, parameter.kind, says, settable)
    row = COMPUTED.get(name) or FACTS.get(name)
    return None if row is None else Operand(name, row.label, row.unit, row.kind, row.choices)


def owner_and_name(key: str) -> tuple[str, str]:
    """The drive a key of a finding belongs to, empty for its own, and the name: ``E1/outputs…``."""
    owner, _, name = key.rpartition("/")
    return owner, name


def operand_of_key(key: str) -> Operand | None:
    """The operand of a key of a finding, whichever drive it belongs to."""
    return operand(owner_and_name(key)[1])


def known_names() -> Iterator[str]:
    """Every name a rule may use, for suggestions."""
    yield from vocabulary()
    yield from slot_fields()
    yield from COMPUTED
    yield from FACTS
