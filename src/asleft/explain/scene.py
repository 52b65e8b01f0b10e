"""A change in its place: both sides in their slot, and the making of facts from phrases."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from asleft.compare import Change, Side
from asleft.explain.facts import Fact, Input, Lacking
from asleft.explain.figures import digits_allowed, figure, rounded
from asleft.explain.phrases import Phrase, phrases
from asleft.explain.view import Others, View

if TYPE_CHECKING:
    from asleft.record import Asset


class _Fields(dict[str, str]):
    """Fields of a sentence; a comparison with nothing cannot be said."""

    def __missing__(self, name: str) -> str:
        if name in ("by", "times", "pct"):
            raise Lacking("the value before is zero or without end")
        raise KeyError(name)


class Scene:
    """What one effect works on: the change, and the old and new set in the slot."""

    def __init__(
        self,
        change: Change,
        old: Side,
        new: Side,
        asset: Asset | None = None,
        others: Others | None = None,
        name: str = "",
    ) -> None:
        self.change, self.name = change, name
        self.key = change.key
        self.old, self.new = View(old, asset, others), View(new, asset, others)
        self.asset, self.others = asset, others

    @property
    def sides(self) -> tuple[View, View]:
        """Old, then new."""
        return self.old, self.new

    @property
    def numbers(self) -> tuple[float, float]:
        """The changed setting's two values."""
        return self.old.number(self.key), self.new.number(self.key)

    @property
    def choices(self) -> tuple[str, str]:
        """The changed setting's two choices."""
        return str(self.change.old), str(self.change.new)

    def sibling(self, name: str) -> str:
        """Another key of the same numbered thing."""
        return f"{self.key.rpartition('.')[0]}.{name}"

    @property
    def used(self) -> tuple[Input, ...]:
        """Every input asked for so far, each once."""
        return tuple(dict.fromkeys((*self.new.used, *self.old.used)))

    def show(self, value: float, unit: str) -> str:
        """A number as the inputs used so far allow."""
        return figure(value, unit, digits_allowed(self.used))

    def fact(
        self, old: float | None, new: float, *, name: str = "", unit: str = "", **fields: str
    ) -> Fact | None:
        """The fact in the words that fit its direction; None where there are none for a value that stays."""
        phrase, name = self._phrase(name or self.name)
        unit = unit or phrase.unit
        digits = min(digits_allowed(self.used), phrase.digits)
        after, before = rounded(new, unit, digits), None if old is None else rounded(old, unit, digits)
        text = _chosen(phrase, before, after)
        if not text:
            return None
        values = {"new": figure(new, unit, digits), **fields}
        if old is not None and before is not None:
            values |= _compared(old, new, unit, digits)
        return Fact(
            name,
            text.format_map(_Fields(values)),
            None if math.isinf(after) else after,
            None if before is None or math.isinf(before) else before,
            unit,
            self.used,
            phrase.estimate,
            _is_grave(phrase, before, after),
            phrase.instead,
            whole=phrase.whole,
        )

    def words(self, name: str, **fields: str) -> Fact:
        """A fact of words alone, decided from other values."""
        phrase, name = self._phrase(name)
        return Fact(
            name,
            phrase.up.format_map(fields),
            basis=self.used,
            estimate=phrase.estimate,
            grave=bool(phrase.grave),
            instead=phrase.instead,
            idle=phrase.idle,
        )

    def cannot(self, name: str, why: str) -> Fact | None:
        """The fact that says what cannot be told and why; None where that is not worth saying."""
        module, _, short = name.partition(".")
        phrase = phrases(module).get(short)
        if phrase is None or not phrase.cannot:
            return None
        return Fact(name, f"Cannot tell {phrase.cannot}: {why}.", basis=self.used, cannot=why)

    def _phrase(self, name: str) -> tuple[Phrase, str]:
        """A phrase by its name in this effect's own module, or by module and name."""
        own = self.name.partition(".")[0]
        full = name if "." in name else f"{own}.{name}"
        module, _, short = full.partition(".")
        return phrases(module)[short], full


def _chosen(phrase: Phrase, before: float | None, after: float) -> str:
    if before is None or after > before:
        return phrase.up
    return phrase.down if after < before else phrase.same


def _compared(old: float, new: float, unit: str, digits: int) -> dict[str, str]:
    values = {"old": figure(old, unit, digits)}
    if math.isinf(old) or math.isinf(new):
        return values
    values["by"] = figure(abs(new - old), unit, digits)
    if old > 0 and new > 0:
        values["times"] = figure(new / old, "×", digits)
        values["pct"] = figure(abs(new / old - 1) * 100, "%", min(digits, 3))
    return values


def _is_grave(phrase: Phrase, before: float | None, after: float) -> bool:
    if phrase.grave in ("up", "down") and before is not None:
        return (after > before) is (phrase.grave == "up") and after != before
    return phrase.grave == "yes"
