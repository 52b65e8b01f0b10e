"""Every change of a comparison, told and ranked by what it can cost."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from asleft.compare import Change, Comparison, Side
from asleft.explain.sentences import change_sentence, consequence

if TYPE_CHECKING:
    from asleft.record import Asset

_RISK = {"high": 0, "medium": 1, "low": 2}


class Explained(NamedTuple):
    """A change with its sentence and its effects, most important first."""

    change: Change
    words: str
    effects: tuple[str, ...]


def explain(
    comparison: Comparison, old: Side, new: Side, asset: Asset | None = None
) -> tuple[Explained, ...]:
    """Tell every change of class *setting*, highest risk first, then in vocabulary order."""
    return tell(comparison.changes)


def tell(changes: Sequence[Change]) -> tuple[Explained, ...]:
    """Tell changes of any class without looking at motor or machine."""
    ranked = sorted(changes, key=lambda change: _RISK[change.parameter.risk])
    return tuple(
        Explained(change, change_sentence(change), tuple(filter(None, [consequence(change)])))
        for change in ranked
    )
