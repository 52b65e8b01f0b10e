"""One side of a comparison: a set, and the model it was read from where one is at hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from asleft.record import ParameterSet, Value, step_of
from asleft.vocabulary import vocabulary

if TYPE_CHECKING:
    from asleft.models import Model

State = Literal["read", "not_read", "absent", "missing"]


@dataclass(frozen=True)
class Side:
    """``state`` of a key: read, not read with a reason, absent because the model lacks it, or missing where
    no model is at hand to say which."""

    set: ParameterSet
    model: Model | None = None

    @cached_property
    def values(self) -> Mapping[str, Value]:
        """Values read, and those the model fixes."""
        return {**self.model.fixed, **self.set.values} if self.model else self.set.values

    def state(self, key: str) -> State:
        """How much is known of a key on this side."""
        if key in self.values:
            return "read"
        if key in self.set.not_read:
            return "not_read"
        if self.model is not None:
            return "not_read" if key in self.model.by_key else "absent"
        return "missing"

    def why(self, key: str) -> str:
        """Why a key has no value here."""
        if key in self.set.not_read:
            return self.set.not_read[key]
        if self.model is None:
            return "it is not in the file, and no model file is at hand to say whether the drive has it"
        if self.model.has(key):
            return "it is not in the reading"
        return self.model.absent.get(key, "this model has no such parameter")

    def step(self, key: str, value: Decimal) -> Decimal:
        """The smallest difference this side can show, in the neutral unit."""
        if self.model is not None:
            from asleft.models import display_step

            if step := display_step(self.model, key, self.values):
                return step
        usual = vocabulary()[key].step or Decimal(1)
        return min(usual, step_of(value))
