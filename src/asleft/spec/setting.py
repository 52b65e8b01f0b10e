"""What to set, and whether this drive can be set so."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from asleft.models import CannotEnter, Model, encode_one
from asleft.record import Value
from asleft.spec.operands import ABSENT, operand, owner_and_name
from asleft.spec.rules import Outcome, sentence
from asleft.spec.subject import View


def how_to_set(deciding: Sequence[Outcome], targets: Mapping[str, Value], view: View) -> str:
    """Sentences that say what to set, with the drive's own ids and menus where its model is known."""
    said = [one.do for one in deciding if one.do]
    for owner in dict.fromkeys(owner_and_name(key)[0] for key in targets):
        own = {
            name: value for key, value in targets.items() for at, name in [owner_and_name(key)] if at == owner
        }
        said += list(_at(owner, own, (view.of(owner) or view) if owner else view))
    for one in deciding:
        if one.found == ABSENT:
            said.append("this drive cannot be set so: decide, or ask for a waiver")
    return " ".join(dict.fromkeys(sentence(words) for words in said if words))


def _at(owner: str, targets: Mapping[str, Value], view: View) -> Iterator[str]:
    """What to set at one drive: all that can be entered in one sentence, then what cannot."""
    model, wanted = view.subject.model, {**view.subject.set.values, **targets}
    able, entries, unable = [], [], []
    for key, value in targets.items():
        found = operand(key)
        if found is None or not found.settable:
            continue
        try:
            entries += [] if model is None else _entries(key, model, {**wanted, **model.fixed})
            able.append(f"the {found.label} to {found.words(value)}")
        except CannotEnter as reason:
            unable.append(f"{found.label} cannot be {found.words(value)} here: {reason}. Decide, or waive it")
    if able:
        at = f" at {owner}" if owner else ""
        shown = f" ({'; '.join(dict.fromkeys(entries))})" if entries else ""
        yield f"set {' and '.join(able)}{at}{shown}"
    yield from unable


def _entries(key: str, model: Model, wanted: Mapping[str, Value]) -> list[str]:
    """What to enter at the drive. Raises ``CannotEnter`` where it cannot hold the value."""
    if key in model.fixed:
        raise CannotEnter("it is fixed on this drive")
    natives = model.by_key.get(key, ())
    if not natives:
        raise CannotEnter("this drive has no such setting")
    entries = [(native, encode_one(native, wanted)) for native in natives]
    return [f"{native.id} {native.text}, menu {native.menu}: {entry.words}" for native, entry in entries]
