"""Slots: one, and the list of all."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from asleft.documents import broken
from asleft.documents.blocks import BLANK, Block, Line, Sheet, count, rows, section
from asleft.documents.data import value
from asleft.explain import capital, said
from asleft.jobs.naming import words_of
from asleft.jobs.site import Slot, Slots
from asleft.vocabulary import slot_fields, vocabulary


def blocks(slot: Slot) -> Sheet:
    """What stands in a slot."""
    asset = slot.asset
    return (
        Line(f"{asset.tag} {asset.designation}".rstrip(), "head"),
        *([Line(f"Retired: {asset.retired}.", "warn")] if asset.retired else []),
        Line(f"Application: {asset.application or 'not recorded'}. Drive model: {_model(slot)}."),
        Line(f"Specs: {', '.join(asset.specs) or 'none, so nothing judges this drive'}."),
        Line(f"As left: {words_of(slot.left) if slot.left else 'never recorded'}."),
        Line(f"As found: {words_of(slot.found) if slot.found else 'never recorded'}."),
        *section("Motor plate", _fields("plate", asset.plate)),
        *section("Machine", _fields("machine", asset.machine)),
        *section("Links", _links(slot)),
        *section(
            "Values of this slot",
            (
                Line(f"{capital(vocabulary()[key].label)}: {said(vocabulary()[key], given)}", depth=1)
                for key, given in asset.values.items()
            ),
        ),
    )


def _model(slot: Slot) -> str:
    stands = slot.left.set.model if slot.left else ""
    if stands and slot.asset.model and stands != slot.asset.model:
        return f"{stands} as last read, {slot.asset.model} as the slot says"
    return stands or slot.asset.model or "not recorded"


def _fields(name: str, table: Any) -> Iterator[Block]:
    for field, given in table.items():
        parameter = slot_fields()[f"{name}.{field}"]
        yield Line(f"{capital(parameter.label)}: {said(parameter, given)}", depth=1)


def _links(slot: Slot) -> Iterator[Block]:
    for feed in slot.asset.feeds:
        rate = f", {feed.tonnes_per_hour} t/h" if feed.tonnes_per_hour is not None else ""
        yield Line(f"Feeds {feed.into}{rate}", depth=1)
    for permit in slot.asset.permits:
        yield Line(f"Relay {permit.relay} permits {permit.input.replace('_', ' ')} of {permit.to}", depth=1)
    for one in slot.asset.selectors:
        places = "; ".join(f"{at} closes {' and '.join(closed) or 'nothing'}" for at, closed in one.positions)
        yield Line(f"Selector {one.name}: {places}", depth=1)


def data(slot: Slot) -> dict[str, Any]:
    """One slot for machines."""
    asset = slot.asset
    return {
        "tag": asset.tag,
        "designation": asset.designation,
        "application": asset.application,
        "model": asset.model,
        "specs": list(asset.specs),
        "alike": asset.alike,
        "retired": asset.retired or None,
        "plate": {name: value(given) for name, given in asset.plate.items()},
        "machine": {name: value(given) for name, given in asset.machine.items()},
        "feeds": [
            {"into": feed.into, "tonnes_per_hour": value(feed.tonnes_per_hour)} for feed in asset.feeds
        ],
        "permits": [{"to": one.to, "relay": one.relay, "input": one.input} for one in asset.permits],
        "selectors": [{"name": one.name, "positions": dict(one.positions)} for one in asset.selectors],
        "values": {key: value(given) for key, given in asset.values.items()},
        "left": slot.left.at.isoformat() if slot.left else None,
        "found": slot.found.at.isoformat() if slot.found else None,
    }


def list_blocks(found: Slots) -> Sheet:
    """All slots of the site, those that cannot be read first."""
    slots = found.slots
    if not slots and not found.broken:
        return (Line("The site has no slots yet."), Line("Add one: asleft asset add TAG model=NAME"))
    unread = [slot.asset.tag for slot in slots if slot.left is None and not slot.asset.retired]
    first = f"{count(len(slots), 'slot')}; "
    first += (
        f"never recorded as left: {', '.join(unread)}."
        if unread
        else "every one in use has an as-left reading."
    )
    return (
        *broken.lines(found.broken, "read"),
        Line(first, "warn" if unread else "good"),
        BLANK,
        *rows(
            ("asset", "designation", "application", "model", "as left", "specs"),
            (_cells(slot) for slot in slots),
        ),
    )


def _cells(slot: Slot) -> tuple[str, ...]:
    asset = slot.asset
    state = f"retired: {asset.retired}" if asset.retired else words_of(slot.left) if slot.left else "never"
    return (asset.tag, asset.designation, asset.application, _model(slot), state, ", ".join(asset.specs))


def list_data(found: Slots) -> dict[str, Any]:
    """All slots for machines."""
    return {"broken": broken.data(found.broken), "assets": [data(slot) for slot in found.slots]}
