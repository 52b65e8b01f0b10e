"""Limits and the values they bound, while a unit is brought from one set to another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from asleft.models.model import Model, Native
from asleft.record import shown
from asleft.replace.standing import Bound, Standing, bounds_of
from asleft.vocabulary import vocabulary


@dataclass(frozen=True)
class Limits:
    """What bounds what, between ``state``, which moves as entries are made, and ``target``."""

    model: Model
    state: Standing
    target: Mapping[str, str]

    @property
    def final(self) -> Standing:
        """What stands when all targets are reached."""
        return Standing(self.model, {**self.state.displayed, **self.target})

    def ids(self, key: str) -> list[str]:
        """Native ids that carry a key."""
        return [native.id for native in self.model.by_key.get(key, ())]

    def doubtful(self, native: Native, wanted: str) -> Iterator[tuple[str, Bound]]:
        """The other key of each pair that would refuse this entry, or of which too little is known."""
        pairs = pairs_of(native)
        if not pairs:
            return
        trial = self.state.with_entry(native.id, wanted)
        for key, bound in pairs:
            low, high = trial.number(bound.low), trial.number(bound.high)
            if low is None or high is None or low > high:
                yield (bound.high if key == bound.low else bound.low), bound

    def refusing(self, native: Native, wanted: str) -> Iterator[Bound]:
        """Pairs that make the drive refuse this entry as things stand.

        A pair the wanted set itself breaks is no limit of this drive.
        """
        pairs = pairs_of(native)
        if not pairs:
            return
        trial, final = self.state.with_entry(native.id, wanted), self.final
        for _, bound in pairs:
            if broken(trial, bound) and not (broken(final, bound) and self._both_wanted(bound)):
                yield bound

    def _both_wanted(self, bound: Bound) -> bool:
        return all(id_ in self.target for key in (bound.low, bound.high) for id_ in self.ids(key))

    def bounded_by(self, key: str) -> list[Decimal]:
        """What stands below an upper limit now, and will at the end."""
        lows = [bound.low for bound in bounds_of(key) if bound.high == key]
        found = [standing.number(low) for standing in (self.state, self.final) for low in lows]
        return [number for number in found if number is not None]

    def bounds_unknown(self, key: str) -> bool:
        """Whether something below an upper limit is there and not known."""
        lows = [bound.low for bound in bounds_of(key) if bound.high == key]
        return any(id_ not in self.state.displayed for low in lows for id_ in self.ids(low))

    def most(self, key: str, otherwise: Decimal) -> Decimal:
        """The greatest number the unit takes at a key."""
        for native in self.model.by_key.get(key, ()):
            if native.high is not None:
                return self.state.with_entry(native.id, str(native.high)).number(key) or otherwise
        return otherwise

    def too_low_for(self, key: str, value: Decimal) -> list[str]:
        """Upper limits of a key that stand below a value."""
        highs = [bound.high for bound in bounds_of(key) if bound.low == key]
        return [high for high in highs if (number := self.state.number(high)) is not None and number < value]

    def refusal(self, bound: Bound, native: Native) -> str:
        """Why an entry cannot be made."""
        key = bound.high if bound.low in native.keys else bound.low
        number, parameter = self.state.number(key), vocabulary()[key]
        stands = "not known" if number is None else shown(number, parameter.unit)
        return f"{parameter.label} stands at {stands} and cannot be moved first"


def pairs_of(native: Native) -> list[tuple[str, Bound]]:
    """Each key of an entry with each pair it stands in, pairs within the entry left out."""
    return [
        (key, bound)
        for key in native.keys
        for bound in bounds_of(key)
        if not (bound.low in native.keys and bound.high in native.keys)
    ]


def broken(standing: Standing, bound: Bound) -> bool:
    """Whether a value is known to lie beyond its limit."""
    low, high = standing.number(bound.low), standing.number(bound.high)
    return low is not None and high is not None and low > high
