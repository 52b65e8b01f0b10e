"""What a person or a file says of one native parameter, as the drive would display it."""

from __future__ import annotations

from decimal import Decimal

from asleft.files.entry import convert, split_number
from asleft.files.value import did_you_mean
from asleft.models.model import Native
from asleft.models.translate import displayed_words
from asleft.record import kept_digits


def as_displayed(native: Native, text: str) -> str:
    """The displayed form: a number with the digits of the step, or a choice's code.

    Takes a decimal comma, a unit behind the number, a choice by code, by its text or by the trade's word.
    Raises ``ValueError`` with one plain sentence.
    """
    cleaned = text.strip()
    if native.secret:
        return cleaned
    if native.choices and native.form != "bits":
        return _code(native, cleaned)
    if native.is_number:
        return str(_number(native, cleaned))
    return cleaned


def _code(native: Native, text: str) -> str:
    if text in native.choices:
        return text
    wanted = text.lower()
    for code, choice in native.choices.items():
        words = {
            choice.text.lower(),
            displayed_words(native, code).lower(),
            *map(str.lower, choice.sets.values()),
        }
        if wanted in words:
            return code
    number = split_number(text)
    for code, choice in native.choices.items():
        if number is not None and choice.number is not None and choice.number == number[0]:
            return code
    if number is not None and not number[1] and f"{number[0].normalize():f}" in native.choices:
        return f"{number[0].normalize():f}"
    near = did_you_mean(text, [choice.text for choice in native.choices.values()])
    listed = ", ".join(displayed_words(native, code) for code in native.choices)
    raise ValueError(f"{native.text} has no choice {text!r}. {near or 'It has ' + listed + '.'}")


def _number(native: Native, text: str) -> Decimal:
    parts = split_number(text)
    if parts is None:
        raise ValueError(f"{native.text} shows a number in {native.unit or 'no unit'}, and {text!r} is none.")
    number, unit = parts
    spoken = displayed_words(native, "0").removeprefix("0").strip()
    if unit not in ("", native.unit, spoken):
        number = convert(number, unit, native.unit)
    return kept_digits(number, native.step or Decimal(1))
