"""Every change of a comparison, told and ranked by what it can cost."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from asleft.compare import Change, Comparison, Side
from asleft.explain.facts import Fact
from asleft.explain.ranking import weight
from asleft.explain.sentences import change_sentence, consequence
from asleft.explain.together import Together, beside, gathered

if TYPE_CHECKING:
    from asleft.explain.view import Others
    from asleft.record import Asset

MOST_LINES = 3
TURNED = " Alone it would go the other way: other changes turn it round."


class Explained(NamedTuple):
    """A change with its sentence and its effects, most important first.

    ``effects`` are the lines for a reader, at most three; ``facts`` everything that was computed;
    ``most`` the one line that matters most.
    """

    change: Change
    words: str
    effects: tuple[str, ...]
    facts: tuple[Fact, ...] = ()
    most: str = ""


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
    from asleft.explain.computing import facts_of

    computed = [
        (change, facts_of(change, old, new, asset, others, beside(change, changes))) for change in changes
    ]
    ranked = sorted(computed, key=lambda pair: weight(*pair))
    together = gathered([change for change, _ in ranked])
    said: set[str] = set()
    return tuple(_told(change, facts, together.get(change.key), said) for change, facts in ranked)


def tell(changes: Sequence[Change]) -> tuple[Explained, ...]:
    """Tell changes of any class without looking at motor or machine."""
    ranked = sorted(changes, key=lambda change: weight(change, ()))
    return tuple(_told(change, (), None, set()) for change in ranked)


def _told(change: Change, facts: tuple[Fact, ...], together: Together | None, said: set[str]) -> Explained:
    """One change; a line that another change has said already is not said again."""
    lines = [together.words] if together else []
    if not _outspoken(change, facts, together):
        lines.append(consequence(change))
    lines += _known(facts)
    if len(lines) < MOST_LINES:
        lines += _unknown(facts, said)
    fresh = [line for line in dict.fromkeys(lines) if line and line not in said]
    shown = tuple(fresh[:MOST_LINES])
    said.update(shown)
    words = change_sentence(change)
    leading = [line for line in shown if together is None or together.guard or line != together.words]
    return Explained(change, words, shown, facts, leading[0] if leading else words)


def _outspoken(change: Change, facts: tuple[Fact, ...], together: Together | None) -> bool:
    """Whether the facts say more than the general consequence, or otherwise."""
    if any(fact.instead for fact in facts):
        return True
    known = [fact for fact in facts if not fact.cannot]
    grave = sum(fact.grave for fact in known) > 1 and change.parameter.is_number
    return grave or (together is not None and not together.guard and len(known) > 1)


def _known(facts: tuple[Fact, ...]) -> list[str]:
    """What was computed; the first that other changes turn round says so."""
    turned = next((fact for fact in facts if fact.turned), None)
    return [fact.words + (TURNED if fact is turned else "") for fact in facts if not fact.cannot]


def _unknown(facts: tuple[Fact, ...], said: set[str]) -> list[str]:
    """The first thing that cannot be told, once for each missing input."""
    for fact in facts:
        if fact.cannot and fact.cannot not in said:
            said.add(fact.cannot)
            return [fact.words]
    return []
