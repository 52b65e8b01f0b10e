"""What is known of one parameter of the trade, whatever drive it stands in.

They are named tuples, and made when they are first asked for: both keep a cold command quick, since a
dataclass costs a millisecond or more to make.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from typing import Any, Literal, NamedTuple

Kind = Literal["number", "integer", "choice", "text", "list", "set"]
Class = Literal["setting", "identity", "tuned", "counter", "address", "slot", "operating", "action"]
Risk = Literal["low", "medium", "high"]


class Choice(NamedTuple):
    """One choice: ``says`` names it in a sentence, ``means`` tells what it does."""

    name: str
    says: str
    means: str


class Dormant(NamedTuple):
    """The parameter does nothing while ``key`` stands at one of ``values``."""

    key: str
    values: tuple[str, ...]


class Group(NamedTuple):
    """A group of parameters, as the first part of each key."""

    name: str
    title: str
    meaning: str


class Parameter(NamedTuple):
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
    """All parameters by key, in their fixed order. ``make`` turns a key's row into its parameter."""

    __slots__ = ("_made", "_make", "_rows", "groups", "place")

    def __init__(
        self,
        groups: tuple[Group, ...],
        rows: Mapping[str, tuple[str, int | None, Mapping[str, Any]]],
        make: Callable[[str, str, int | None, Mapping[str, Any]], Parameter],
    ) -> None:
        self.groups = groups
        self.place = {key: place for place, key in enumerate(rows)}
        self._rows = rows
        self._make = make
        self._made: dict[str, Parameter] = {}

    @property
    def parameters(self) -> Mapping[str, Parameter]:
        """Every parameter by key."""
        return {key: self[key] for key in self._rows}

    def __getitem__(self, key: str) -> Parameter:
        found = self._made.get(key)
        if found is None:
            found = self._made[key] = self._make(key, *self._rows[key])
        return found

    def __contains__(self, key: object) -> bool:
        return key in self._rows

    def __iter__(self) -> Iterator[str]:
        return iter(self._rows)

    def __len__(self) -> int:
        return len(self._rows)

    def get(self, key: str) -> Parameter | None:
        """The parameter, or None where the trade's vocabulary has no such key."""
        return self[key] if key in self._rows else None

    def order(self, key: str) -> tuple[int, str]:
        """Sort key: vocabulary order first, then unknown keys by name."""
        return self.place.get(key, len(self.place)), key
