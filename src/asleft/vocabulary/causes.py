"""From a fault to the settings that decide it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from asleft.vocabulary.loader import contents, vocabulary


class Cause(NamedTuple):
    """A fault in the trade's words. ``keys`` decide it, the most telling first; ``look`` is what to look at
    beside the settings; ``also`` are other names."""

    name: str
    says: str
    also: tuple[str, ...]
    keys: tuple[str, ...]
    look: tuple[str, ...]


@cache
def causes() -> Mapping[str, Cause]:
    """All causes by name."""
    rows = contents(("causes",))["causes"]["cause"]
    return {
        name: Cause(name, row["says"], tuple(row["also"]), tuple(_numbered(row["keys"])), tuple(row["look"]))
        for name, row in rows.items()
    }


def _numbered(rows: list[str]) -> list[str]:
    by_row: dict[str, list[str]] = {}
    for key in vocabulary():
        by_row.setdefault(vocabulary()[key].row, []).append(key)
    return [key for row in rows for key in by_row.get(row, [row])]
