"""What stands in a unit while entries are made: displayed values, and the neutral values they mean."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache

from asleft.models.forms import FORMS, CannotTell, Context
from asleft.models.model import Model, Native
from asleft.record import Value
from asleft.vocabulary import vocabulary


@dataclass
class Standing(Mapping[str, Value]):
    """Displayed values by native id, readable as neutral values by key, worked out when asked.

    A native id that is not there is not known. Percentages follow their base at once, as in the drive.
    """

    model: Model
    displayed: dict[str, str] = field(default_factory=dict)

    def __getitem__(self, key: str) -> Value:
        if key in self.model.fixed:
            return self.model.fixed[key]
        for native in self.model.by_key.get(key, ()):
            if native.id in self.displayed:
                try:
                    found = FORMS[native.form][0](
                        native, self.displayed[native.id], Context(self, self.displayed)
                    )
                except CannotTell:
                    continue
                if key in found:
                    return found[key]
        raise KeyError(key)

    def __iter__(self) -> Iterator[str]:
        return (key for key in (*self.model.fixed, *self.model.by_key) if self.get(key) is not None)

    def __len__(self) -> int:
        return sum(1 for _ in self)

    def number(self, key: str) -> Decimal | None:
        """The neutral number of a key, or None where it is no number or not known."""
        value = self.get(key)
        return value if isinstance(value, Decimal) else None

    def holds(self, native: Native, displayed: str) -> bool:
        """Whether the unit shows this value: digits aside for numbers."""
        return native.id in self.displayed and same_shown(native, self.displayed[native.id], displayed)

    def with_entry(self, native_id: str, displayed: str) -> Standing:
        """What would stand after one entry, side effects aside."""
        return Standing(self.model, {**self.displayed, native_id: displayed})


def same_shown(native: Native, one: str, other: str) -> bool:
    """Whether two displayed values are the same: 8 and 8.0 are."""
    if one == other:
        return True
    if not native.is_number:
        return False
    try:
        return Decimal(one) == Decimal(other)
    except ArithmeticError:
        return False


@dataclass(frozen=True, slots=True)
class Bound:
    """``low`` may not pass ``high``: two neutral keys, as the vocabulary has them."""

    low: str
    high: str


@cache
def bounds() -> tuple[Bound, ...]:
    """Every pair of settings of which one bounds the other, each once."""
    found = dict.fromkeys(
        Bound(parameter.key, parameter.at_most)
        for parameter in vocabulary().parameters.values()
        if parameter.at_most
    )
    for parameter in vocabulary().parameters.values():
        if parameter.at_least:
            found[Bound(parameter.at_least, parameter.key)] = None
    return tuple(found)


@cache
def bounds_of(key: str) -> tuple[Bound, ...]:
    """The pairs a key takes part in."""
    return tuple(bound for bound in bounds() if key in (bound.low, bound.high))
