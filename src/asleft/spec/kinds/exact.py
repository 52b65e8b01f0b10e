"""Settings at exact values: ``key`` and ``value``, or a table ``values`` of several."""

from __future__ import annotations

from asleft.spec import claims
from asleft.spec.claims import Claims
from asleft.spec.table import Table
from asleft.spec.wanted import OneOf, read_value

FIELDS = ("key", "value", "values", *claims.FIELDS)


def read(table: Table) -> Claims | None:
    """One claim a setting."""
    asked = dict(table.mapping("values"))
    if "key" in table:
        if "value" not in table:
            table.fault("key", "the value is missing.", "Give value = …")
            return None
        asked |= dict.fromkeys(table.words("key"), table.data["value"])
    if not asked:
        table.fault("", "the rule names no setting.", "Give key and value, or a table values.")
    made = []
    for name, raw in asked.items():
        field = "key" if table.data.get("key") == name else "values"
        found = table.operand(name, field)
        if found is None:
            continue
        read_one = lambda found=found, raw=raw: OneOf((read_value(found, raw),))  # noqa: E731
        wanted = claims.wanted_or_fault(table, read_one, "value" if field == "key" else field)
        if wanted is not None:
            made.append(claims.claim(table, name, wanted))
    return Claims(tuple(made)) if made else None
