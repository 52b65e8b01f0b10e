"""From what a person types at an entry to what the drive displays."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from asleft.files.entry import typed_value
from asleft.intake.keypad.rows import SECRET_STATES
from asleft.models import CannotEnter, CannotTell, Native, as_displayed, encode_one
from asleft.record import Value
from asleft.vocabulary import vocabulary


def displayed_of(native: Native, text: str, values: Callable[[], Mapping[str, Value]]) -> str:
    """The displayed form of a value typed as the drive shows it or in the trade's words.

    ``values`` gives the neutral values known so far, for what is shown in per cent of another. Raises
    ``ValueError`` with one plain sentence; of a code that sentence never repeats what was typed.
    """
    if native.secret:
        return code_state(text)
    if native.form == "bits" and _are_known_bits(native, text):
        return text
    try:
        if native.form == "bits":
            raise ValueError(_members(native))
        return as_displayed(native, text)
    except ValueError as problem:
        found = _in_trade_words(native, text, values)
        if found is None:
            raise ValueError(str(problem)) from None
        return found


def code_state(text: str) -> str:
    """Whether a code is set, in neutral terms. Raises ``ValueError`` for anything else, not repeating it."""
    state = text.strip().lower().replace(" ", "_")
    if state not in SECRET_STATES:
        raise ValueError("A code itself is never taken. Type set, not set or factory.")
    return state


def _are_known_bits(native: Native, text: str) -> bool:
    known = sum(1 << int(code) for code in native.choices)
    return text.isdecimal() and int(text) & ~known == 0


def _members(native: Native) -> str:
    listed = ", ".join(f"{1 << int(code)} {choice.text}" for code, choice in native.choices.items())
    return f"{native.text} shows the sum of: {listed}."


def _in_trade_words(native: Native, text: str, values: Callable[[], Mapping[str, Value]]) -> str | None:
    if len(native.keys) != 1:
        return None
    (key,) = native.keys
    known = values()
    poles = str(known.get("motor.pole_count", ""))
    try:
        value = _by_text(native, key, text) or typed_value(
            vocabulary()[key], text, int(poles) if poles.isdecimal() else None
        )
        return encode_one(native, {**known, key: value}).displayed
    except (ValueError, CannotEnter, CannotTell):
        return None


def _by_text(native: Native, key: str, text: str) -> Value | None:
    """Members of a bit field by their texts on the drive."""
    if native.form != "bits":
        return None
    texts = {choice.text.lower(): choice.sets[key] for choice in native.choices.values()}
    parts = [part.strip().lower() for part in text.split(",")]
    return tuple(texts[part] for part in parts) if parts and all(part in texts for part in parts) else None
