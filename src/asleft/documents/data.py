"""Results as JSON: the same content everywhere, sorted, numbers as numbers."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from asleft.record import Value

FORMAT = 1


def value(given: Value | None) -> Any:
    """A value for JSON: lists for sets, numbers as numbers."""
    if isinstance(given, tuple):
        return list(given)
    if isinstance(given, Decimal):
        return int(given) if given == given.to_integral_value() and "." not in str(given) else float(given)
    return given


def render(kind: str, content: dict[str, Any]) -> str:
    """The whole document."""
    import json

    document = {"format": FORMAT, "kind": kind, **content}
    return json.dumps(document, ensure_ascii=False, indent=2, sort_keys=True) + "\n"
