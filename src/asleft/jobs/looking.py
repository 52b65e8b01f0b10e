"""A set as it stands, and the history of an asset."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from asleft.compare import Side, compare
from asleft.files.replacements import Replacement, read_replacement
from asleft.jobs.apart import Apart, apart, followed
from asleft.jobs.checking import Judge, needed
from asleft.jobs.naming import Inputs, Named, resolve
from asleft.jobs.record import Record, Recorded
from asleft.models import Entry, Model, decode, encode
from asleft.record import Asset, Fault, ParameterSet, Refused, Value
from asleft.record.findings import tally


@dataclass(frozen=True, slots=True)
class Shown:
    """A set to look at. ``factory`` gives what each key would be from the factory, ``entries`` the native
    form by native id."""

    named: Named
    factory: Mapping[str, Value]
    entries: Mapping[str, Entry]


def show(name: str, inputs: Inputs) -> Shown:
    """A set with its factory values and native form, where its model is at hand."""
    named = resolve(name, inputs)
    model = named.side.model
    if model is None:
        return Shown(named, {}, {})
    factory = {native.id: native.factory for native in model.natives.values() if native.factory != ""}
    decoded = decode(model, factory, "no factory value")
    return Shown(named, decoded.values, _entries(model, named.set))


def _entries(model: Model, parameters: ParameterSet) -> Mapping[str, Entry]:
    """Everything that was read, as the drive shows it, in its own menu order."""
    found = dict(encode(model, parameters.values, as_read=True).entries)
    for native in model.natives.values():
        if native.id in parameters.native:
            found[native.id] = Entry(native, parameters.native[native.id])
        elif native.secret and native.keys and native.keys[0] in parameters.values:
            found[native.id] = Entry(native, str(parameters.values[native.keys[0]]).replace("_", " "))
    return dict(sorted(found.items(), key=lambda item: model.place[item[0]]))


@dataclass(frozen=True, slots=True)
class Event:
    """A reading in an asset's history, with what changed since the one it follows and what it breaches."""

    recorded: Recorded
    changes: int | None
    breaches: int


class Kept(NamedTuple):
    """What was kept of a unit put right: its file, and what it holds, or why it cannot be read.

    ``replaced``: the unit was another one, not the slot's own read again.
    """

    path: str
    done: Replacement | None
    faults: tuple[Fault, ...] = ()
    replaced: bool = True


@dataclass(frozen=True, slots=True)
class History:
    """The answer to ``history``, oldest first. ``lost``: recorded readings that cannot be read;
    ``kept``: the units put right; ``apart``: what two people recorded without each other."""

    asset: Asset
    events: tuple[Event, ...]
    lost: tuple[Fault, ...] = ()
    kept: tuple[Kept, ...] = ()
    apart: tuple[Apart, ...] = ()


def history(tag: str, inputs: Inputs, on: date) -> History:
    """Every reading of an asset. Breaches are judged as of each reading's own day."""
    record = needed(inputs)
    asset = record.asset(tag)
    joined = apart(record, asset.tag)
    counted = [one for one in record.readings(asset.tag) if one.reading.kind != "planned"]
    events = []
    for one in record.all_readings(asset.tag):
        before = followed(one, counted, joined)
        day = min(on, one.at.astimezone(record.site.zone).date())
        breaches = tally(Judge(record, day).findings(asset, one.set))["breached"]
        events.append(Event(one, _changes(record, before, one), breaches))
    lost = tuple(fault for one in record.unreadable(asset.tag) for fault in one.faults)
    return History(asset, tuple(events), lost, tuple(_kept(record, asset.tag, events)), joined)


def _changes(record: Record, before: Recorded | None, one: Recorded) -> int | None:
    if before is None:
        return None
    old, new = (Side(read.set, record.model_of(read.set)) for read in (before, one))
    return len(compare(old, new).changes)


def _kept(record: Record, tag: str, events: Sequence[Event]) -> Iterator[Kept]:
    changes = {one.recorded.at for one in events if one.recorded.reading.occasion == "change"}
    paths = sorted(record.store.paths(under=f"assets/{tag}/replacements").items())
    contents = record.store.read_blobs([blob for _, blob in paths]) if paths else []
    for (path, _), content in zip(paths, contents, strict=True):
        try:
            done = read_replacement(content, path)
            yield Kept(path, done, replaced=done.at not in changes)
        except Refused as refused:
            yield Kept(path, None, refused.faults)
