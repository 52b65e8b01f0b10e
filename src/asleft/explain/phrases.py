"""The sentences of computed facts, kept as data: one file a module of effects."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from asleft.vocabulary.kept import kept

DATA = Path(__file__).parent / "data"


class Phrase(NamedTuple):
    """A sentence for a value that grows, shrinks or stays, with the marks its facts carry.

    ``unit`` is that of ``{old}`` and ``{new}``. ``cannot`` finishes "Cannot tell …" where an input misses.
    ``idle``: the change does nothing today, so nothing else is told of it. ``digits`` bounds what an
    estimate shows. ``whole``: it speaks of several settings at once, not of one change.
    """

    up: str
    down: str
    same: str
    unit: str
    cannot: str
    estimate: bool
    grave: str
    instead: bool
    idle: bool
    digits: int
    whole: bool


@cache
def phrases(module: str) -> dict[str, Phrase]:
    """The phrases of one module of effects, by name."""
    return {name: _phrase(row) for name, row in kept(DATA, (module,))[module].items()}


def _phrase(row: dict[str, Any]) -> Phrase:
    says = row.get("says", "")
    return Phrase(
        up=row.get("up", says),
        down=row.get("down", says),
        same=row.get("same", ""),
        unit=row.get("unit", ""),
        cannot=row.get("cannot", ""),
        estimate=row.get("estimate", False),
        grave=row.get("grave", ""),
        instead=row.get("instead", False) or row.get("idle", False),
        idle=row.get("idle", False),
        digits=row.get("digits", 4),
        whole=row.get("whole", False),
    )
