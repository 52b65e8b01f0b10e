"""A setting at one of several choices: ``key`` or ``keys``, and ``values``."""

from __future__ import annotations

from asleft.spec import claims
from asleft.spec.claims import Claims
from asleft.spec.table import Table
from asleft.spec.wanted import OneOf, read_value

FIELDS = ("key", "keys", "values", *claims.FIELDS)


def read(table: Table) -> Claims | None:
    """The choices, the same for every key named."""
    raw = table.data.get("values")
    if not isinstance(raw, list) or not raw:
        table.fault("values", "the choices are missing.", 'Give values = ["…", "…"].')
        return None
    made = []
    for name, found in claims.read_keys(table):
        read_all = lambda found=found: OneOf(tuple(read_value(found, one) for one in raw))  # noqa: E731
        wanted = claims.wanted_or_fault(table, read_all, "values")
        if wanted is not None:
            made.append(claims.claim(table, name, wanted))
    return Claims(tuple(made)) if made else None
