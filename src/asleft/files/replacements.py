"""A replacement on disk: ``assets/TAG/replacements/NAME.toml``, what was decided, answered and wired.

It stands beside the reading as left, which tells what the unit holds.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

FORMAT: Final = 1


@dataclass(frozen=True, slots=True)
class Replacement:
    """``reading`` is the blob id of the record that was put into the unit, ``read`` that record in words;
    ``unit`` the unit's own reading as named. ``parts`` are the tables ``decided``, ``asked``, ``wires``,
    ``switches`` and ``left_out``, each a list of rows of texts."""

    asset: str
    model: str
    unit: str
    reading: str
    read: str
    at: datetime
    by: str
    parts: Mapping[str, tuple[Mapping[str, str], ...]]
    reason: str = ""
    work_order: str = ""


def write_replacement(done: Replacement) -> bytes:
    """The canonical bytes: the same replacement gives the same bytes. Empty texts and tables are left out."""
    import tomli_w

    head = ("asset", "model", "unit", "reading", "read")
    document: dict[str, Any] = {"format": FORMAT, **{name: getattr(done, name) for name in head}}
    work = ("at", "by", "reason", "work_order")
    document["work"] = {name: getattr(done, name) for name in work if getattr(done, name)}
    for name, rows in done.parts.items():
        if rows:
            document[name] = [{key: text for key, text in row.items() if text} for row in rows]
    return tomli_w.dumps(document).encode("utf-8")
