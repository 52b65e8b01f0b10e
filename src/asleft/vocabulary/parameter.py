"""What is known of one parameter of the trade, whatever drive it stands in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

Kind = Literal["number", "integer", "choice", "text", "list", "set"]
Class = Literal["setting", "identity", "tuned", "counter", "address", "slot", "operating", "action"]
Risk = Literal["low", "medium", "high"]


@dataclass(frozen=True, slots=True)
class Choice:
    """One choice: ``says`` names it in a sentence, ``means`` tells what it does."""

    name: str
    says: str
    means: str


@dataclass(frozen=True, slots=True)
class Dormant:
    """The parameter does nothing while ``key`` stands at one of ``values``."""

    key: str
    values: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """A group of parameters, as the first part of each key."""

    name: str
    title: str
    meaning: str


@dataclass(frozen=True, slots=True)
class Parameter:
    """One parameter. Numbers in ``unit``; ``low`` and ``high`` bound what any drive is believed to hold.

    ``at_least`` and ``at_most`` name other parameters that bound it; ``up`` and ``down`` are the direction
    words that fit the quantity; ``changes`` says what a change of choice does, by ``from>to`` with ``*``
    for any. ``row`` is the key as the data has it, before numbering.
    """

    key: str
    row: str
    number: int | None
    label: str
    kind: Kind
    unit: str
    low: Decimal | None
    high: Decimal | None
    step: Decimal | None
    at_least: str
    at_most: str
    class_: Class
    locked_running: bool
    risk: Risk
    risk_because: str
    common: bool
    meaning: str
    raised: str
    lowered: str
    up: str
    down: str
    usual: str
    choices: Mapping[str, Choice]
    changes: Mapping[str, str]
    together: tuple[str, ...]
    dormant: tuple[Dormant, ...]
    standard: str
    source: str

    @property
    def group(self) -> str:
        """The first part of the key."""
        return self.key.partition(".")[0]

    @property
    def is_number(self) -> bool:
        """Whether the value is a decimal number."""
        return self.kind in ("number", "integer")

    @property
    def written_as_integer(self) -> bool:
        """Whether the choices are all whole numbers, so that a file holds ``4`` and not ``"4"``."""
        return self.kind == "choice" and all(name.isdecimal() for name in self.choices)

    def effect_of(self, old: str, new: str) -> str:
        """What changing from one choice to another does; empty where nothing particular is recorded."""
        for pattern in (f"{old}>{new}", f"*>{new}", f"{old}>*"):
            if pattern in self.changes:
                return self.changes[pattern]
        return ""


class Vocabulary:
    """All parameters by key, in their fixed order."""

    __slots__ = ("groups", "parameters", "place")

    def __init__(self, groups: tuple[Group, ...], parameters: Mapping[str, Parameter]) -> None:
        self.groups = groups
        self.parameters = parameters
        self.place = {key: place for place, key in enumerate(parameters)}

    def __getitem__(self, key: str) -> Parameter:
        return self.parameters[key]

    def __contains__(self, key: object) -> bool:
        return key in self.parameters

    def __iter__(self) -> Iterator[str]:
        return iter(self.parameters)

    def __len__(self) -> int:
        return len(self.parameters)

    def get(self, key: str) -> Parameter | None:
        """The parameter, or None where the trade's vocabulary has no such key."""
        return self.parameters.get(key)

    def order(self, key: str) -> tuple[int, str]:
        """Sort key: vocabulary order first, then unknown keys by name."""
        return self.place.get(key, len(self.place)), key
