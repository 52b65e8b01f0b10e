"""The answer to ``show``."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from asleft.documents.blocks import Block, Line, Sheet, count, rows, section
from asleft.documents.data import value
from asleft.documents.diff import named
from asleft.explain import capital, said
from asleft.jobs.looking import Shown
from asleft.record import same_value
from asleft.record.days import plain_time
from asleft.vocabulary import vocabulary


def blocks(shown: Shown, native: bool) -> Sheet:
    """The set by group; settings changed from factory are marked."""
    parameters = shown.named.set
    return (
        Line(f"{shown.named.words}: {count(len(parameters.values), 'key')} read.", "head"),
        Line(_compared(shown)),
        *_reading(shown),
        *(_native(shown) if native else _groups(shown)),
        *section("Not read", (Line(f"{key}: {why}", "dim", 1) for key, why in parameters.not_read.items())),
        *section("Kept without a meaning in the trade's terms", _kept(shown, native)),
    )


def _compared(shown: Shown) -> str:
    if shown.named.side.model is None:
        return "No drive model is at hand, so factory values and what was not read are not known."
    changed = sum(1 for key in shown.named.set.values if _is_changed(shown, key))
    unread = len(shown.named.set.not_read)
    return f"{count(changed, 'differs', 'differ')} from factory (*); {unread} not read."


def _kept(shown: Shown, native: bool) -> Iterator[Block]:
    """What the trade has no word for; in the drive's own form, only what its list does not have."""
    for native_id, given in shown.named.set.native.items():
        entry = shown.entries.get(native_id)
        if entry is None:
            yield Line(f"{native_id}: {given}", depth=1)
        elif not native:
            yield Line(f"{native_id} {entry.native.text}: {entry.words}", depth=1)


def _reading(shown: Shown) -> Iterator[Block]:
    reading = shown.named.set.reading
    if reading is not None:
        why = f": {reading.reason}" if reading.reason else ""
        yield Line(f"Read {plain_time(reading.at)} by {reading.by}, {reading.how}, {reading.occasion}{why}.")
    if shown.named.set.model:
        yield Line(f"Model: {shown.named.set.model}, firmware {shown.named.set.firmware or 'not recorded'}.")
    if shown.named.note:
        yield Line(shown.named.note)


def _is_changed(shown: Shown, key: str) -> bool:
    factory = shown.factory.get(key)
    return factory is not None and not same_value(factory, shown.named.set.values[key])


def _groups(shown: Shown) -> Iterator[Block]:
    values = shown.named.set.values
    for group in vocabulary().groups:
        held = [key for key in vocabulary() if key in values and vocabulary()[key].group == group.name]
        lines = []
        for key in held:
            mark = "*" if _is_changed(shown, key) else " "
            lines.append((mark, capital(vocabulary()[key].label), said(vocabulary()[key], values[key]), key))
        if lines:
            yield from section(group.title, rows(("", "setting", "value", "key"), lines))


def _native(shown: Shown) -> Iterator[Block]:
    model = shown.named.side.model
    if model is None:
        yield Line("No drive model is at hand, so the drive's own form is not known.", "warn")
        return
    menu = ""
    lines: list[tuple[str, ...]] = []
    for native_id, entry in shown.entries.items():
        if entry.native.menu != menu:
            yield from section(menu, rows(("id", "text", "shows"), lines))
            menu, lines = entry.native.menu, []
        lines.append((native_id, entry.native.text, entry.words))
    yield from section(menu, rows(("id", "text", "shows"), lines))


def data(shown: Shown) -> dict[str, Any]:
    """The set for machines."""
    parameters = shown.named.set
    return {
        "set": named(shown.named),
        "values": {key: value(given) for key, given in parameters.values.items()},
        "changed_from_factory": [key for key in parameters.values if _is_changed(shown, key)],
        "not_read": dict(parameters.not_read),
        "native": dict(parameters.native),
        "as_displayed": {native_id: entry.displayed for native_id, entry in shown.entries.items()},
    }
