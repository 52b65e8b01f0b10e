"""Slots on disk: ``assets/TAG/asset.toml``."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from decimal import Decimal
from functools import lru_cache
from typing import Any

from asleft.files.sets import raw
from asleft.files.toml import Document, parse
from asleft.files.value import did_you_mean, to_value
from asleft.record import Asset, Fault, Feed, Permit, Refused, Selector, Value
from asleft.vocabulary import Vocabulary, slot_fields, vocabulary

FORMAT = 1
INPUTS = 8
SELECTOR_FORM = 'As in: local = ["di_5"], off = [], remote = ["di_6"]'
_TEXTS = ("tag", "designation", "application", "model", "alike", "retired")
_TABLES = ("plate", "machine", "feeds", "permits", "selectors", "slot")
_KNOWN = (*_TEXTS, "format", "specs", *_TABLES)


def write_asset(asset: Asset) -> bytes:
    """The canonical bytes of a slot."""
    import tomli_w

    document: dict[str, Any] = {"format": FORMAT}
    document |= {name: getattr(asset, name) for name in _TEXTS if getattr(asset, name)}
    if asset.specs:
        document["specs"] = list(asset.specs)
    for name, table in (("plate", asset.plate), ("machine", asset.machine)):
        fields = slot_fields()
        ordered = sorted(table, key=lambda field, name=name: fields.order(f"{name}.{field}"))  # type: ignore[misc]
        if ordered:
            document[name] = {field: raw(fields.get(f"{name}.{field}"), table[field]) for field in ordered}
    feeds = {feed.into: _rate(feed.tonnes_per_hour) for feed in asset.feeds}
    permits = {permit.to: {"relay": permit.relay, "input": permit.input} for permit in asset.permits}
    selectors = {one.name: {at: list(closed) for at, closed in one.positions} for one in asset.selectors}
    slot = {key: raw(vocabulary().get(key), asset.values[key]) for key in sorted(asset.values)}
    document |= {
        name: table
        for name, table in (("feeds", feeds), ("permits", permits), ("selectors", selectors), ("slot", slot))
        if table
    }
    return tomli_w.dumps(document).encode("utf-8")


def _rate(rate: Decimal | None) -> dict[str, Any]:
    return {} if rate is None else {"tonnes_per_hour": raw(None, rate)}


@lru_cache(maxsize=256)
def read_asset(content: bytes, where: str) -> Asset:
    """Parse a slot. Raises ``Refused`` with every fault of the file, each with its line."""
    document = parse(content, where)
    data = document.data
    faults = list(_faults(document))
    plate = _fields(document, ("plate",), "plate.", slot_fields(), faults)
    machine = _fields(document, ("machine",), "machine.", slot_fields(), faults)
    values = _fields(document, ("slot",), "", vocabulary(), faults)
    if faults:
        raise Refused(faults)
    return Asset(
        **{name: data.get(name, "") for name in _TEXTS},
        specs=tuple(data.get("specs", ())),
        plate=plate,
        machine=machine,
        values=values,
        feeds=tuple(
            Feed(into, _decimal(link.get("tonnes_per_hour"))) for into, link in _links(data, "feeds")
        ),
        permits=tuple(Permit(to, link["relay"], link["input"]) for to, link in _links(data, "permits")),
        selectors=tuple(
            Selector(name, tuple((at, tuple(closed)) for at, closed in places.items()))
            for name, places in _links(data, "selectors")
        ),
    )


def _links(data: Mapping[str, Any], name: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
    yield from data.get(name, {}).items()


def _table(document: Document, name: str) -> Mapping[str, Any]:
    found = document.data.get(name, {})
    return found if isinstance(found, dict) else {}


def _decimal(number: int | Decimal | None) -> Decimal | None:
    return None if number is None else Decimal(number)


def _faults(document: Document) -> Iterator[Fault]:
    yield from document.format_faults(FORMAT)
    yield from _name_faults(document)
    for into, link in _tables(document, "feeds"):
        if link.keys() - {"tonnes_per_hour"} or not _is_rate(link.get("tonnes_per_hour")):
            yield document.fault(
                ("feeds", into), "a feed has tonnes_per_hour, a number, and nothing else.", ""
            )
    for to, link in _tables(document, "permits"):
        if link.keys() != {"relay", "input"} or not _is_permit(link):
            yield document.fault(
                ("permits", to), "a permit has relay (its number) and input (its function).", ""
            )
    for name, places in _tables(document, "selectors"):
        if problem := selector_problem(name, places):
            yield document.fault(("selectors", name), f"selector {name}: {problem}", SELECTOR_FORM)


def selector_problem(name: str, places: Mapping[str, Any]) -> str:
    """What is wrong with a selector's name and positions; "" where nothing is."""
    if not all(re.fullmatch(r"[\w-]+", word) for word in (name, *places)):
        return "its name and its positions are words of letters, digits, _ and -, as in station and local."
    if not all(isinstance(closed, list) for closed in places.values()):
        return "each position is a list of the inputs it closes."
    known = [f"di_{n}" for n in range(1, INPUTS + 1)]
    contacts = [contact for closed in places.values() for contact in closed]
    unknown = [str(contact) for contact in contacts if contact not in known]
    if unknown:
        return f"{unknown[0]} is no digital input; they are {known[0]} to {known[-1]}."
    if any(len(closed) > len(set(closed)) for closed in places.values()):
        return "a position names an input twice."
    if len(places) < 2 or len(set(contacts)) < 2:
        return "it has two positions or more, and two contacts or more."
    if len({frozenset(closed) for closed in places.values()}) < len(places):
        return "two positions close the same inputs."
    return ""


def _name_faults(document: Document) -> Iterator[Fault]:
    data = document.data
    for name in data.keys() - set(_KNOWN):
        yield document.fault((name,), f"{name} means nothing here.", did_you_mean(name, _KNOWN))
    for name in _TABLES:
        if not isinstance(data.get(name, {}), dict):
            yield document.fault((name,), f"{name} is a table.", f"Write [{name}] on a line of its own.")
    for name in _TEXTS:
        if not isinstance(data.get(name, ""), str):
            yield document.fault((name,), f"{name} is a text and stands in quotes.", "")
    specs = data.get("specs", [])
    if not isinstance(specs, list) or not all(isinstance(spec, str) for spec in specs):
        yield document.fault(("specs",), 'specs is a list of names: ["every-drive"].', "")


def _is_rate(rate: Any) -> bool:
    return rate is None or (isinstance(rate, (int, Decimal)) and not isinstance(rate, bool))


def _is_permit(link: Mapping[str, Any]) -> bool:
    return isinstance(link["relay"], int) and isinstance(link["input"], str)


def _tables(document: Document, name: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
    return (
        (key, link if isinstance(link, dict) else {"": None}) for key, link in _table(document, name).items()
    )


def _fields(
    document: Document, path: tuple[str, ...], prefix: str, known: Vocabulary, faults: list[Fault]
) -> dict[str, Value]:
    found: dict[str, Value] = {}
    for name, content in _table(document, path[0]).items():
        parameter = known.get(prefix + name)
        if parameter is None:
            near = (
                did_you_mean(prefix + name, known).replace(prefix, "")
                if prefix
                else did_you_mean(name, known)
            )
            faults.append(document.fault((*path, name), f"{name} is no known field.", near))
            continue
        try:
            found[name] = to_value(parameter, content)
        except ValueError as problem:
            faults.append(document.fault((*path, name), str(problem), ""))
    return found
