"""Words of the trade beside the parameters, from ``data/terms.toml``."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from asleft.vocabulary.loader import DATA


class Term(NamedTuple):
    """One word. ``kind`` says what it is, ``also`` other names it is asked by, ``see`` related words."""

    name: str
    kind: str
    says: str
    source: str
    also: tuple[str, ...] = ()
    see: tuple[str, ...] = ()


@cache
def terms() -> Mapping[str, Term]:
    """Every word by its name, in the order of the file."""
    import tomllib

    data = tomllib.loads((DATA / "terms.toml").read_bytes().decode("utf-8"))
    return {
        name: Term(
            name,
            row["kind"],
            row["says"],
            row["source"],
            tuple(row.get("also", ())),
            tuple(row.get("see", ())),
        )
        for name, row in data["term"].items()
    }
