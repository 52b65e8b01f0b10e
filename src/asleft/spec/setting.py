"""What to set, and whether this drive can be set so."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from asleft.models import CannotEnter, Model, encode_one
from asleft.record import Value
from asleft.spec.operands import operand
from asleft.spec.rules import Outcome, sentence
from asleft.spec.subject import View


def how_to_set(deciding: Sequence[Outcome], targets: Mapping[str, Value], view: View) -> str:
    """Sentences that say what to set, with the drive's own id and menu where its model is known."""
    said = [one.do for one in deciding if one.do]
    said += [_set(key, value, targets, view) for key, value in targets.items()]
    for one in deciding:
        if not one.targets and not one.do:
            said += list(_without_target(one, view))
    return " ".join(dict.fromkeys(sentence(words) for words in said if words))


def _set(key: str, value: Value, targets: Mapping[str, Value], view: View) -> str:
    owner, name = key.split("/", 1) if "/" in key else ("", key)
    there = (view.of(owner) or view) if owner else view
    found = operand(name)
    if found is None:
        return ""
    words = f"set the {found.label}{f' of {owner}' if owner else ''} to {found.words(value)}"
    model = there.subject.model
    if model is None or not found.settable:
        return words if found.settable else ""
    wanted = {**there.subject.set.values, **({} if owner else _own(targets)), name: value}
    return _on_drive(words, name, model, wanted)


def _own(targets: Mapping[str, Value]) -> Mapping[str, Value]:
    return {key: value for key, value in targets.items() if "/" not in key}


def _on_drive(words: str, key: str, model: Model, wanted: Mapping[str, Value]) -> str:
    if key in model.fixed:
        return f"it cannot be set on this drive, where it is fixed: {words.removeprefix('set ')} another way"
    natives = model.by_key.get(key, ())
    if not natives:
        return f"it cannot be set on this drive: decide what {words.removeprefix('set ')} is to be met with"
    entries = []
    for native in natives:
        try:
            entry = encode_one(native, {**wanted, **model.fixed})
        except CannotEnter as reason:
            return f"it cannot be entered on this drive: {reason}. Decide, or ask for a waiver"
        entries.append(f"{native.id} {native.text}, menu {native.menu}: {entry.words}")
    return f"{words} ({'; '.join(entries)})"


def _without_target(one: Outcome, view: View) -> Iterator[str]:
    for key in one.keys:
        found = operand(key.rpartition("/")[2])
        if one.found == "no such setting":
            yield "this drive cannot be set so: decide, or ask for a waiver"
        elif found is not None and found.settable and one.required:
            yield f"set the {found.label} to {one.required}"
