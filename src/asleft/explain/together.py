"""Changes that act together, told together at the first of them."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import NamedTuple

from asleft.compare import Change
from asleft.explain.phrases import DATA
from asleft.explain.ranking import lets_go


class Bond(NamedTuple):
    """Rows that act together; ``guard``: only changes that let a protection go count, and ``least`` of them.

    ``says`` is told where no change is grave, with ``{count}`` and ``{names}``.
    """

    name: str
    rows: tuple[str, ...]
    says: str
    guard: bool
    least: int


@cache
def _bonds() -> tuple[Bond, ...]:
    import tomllib

    content = tomllib.loads((DATA / "bonds.toml").read_text(encoding="utf-8"))
    return tuple(
        Bond(name, tuple(row["rows"]), row["says"], row.get("guard", False), row.get("least", 2))
        for name, row in content.items()
    )


def beside(change: Change, changes: Sequence[Change]) -> tuple[str, ...]:
    """Keys of the other changes that act together with one."""
    row = change.parameter.row
    rows = {other for bond in _bonds() if row in bond.rows for other in bond.rows}
    return tuple(one.key for one in changes if one.key != change.key and one.parameter.row in rows)


def gathered(changes: Sequence[Change]) -> dict[str, str]:
    """The sentence for each key that is the first of a bond; the others are named in it."""
    found: dict[str, str] = {}
    for bond in _bonds():
        parts = [
            change
            for change in changes
            if change.parameter.row in bond.rows and (not bond.guard or lets_go(change))
        ]
        if len({change.key for change in parts}) >= bond.least and parts[0].key not in found:
            names = " and ".join(filter(None, (", ".join(_names(parts[:-1])), parts[-1].parameter.label)))
            found[parts[0].key] = bond.says.format(count=_counted(len(parts)), names=names)
    return found


def _names(changes: Sequence[Change]) -> list[str]:
    return [change.parameter.label for change in changes]


def _counted(number: int) -> str:
    words = {2: "Two", 3: "Three", 4: "Four", 5: "Five", 6: "Six"}
    return words.get(number, str(number))
