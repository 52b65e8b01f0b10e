"""Names that say that a value is a code: its digits are never kept."""

from __future__ import annotations

import re

WITHHELD = "a code, not recorded"
_CODE = re.compile(
    r"\b(pin|pass ?words?|pass ?codes?|pass ?keys?|kennwort|passwort"
    r"|(access|security|unlock|lock|radio|panel|key|service) ?codes?)\b",
    re.IGNORECASE,
)


def names_a_code(name: str) -> bool:
    """Whether a parameter of this name holds a code."""
    return _CODE.search(re.sub(r"[_\-.]+", " ", name)) is not None
