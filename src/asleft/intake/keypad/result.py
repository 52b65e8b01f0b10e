"""From the answers of a guide to a reading, or to the values of a plan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from asleft.intake.keypad.answers import Answer
from asleft.intake.keypad.rows import Row
from asleft.intake.taken import Taken, from_decoded
from asleft.models import Model, decode

NOT_ASKED = "not read at the keypad"


def taken(model: Model, rows: Sequence[Row], answers: Mapping[str, Answer]) -> Taken:
    """The reading: what was read, each entry not read with its reason, menus confirmed as a whole named."""
    displayed = {answer.id: answer.value for answer in answers.values() if answer.is_read}
    found = from_decoded(model, decode(model, displayed, NOT_ASKED), "keypad")
    reasons = {
        key: answer.reason
        for answer in answers.values()
        if not answer.is_read and answer.id in model.natives
        for key in model.natives[answer.id].keys
    }
    not_read = {
        key: reasons.get(key, why) if why == NOT_ASKED else why for key, why in found.set.not_read.items()
    }
    together = {answer.id for answer in answers.values() if answer.how == "together"}
    menus = tuple(dict.fromkeys(row.native.menu for row in rows if row.id in together))
    return replace(found, set=replace(found.set, not_read=not_read), as_shown=menus)


def planned(answers: Mapping[str, Answer], rows: Sequence[Row]) -> dict[str, str]:
    """What a plan is to change: displayed values by native id."""
    shown = {row.id: row.shown for row in rows}
    return {
        answer.id: answer.value
        for answer in answers.values()
        if answer.is_read and answer.value != shown.get(answer.id)
    }
