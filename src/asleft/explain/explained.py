"""Every change of a comparison, told and ranked by what it can cost."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from asleft.compare import Change, Comparison, Side
from asleft.explain.computing import facts_of
from asleft.explain.facts import Fact
from asleft.explain.ranking import weight
from asleft.explain.sentences import change_sentence, consequence
from asleft.explain.together import beside, gathered

if TYPE_CHECKING:
    from asleft.explain.view import Others
    from asleft.record import Asset

MOST_LINES = 3


class Explained(NamedTuple):
    """A change with its sentence and its effects, most important first.

    ``effects`` are the lines for a reader, at most three; ``facts`` everything that was computed.
    """

    change: Change
    words: str
    effects: tuple[str, ...]
    facts: tuple[Fact, ...] = ()


def explain(
    comparison: Comparison,
    old: Side,
    new: Side,
    asset: Asset | None = None,
    others: Others | None = None,
) -> tuple[Explained, ...]:
    """Tell every change of class *setting*, what can cost most first, then in vocabulary order.

    ``others`` finds the other slots of the site by tag, for what this machine feeds and permits.
    """
    return tell_in_place(comparison.changes, old, new, asset, others)


def tell_in_place(
    changes: Sequence[Change],
    old: Side,
    new: Side,
    asset: Asset | None = None,
    others: Others | None = None,
) -> tuple[Explained, ...]:
    """Tell changes of any class with what they do at this motor and machine."""
    computed = [
        (change, facts_of(change, old, new, asset, others, beside(change, changes))) for change in changes
    ]
    ranked = sorted(computed, key=lambda pair: weight(*pair))
    together = gathered([change for change, _ in ranked])
    said: set[str] = set()
    return tuple(_told(change, facts, together.get(change.key, ""), said) for change, facts in ranked)


def tell(changes: Sequence[Change]) -> tuple[Explained, ...]:
    """Tell changes of any class without looking at motor or machine."""
    ranked = sorted(changes, key=lambda change: weight(change, ()))
    return tuple(
        Explained(change, change_sentence(change), tuple(filter(None, [consequence(change)])))
        for change in ranked
    )


def _told(change: Change, facts: tuple[Fact, ...], together: str, said: set[str]) -> Explained:
    """One change; a line that another change has said already is not said again."""
    instead = any(fact.instead for fact in facts)
    lines = [together] if together else []
    if not instead:
        lines.append(consequence(change))
    lines += [fact.words for fact in facts if not fact.cannot]
    if len(lines) < MOST_LINES:
        lines += _unknown(facts, said)
    fresh = [line for line in dict.fromkeys(lines) if line and line not in said]
    shown = tuple(fresh[:MOST_LINES])
    said.update(shown)
    return Explained(change, change_sentence(change), shown, facts)


def _unknown(facts: tuple[Fact, ...], said: set[str]) -> list[str]:
    """The first thing that cannot be told, once for each missing input."""
    for fact in facts:
        if fact.cannot and fact.cannot not in said:
            said.add(fact.cannot)
            return [fact.words]
    return []
