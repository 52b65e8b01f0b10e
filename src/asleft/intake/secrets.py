"""Names that say that a value is a code: its digits are never kept."""

from __future__ import annotations

import re
from dataclasses import replace

from asleft.intake.taken import Taken
from asleft.models import Model
from asleft.record import Fault, Refused

WITHHELD = "a code, not recorded"
_CODE = re.compile(
    r"\b(pin|pass ?words?|pass ?codes?|pass ?keys?|kennwort|passwort"
    r"|(access|security|unlock|lock|radio|panel|key|service) ?codes?)\b",
    re.IGNORECASE,
)


def names_a_code(name: str) -> bool:
    """Whether a parameter of this name holds a code."""
    return _CODE.search(re.sub(r"[_\-.]+", " ", name)) is not None


def withheld(taken: Taken, where: str, model: Model | None) -> Taken:
    """The reading without the digits of any code a file may carry.

    Raises ``Refused`` where a code stands in the place of the person who holds it.
    """
    holders = {key: text for key, text in taken.set.values.items() if key.endswith("_held_by")}
    for key, text in holders.items():
        if not any(letter.isalpha() for letter in str(text)):
            what = f"{key} names the person who holds the code, and this is none."
            raise Refused(Fault(what, "Write the name; the code itself is never recorded.", where))
    native = {name: WITHHELD if _is_code(name, model) else text for name, text in taken.set.native.items()}
    not_read = {key: _reason(key, why) for key, why in taken.set.not_read.items()}
    return replace(taken, set=replace(taken.set, native=native, not_read=not_read))


def _is_code(name: str, model: Model | None) -> bool:
    listed = model.natives.get(name) if model is not None else None
    return names_a_code(name) if listed is None else listed.secret


def _reason(key: str, why: str) -> str:
    about_a_code = key.endswith(("pin_state", "pin_held_by"))
    return WITHHELD if about_a_code and any(letter.isdecimal() for letter in why) else why
