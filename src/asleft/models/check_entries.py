"""Checks of each parameter's form, choices, text, access and secrets."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from asleft.models.looked import Looked
from asleft.models.model import Native
from asleft.record import Fault
from asleft.vocabulary import Parameter, vocabulary

_LIKE_A_CODE = re.compile(r"\b(pin|password|passcode|passphrase|code)\b", re.IGNORECASE)
_NUMERIC = (
    "number", "percent", "rpm", "proportional_band", "repeats_per_minute", "band_centre", "band_half",
    "band_centre_full", "band_full",
)  # fmt: skip
FORMS_OF_KIND = {
    "number": (*_NUMERIC, "coded"),
    "integer": (*_NUMERIC, "coded"),
    "choice": ("choice", "secret"),
    "set": ("bits",),
    "text": ("text",),
    "list": ("text",),
}
"""The forms that can make a value of each kind."""


def _form_fits(seen: Looked) -> Iterator[Fault]:
    for native in seen.natives:
        for key in native.keys:
            fits = FORMS_OF_KIND[vocabulary()[key].kind]
            if native.form not in fits:
                yield seen.of(
                    native,
                    "form",
                    f"{key} is a {vocabulary()[key].kind}, and form {native.form} makes none.",
                    f"Use {' or '.join(fits[:2])}.",
                )


def _choices(seen: Looked) -> Iterator[Fault]:
    for native in seen.natives:
        if native.form in ("choice", "coded", "bits") and not native.choices:
            yield seen.of(native, "choices", "it has no choices.", "List them with their codes.")
        if native.keys:
            yield from _meanings(seen, native)
        texts = [choice.text.casefold() for choice in native.choices.values()]
        for text in sorted({text for text in texts if texts.count(text) > 1}):
            yield seen.of(native, "choices", f"two choices read {text!r}.", "Write them as the drive does.")


def _meanings(seen: Looked, native: Native) -> Iterator[Fault]:
    meant: dict[tuple[object, ...], str] = {}
    raw = seen.data["parameters"][native.id].get("choices", {})
    for code, choice in native.choices.items():
        if not choice.means_something and len(raw[code]) < 2:
            yield seen.of(
                native,
                "choices",
                f"choice {code} ({choice.text}) has no meaning.",
                'Give the neutral choice, or "" where the trade has no word for it.',
            )
        lacking = [key for key in native.keys if choice.sets and key not in choice.sets]
        strange = [key for key in choice.sets if key not in native.keys]
        for key in lacking:
            yield seen.of(native, "choices", f"choice {code} does not say {key}.", "Give every key of keys.")
        for key in strange:
            yield seen.of(
                native, "choices", f"choice {code} says {key}, which is not in keys.", "Add it there."
            )
        meaning = (*sorted(choice.sets.items()), choice.number) if choice.means_something else ()
        if meaning and meaning in meant:
            yield seen.of(
                native,
                "choices",
                f"choices {meant[meaning]} and {code} mean the same.",
                "One of them is wrong.",
            )
        meant.setdefault(meaning, code)


def _secrets(seen: Looked) -> Iterator[Fault]:
    """A code kept as a plain number would reach the disk."""
    for native in seen.natives:
        told = vocabulary()[native.keys[0]] if native.keys else None
        if native.secret and native.keys and native.form != "secret":
            yield seen.of(
                native, "secret", f"form {native.form} would record the digits.", 'Say form = "secret".'
            )
        if not native.secret and not native.choices and _like_a_code(native, told):
            yield seen.of(
                native,
                "text",
                "this looks like a code, and its digits would be recorded.",
                'Say form = "secret", or secret = true where it has no key.',
            )


def _like_a_code(native: Native, parameter: Parameter | None) -> bool:
    return bool(_LIKE_A_CODE.search(native.text)) or (
        parameter is not None and parameter.key.endswith("pin_state")
    )


def _found_by_a_person(seen: Looked) -> Iterator[Fault]:
    places: dict[tuple[str, str], str] = {}
    for native in seen.natives:
        other = places.setdefault((native.menu, native.text), native.id)
        if other != native.id:
            yield seen.of(native, "text", f"{other} has the same text in the same menu.", "Tell them apart.")


def _access(seen: Looked) -> Iterator[Fault]:
    levels = seen.model.levels
    for native in seen.natives:
        if native.access and native.access not in levels:
            yield seen.of(
                native,
                "access",
                f"there is no level {native.access!r}.",
                f"levels are {', '.join(levels) or 'not given'}.",
            )
        if native.read_only and native.locked_running:
            yield seen.of(
                native,
                "locked",
                "it cannot be entered at all, so nothing locks it.",
                "Delete one of the two.",
            )


CHECKS: tuple[Callable[[Looked], Iterator[Fault]], ...] = (
    _form_fits,
    _choices,
    _secrets,
    _found_by_a_person,
    _access,
)
