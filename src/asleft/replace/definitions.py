"""What differs between the definitions of two firmwares of one drive family, before any value is compared."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from asleft.models.behaviour_options import behaviour_options
from asleft.models.model import Model, Native
from asleft.vocabulary import vocabulary

Kind = Literal["come", "gone", "renamed", "meaning", "choices", "range", "factory", "entry", "behaviour"]


@dataclass(frozen=True, slots=True)
class DefinitionChange:
    """One difference, by native id, or by the name of a behaviour option; ``words`` tells it whole."""

    name: str
    kind: Kind
    words: str


def covers(model: Model, firmware: str) -> bool:
    """Whether a model file's list is true for a firmware: from its first to its last, number by number."""
    return model.covers(firmware)


def definition_changes(old: Model, new: Model) -> tuple[DefinitionChange, ...]:
    """Every difference of the two lists: entries in the new list's order, what is gone, then behaviour."""
    return (
        *(
            change
            for native in new.natives.values()
            for change in _of_entry(old.natives.get(native.id), native)
        ),
        *(
            DefinitionChange(native.id, "gone", f"{native.id} {native.text} is gone.")
            for native in old.natives.values()
            if native.id not in new.natives
        ),
        *_behaviour(old, new),
    )


def _of_entry(old: Native | None, new: Native) -> Iterator[DefinitionChange]:
    name = f"{new.id} {new.text}"
    if old is None:
        factory = new.factory or "no known value"
        words = f"{name} is new, in {new.menu}; it leaves the factory at {factory}."
        yield DefinitionChange(new.id, "come", words)
        return
    differences: tuple[tuple[Kind, bool, str], ...] = (
        ("renamed", _place(old) != _place(new), f"in {new.menu} was {old.text} in {old.menu}"),
        ("meaning", _form(old) != _form(new), f"means {_meaning(new)}; before, {_meaning(old)}"),
        ("range", _range(old) != _range(new), f"takes {_range(new)}; before, {_range(old)}"),
        (
            "factory",
            old.factory != new.factory,
            f"leaves the factory at {new.factory}; before, at {old.factory}",
        ),
        ("entry", _entry(old) != _entry(new), "is entered otherwise: lock, access, order, or what it resets"),
    )
    for kind, differs, words in differences:
        if differs:
            yield DefinitionChange(new.id, kind, f"{name} {words}.")
    yield from _choices(old, new)


def _place(native: Native) -> tuple[object, ...]:
    return native.text, native.menu


def _form(native: Native) -> tuple[object, ...]:
    return native.keys, native.form, native.unit, native.base


def _entry(native: Native) -> tuple[object, ...]:
    return native.locked_running, native.access, native.sets, native.after


def _choices(old: Native, new: Native) -> Iterator[DefinitionChange]:
    for code in dict.fromkeys((*old.choices, *new.choices)):
        before, after = old.choices.get(code), new.choices.get(code)
        if before is not None and after is not None and before.sets != after.sets:
            words = f"{code} is {after.text} now, and was {before.text}"
        elif before is None and after is not None:
            words = f"{code} ({after.text}) is new"
        elif after is None and before is not None:
            words = f"{code} ({before.text}) is gone"
        else:
            continue
        yield DefinitionChange(new.id, "choices", f"{new.id} {new.text}: choice {words}.")


def _meaning(native: Native) -> str:
    labels = " and ".join(vocabulary()[key].label for key in native.keys) or "nothing of the trade's terms"
    return f"{labels}{f' in {native.unit}' if native.unit else ''}"


def _range(native: Native) -> str:
    return f"{native.low} to {native.high} {native.unit} in steps of {native.step}"


def _behaviour(old: Model, new: Model) -> Iterator[DefinitionChange]:
    for name, option in behaviour_options().items():
        before, after = (model.behaviour.get(name, option.default) for model in (old, new))
        if before != after:
            words = f"{option.meaning.rstrip('.')}: {before} before, {after} now."
            yield DefinitionChange(name, "behaviour", words.replace("_", " "))
