"""A set without some members, or any choice but some: ``key`` and the list ``without``."""

from __future__ import annotations

from asleft.spec import claims
from asleft.spec.claims import Claims
from asleft.spec.table import Table
from asleft.spec.wanted import read_wanted

FIELDS = ("key", "without", *claims.FIELDS)


def read(table: Table) -> Claims | None:
    """The members left out, the same for every key named."""
    raw = table.data.get("without")
    if not isinstance(raw, list) or not raw:
        table.fault("without", "what must be left out is missing.", 'Give without = ["…"].')
        return None
    made = []
    for name, found in claims.read_keys(table):
        read_test = lambda found=found: read_wanted(found, {"has_not": raw})  # noqa: E731
        wanted = claims.wanted_or_fault(table, read_test, "without")
        if wanted is not None:
            made.append(claims.claim(table, name, wanted))
    return Claims(tuple(made)) if made else None
