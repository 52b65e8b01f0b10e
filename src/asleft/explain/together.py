"""Changes that act together, told together at the first of them."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import NamedTuple

from asleft.compare import Change
from asleft.explain.phrases import DATA
from asleft.explain.ranking import lets_go
from asleft.vocabulary.kept import kept


class Bond(NamedTuple):
    """Rows that act together, and the sentence for it with ``{count}`` and ``{names}``.

    ``guard``: only changes that give a protection or a start away count, and the sentence says what matters.
    """

    rows: tuple[str, ...]
    says: str
    guard: bool


class Together(NamedTuple):
    """What is said at the first of several changes that act together."""

    words: str
    guard: bool


@cache
def _bonds() -> tuple[Bond, ...]:
    content = kept(DATA, ("bonds",))["bonds"]
    return tuple(Bond(tuple(row["rows"]), row["says"], row.get("guard", False)) for row in content.values())


def beside(change: Change, changes: Sequence[Change]) -> tuple[str, ...]:
    """Keys of the other changes that act together with one."""
    row = change.parameter.row
    rows = {other for bond in _bonds() if row in bond.rows for other in bond.rows}
    return tuple(one.key for one in changes if one.key != change.key and one.parameter.row in rows)


def gathered(changes: Sequence[Change]) -> dict[str, Together]:
    """The sentence for each key that is the first of a bond; the others are named in it."""
    found: dict[str, Together] = {}
    for bond in _bonds():
        parts = [
            change
            for change in changes
            if change.parameter.row in bond.rows and (not bond.guard or lets_go(change))
        ]
        if len(parts) > 1 and parts[0].key not in found:
            names = " and ".join(filter(None, (", ".join(_names(parts[:-1])), parts[-1].parameter.label)))
            words = bond.says.format(count=_counted(len(parts)), names=names)
            found[parts[0].key] = Together(words, bond.guard)
    return found


def _names(changes: Sequence[Change]) -> list[str]:
    return [change.parameter.label for change in changes]


def _counted(number: int) -> str:
    words = {2: "Two", 3: "Three", 4: "Four", 5: "Five", 6: "Six"}
    return words.get(number, str(number))
