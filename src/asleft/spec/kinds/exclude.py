"""A set without some members, or any choice but some: ``key`` or ``keys``, and ``without``.

``with`` is the opposite for a set: members that must be there.
"""

from __future__ import annotations

from asleft.spec import claims
from asleft.spec.claims import Claims
from asleft.spec.table import Table
from asleft.spec.wanted import read_wanted

FIELDS = ("key", "keys", "without", "with", *claims.FIELDS)
_TESTS = {"without": "has_not", "with": "has"}


def read(table: Table) -> Claims | None:
    """The members left out or asked for, the same for every key named."""
    given = [name for name in _TESTS if name in table]
    members = table.words(given[0]) if len(given) == 1 else []
    if not members:
        table.fault("", "what must be left out is missing.", 'Give without = ["…"], or with = ["…"].')
        return None
    made = []
    for name, found in claims.read_keys(table):
        if given == ["with"] and found.kind not in ("set", "list"):
            table.fault("with", f"{name} holds one value and no members.", "Use kind one_of.")
            continue
        read_test = lambda found=found: read_wanted(found, {_TESTS[given[0]]: members})  # noqa: E731
        wanted = claims.wanted_or_fault(table, read_test, given[0])
        if wanted is not None:
            made.append(claims.claim(table, name, wanted))
    return Claims(tuple(made)) if made else None
