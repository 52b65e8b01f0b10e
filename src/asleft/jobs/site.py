"""Starting a site, and its slots."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from asleft.files.assets import read_asset, selector_problem, write_asset
from asleft.files.entry import typed_value
from asleft.files.site import Site, read_site, write_site
from asleft.files.value import did_you_mean, to_value
from asleft.jobs.record import Broken, Record, Recorded, readable
from asleft.jobs.who import Who
from asleft.record import Asset, Fault, Feed, Permit, Refused, Selector
from asleft.record.tags import check_tag
from asleft.store import Git, Store, create
from asleft.vocabulary import Parameter, slot_fields, vocabulary

_TEXTS = ("designation", "application", "model", "alike")


def start(folder: Path, name: str, zone: str, git: Git, who: Who) -> Store:
    """Start a site's record. Raises ``Refused`` for a bad zone, a store error where it cannot stand."""
    content = write_site(Site(name, zone))
    at = who.at.astimezone(read_site(content).zone)
    return create(
        folder,
        {"site.toml": content},
        git,
        author_name=who.by,
        author_email=who.email,
        at=at,
        committed_at=who.now,
    )


def add_asset(record: Record, tag: str, fields: Sequence[str], who: Who, dry_run: bool = False) -> Asset:
    """A new slot. Raises ``Refused`` where the tag is taken (in any case) or a field is wrong."""
    check_tag(tag)
    taken = next((known for known in record.tags() if known.lower() == tag.lower()), None)
    if taken is not None:
        raise Refused(Fault(f"there is an asset {taken} already.", f"Change it: asleft asset set {taken} …"))
    return _write(record, changed(Asset(tag), fields, record), who, f"Add {tag}", dry_run)


def set_asset(record: Record, tag: str, fields: Sequence[str], who: Who, dry_run: bool = False) -> Asset:
    """A slot changed. Raises ``Refused``."""
    asset = record.asset(tag)
    names = ", ".join(field.partition("=")[0] for field in fields)
    return _write(record, changed(asset, fields, record), who, f"{asset.tag}: set {names}", dry_run)


def retire_asset(record: Record, tag: str, why: str, who: Who) -> Asset:
    """Take a slot out of use; its record stays."""
    asset = record.asset(tag)
    return _write(record, replace(asset, retired=why), who, f"{asset.tag}: retired, {why}", False)


def _write(record: Record, asset: Asset, who: Who, subject: str, dry_run: bool) -> Asset:
    content = write_asset(asset)
    read_asset(content, "asset.toml")
    if not dry_run:
        record.store.write(
            {f"assets/{asset.tag}/asset.toml": content},
            subject,
            who.trailers(asset.tag),
            author_name=who.by,
            author_email=who.email,
            author_at=who.at,
            committed_at=who.now,
        )
    return asset


def changed(asset: Asset, fields: Sequence[str], record: Record) -> Asset:
    """The slot with ``name=value`` fields set; an empty value takes one away. Raises ``Refused``.

    Names: designation, application, model, alike, specs (a list with commas), plate.… and machine.… fields,
    feeds.TAG=tonnes per hour, permits.TAG=relay:input, selectors.NAME=position:contacts,
    and per-slot values by neutral key.
    """
    faults: list[Fault] = []
    for field in fields:
        name, sign, text = field.partition("=")
        try:
            if not sign:
                raise ValueError(f"{field!r} is not NAME=VALUE.")
            asset = _with_field(asset, name.strip(), text.strip(), record)
        except ValueError as problem:
            faults.append(Fault(str(problem), ""))
        except Refused as refused:
            faults += refused.faults
    if faults:
        raise Refused(faults)
    return asset


def _with_field(asset: Asset, name: str, text: str, record: Record) -> Asset:
    if name in _TEXTS:
        if name == "model" and text:
            record.model(text)
        texts: Any = {name: text}
        return replace(asset, **texts)
    if name == "specs":
        return replace(asset, specs=_specs(record, text))
    group, _, rest = name.partition(".")
    if group == "feeds":
        others = tuple(feed for feed in asset.feeds if feed.into != rest)
        new = (Feed(check_tag(rest), _rate(text)),) if text else ()
        return replace(asset, feeds=(*others, *new))
    if group == "permits":
        return replace(asset, permits=_permits(asset, rest, text))
    if group == "selectors":
        return replace(asset, selectors=_selectors(asset, rest, text))
    if group in ("plate", "machine"):
        table: Mapping[str, Any] = getattr(asset, group)
        tables: Any = {group: _with_value(table, slot_fields().get(name), name, rest, text)}
        return replace(asset, **tables)
    return replace(asset, values=_with_value(asset.values, vocabulary().get(name), name, name, text))


def _specs(record: Record, text: str) -> tuple[str, ...]:
    names = tuple(part.strip() for part in text.split(",") if part.strip())
    faults: list[Fault] = []
    for name in names:
        try:
            record.spec_path(name)
        except Refused as refused:
            faults += refused.faults
    if faults:
        raise Refused(faults)
    return names


def _rate(text: str) -> Any:
    tonnes = slot_fields()["machine.machine_speed"]._replace(key="tonnes_per_hour", unit="t/h")
    return typed_value(tonnes, text)


def _permits(asset: Asset, to: str, text: str) -> tuple[Permit, ...]:
    others = tuple(permit for permit in asset.permits if permit.to != to)
    if not text:
        return others
    relay, sign, function = text.partition(":")
    if not sign or not relay.isdecimal():
        raise ValueError(f"permits.{to} is RELAY:INPUT, as in 1:run_enable, and {text!r} is not.")
    to_value(vocabulary()["digital_inputs.di_1.function"], function)
    return (*others, Permit(check_tag(to), int(relay), function))


def _selectors(asset: Asset, name: str, text: str) -> tuple[Selector, ...]:
    """``local:di_5 off: remote:di_6``: each position with the contacts it closes, joined by ``+``."""
    others = tuple(one for one in asset.selectors if one.name != name)
    if not text:
        return others
    places: dict[str, list[str]] = {}
    for part in text.split():
        at, sign, closed = part.partition(":")
        if not sign or not at or at in places:
            raise ValueError(f"{part!r} is not POSITION:CONTACTS, each position once, as in local:di_5")
        places[at] = [contact for contact in closed.split("+") if contact]
    if problem := selector_problem(name, places):
        raise ValueError(f"selectors.{name}: {problem}")
    return (*others, Selector(name, tuple((at, tuple(closed)) for at, closed in places.items())))


def _with_value(
    table: Mapping[str, Any], parameter: Parameter | None, name: str, short: str, text: str
) -> dict[str, Any]:
    if parameter is None:
        known = [*_TEXTS, "specs", *slot_fields(), *vocabulary()]
        raise ValueError(f"{name} is no field of a slot. {did_you_mean(name, known)}".rstrip())
    kept = {key: value for key, value in table.items() if key != short}
    return {**kept, short: typed_value(parameter, text)} if text else kept


@dataclass(frozen=True, slots=True)
class Slot:
    """A slot with its newest readings, for lists."""

    asset: Asset
    left: Recorded | None
    found: Recorded | None


@dataclass(frozen=True, slots=True)
class Slots:
    """All slots of the site; ``broken`` are those whose slot or current reading cannot be read."""

    slots: tuple[Slot, ...]
    broken: tuple[Broken, ...] = ()


def slots(record: Record) -> Slots:
    """All slots of the site; one that cannot be read does not stop the rest."""
    record.load(record.tags())
    sound, broken = readable(record.tags(), lambda tag: slot(record, tag))
    return Slots(tuple(one for _, one in sound), tuple(broken))


def slot(record: Record, tag: str) -> Slot:
    """One slot."""
    newest = {kind: record.series(tag, kind) for kind in ("as_left", "as_found")}
    return Slot(
        record.asset(tag),
        newest["as_left"][-1] if newest["as_left"] else None,
        newest["as_found"][-1] if newest["as_found"] else None,
    )
