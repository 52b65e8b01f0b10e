"""From a change to its facts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from importlib import import_module
from typing import TYPE_CHECKING

from asleft.compare import Change, Side
from asleft.explain.facts import Fact, Lacking
from asleft.explain.registry import EFFECTS
from asleft.explain.scene import Scene

if TYPE_CHECKING:
    from asleft.explain.view import Others
    from asleft.record import Asset


def facts_of(
    change: Change,
    old: Side,
    new: Side,
    asset: Asset | None,
    others: Others | None = None,
    beside: Sequence[str] = (),
) -> tuple[Fact, ...]:
    """The facts of a change, most telling first; what cannot be told stands last.

    ``beside`` are the keys of other changes that act together with this one. A fact that only other changes
    bring about is not this one's.
    """
    found = [
        _settled(fact, change, old, new, asset, others, beside)
        for fact in _facts(change, old, new, asset, others)
    ]
    facts = [fact for fact in found if fact is not None]
    if any(fact.idle for fact in facts):
        facts = [fact for fact in facts if fact.idle]
    return tuple(sorted(facts, key=lambda fact: bool(fact.cannot)))


def _facts(
    change: Change, old: Side, new: Side, asset: Asset | None, others: Others | None
) -> Iterator[tuple[str, Fact]]:
    for name in EFFECTS.get(change.parameter.row, ()):
        fact = _fact(name, Scene(change, old, new, asset, others, name))
        if fact is not None:
            yield name, fact


def _fact(name: str, scene: Scene) -> Fact | None:
    module, _, function = name.partition(".")
    make = getattr(import_module(f"asleft.explain.effects.{module}"), function)
    try:
        found: Fact | None = make(scene)
        return found
    except Lacking as lacking:
        return scene.cannot(name, str(lacking))
    except ZeroDivisionError:
        return scene.cannot(name, "a value of zero allows no working out")
    except ValueError as problem:
        return scene.cannot(name, str(problem))


def _settled(
    named: tuple[str, Fact],
    change: Change,
    old: Side,
    new: Side,
    asset: Asset | None,
    others: Others | None,
    beside: Sequence[str],
) -> Fact | None:
    """The fact as it stands beside what this change alone would do."""
    name, fact = named
    if fact.value is None or fact.before is None or fact.whole:
        return fact
    side = Side(old.set.with_values({change.key: change.new}), old.model)
    if side.values.get(change.key) != new.values.get(change.key) or _same_elsewhere(change, old, new):
        return fact
    alone = _fact(name, Scene(change, old, side, asset, others, name))
    if alone is None or alone.value is None or alone.before is None:
        return fact if beside or alone is not None else None
    if (alone.value - alone.before) * (fact.value - fact.before) < 0:
        return fact._replace(instead=True, turned=True)
    return fact._replace(instead=fact.instead or fact.value == fact.before)


def _same_elsewhere(change: Change, old: Side, new: Side) -> bool:
    """Whether this change is the only difference between the sides."""
    before, after = old.values, new.values
    return len(before) == len(after) and all(
        key == change.key or before.get(key) == value for key, value in after.items()
    )
