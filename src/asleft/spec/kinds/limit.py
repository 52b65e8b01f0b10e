"""A number between bounds: ``key``, ``at_least``, ``at_most`` (or ``above``, ``below``); ``to`` for ramps."""

from __future__ import annotations

from asleft.spec import claims
from asleft.spec.claims import Claims
from asleft.spec.table import Table
from asleft.spec.wanted import BOUNDS, read_range

FIELDS = ("key", "keys", *BOUNDS, *claims.FIELDS)


def read(table: Table) -> Claims | None:
    """The bounds, the same for every key named."""
    bounds = {name: table.data[name] for name in BOUNDS if name in table}
    field = next(iter(bounds), "")
    made = []
    for name, found in claims.read_keys(table):
        wanted = claims.wanted_or_fault(table, lambda found=found: read_range(found, bounds), field)
        if wanted is not None:
            made.append(claims.claim(table, name, wanted))
    return Claims(tuple(made)) if made else None
