"""Parameter sets on disk: one canonical form, and a reader that lists every fault with its line."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import datetime
from decimal import Decimal
from functools import lru_cache
from typing import Any, NamedTuple

from asleft.files.toml import Document, parse
from asleft.files.value import did_you_mean, to_value
from asleft.record import OCCASIONS, READING_KINDS, Fault, ParameterSet, Reading, Refused, Value
from asleft.vocabulary import Parameter, vocabulary

FORMAT = 1
_HEAD = ("asset", "model", "model_version", "firmware")
_READING = ("kind", "at", "by", "how", "occasion", "reason", "work_order", "after", "until", "as_shown")
_REQUIRED = ("kind", "at", "by", "how", "occasion")
_TABLES = ("reading", "not_read", "native")
_NATURAL = r"(\d+)"


def write_set(parameters: ParameterSet) -> bytes:
    """The canonical bytes: the same set gives the same bytes, in vocabulary order."""
    import tomli_w

    document: dict[str, Any] = {"format": FORMAT}
    document |= {name: getattr(parameters, name) for name in _HEAD if getattr(parameters, name)}
    if parameters.reading is not None:
        document["reading"] = _reading_table(parameters.reading)
    order = vocabulary().order
    if parameters.not_read:
        document["not_read"] = {
            key: parameters.not_read[key] for key in sorted(parameters.not_read, key=order)
        }
    for key in sorted(parameters.values, key=order):
        *tables, name = key.split(".")
        place = document
        for table in tables:
            place = place.setdefault(table, {})
        place[name] = raw(vocabulary().get(key), parameters.values[key])
    if parameters.native:
        document["native"] = {
            name: parameters.native[name] for name in sorted(parameters.native, key=natural)
        }
    return tomli_w.dumps(document).encode("utf-8")


def _reading_table(reading: Reading) -> dict[str, Any]:
    found = {name: getattr(reading, name) for name in _READING if getattr(reading, name)}
    return {name: list(value) if isinstance(value, tuple) else value for name, value in found.items()}


def raw(parameter: Parameter | None, value: Value) -> Any:
    """A value as TOML holds it."""
    if isinstance(value, tuple):
        return list(value)
    if parameter is not None and parameter.written_as_integer and isinstance(value, str):
        return int(value)
    # A TOML float needs a point, and a point would claim a digit nobody read.
    if isinstance(value, Decimal) and "." not in f"{value:f}":
        return int(value)
    return value


def natural(text: str) -> tuple[tuple[int, int | str], ...]:
    """Sort key by which ``2F2`` stands before ``2F10``."""
    return tuple(
        (0, int(part)) if part.isdecimal() else (1, part) for part in re.split(_NATURAL, text) if part
    )


class _Found(NamedTuple):
    values: dict[str, Value]
    faults: list[Fault]


@lru_cache(maxsize=512)
def read_set(content: bytes, where: str) -> ParameterSet:
    """Parse a set. Raises ``Refused`` with every fault of the file, each with its line.

    The same bytes from the same place are parsed once in a process.
    """
    document = parse(content, where)
    data = document.data
    faults = list(_head_faults(document))
    reading = _reading(document, faults)
    found = _Found({}, [])
    for name, content_of in data.items():
        if name not in _TABLES and name not in (*_HEAD, "format"):
            _collect(document, (name,), content_of, found)
    faults += found.faults
    not_read = _texts(document, "not_read", faults, known=vocabulary())
    native = _texts(document, "native", faults)
    for key in not_read.keys() & found.values.keys():
        faults.append(
            document.fault(
                ("not_read", key),
                f"{key} has a value and also stands under not_read.",
                "Keep one of the two.",
            )
        )
    if faults:
        raise Refused(faults)
    head = {name: data.get(name, "") for name in _HEAD}
    return ParameterSet(**head, reading=reading, values=found.values, not_read=not_read, native=native)


def _head_faults(document: Document) -> Iterator[Fault]:
    yield from document.format_faults(FORMAT)
    for name in _HEAD:
        if not isinstance(document.data.get(name, ""), str):
            yield document.fault((name,), f"{name} is a text and stands in quotes.", "")


def _reading(document: Document, faults: list[Fault]) -> Reading | None:
    table = document.data.get("reading")
    if table is None:
        return None
    if not isinstance(table, dict):
        faults.append(document.fault(("reading",), "reading is a table: [reading].", ""))
        return None
    before = len(faults)
    faults += _reading_faults(document, table)
    if len(faults) > before:
        return None
    return Reading(**{**table, "as_shown": tuple(table.get("as_shown", ()))})


def _reading_faults(document: Document, table: Mapping[str, Any]) -> Iterator[Fault]:
    for name in table.keys() - set(_READING):
        yield document.fault(("reading", name), f"{name} means nothing here.", did_you_mean(name, _READING))
    for name in _REQUIRED:
        if name not in table:
            yield document.fault(("reading",), f"the reading does not say {name}.", f"Add {name} = …")
    at = table.get("at")
    if at is not None and (not isinstance(at, datetime) or at.tzinfo is None):
        yield document.fault(
            ("reading", "at"), "at is no date and time with a zone.", "Write 2026-03-12T14:05:00+01:00."
        )
    for name, known in (("kind", READING_KINDS), ("occasion", OCCASIONS)):
        if name in table and table[name] not in known:
            yield document.fault(
                ("reading", name), f"{name} is {table[name]!r}.", f"It is one of {', '.join(known)}."
            )
    for name in set(_READING) - {"at", "as_shown"}:
        if not isinstance(table.get(name, ""), str):
            yield document.fault(("reading", name), f"{name} is a text and stands in quotes.", "")
    shown = table.get("as_shown", [])
    if not isinstance(shown, list) or not all(isinstance(menu, str) for menu in shown):
        yield document.fault(("reading", "as_shown"), "as_shown is a list of menus.", "")


def _collect(document: Document, path: tuple[str, ...], content: Any, found: _Found) -> None:
    key = ".".join(path)
    parameter = vocabulary().get(key)
    if parameter is None and isinstance(content, dict):
        for name, inner in content.items():
            _collect(document, (*path, name), inner, found)
    elif parameter is None:
        near = did_you_mean(key, vocabulary())
        found.faults.append(
            document.fault(
                path,
                f"{key} is no known key.",
                near or "What has no neutral meaning stands under [native], by its native id.",
            )
        )
    else:
        try:
            found.values[key] = to_value(parameter, content)
        except ValueError as problem:
            found.faults.append(document.fault(path, str(problem), ""))


def _texts(document: Document, name: str, faults: list[Fault], known: Any = None) -> dict[str, str]:
    table = document.data.get(name, {})
    if not isinstance(table, dict):
        faults.append(document.fault((name,), f"{name} is a table: [{name}].", ""))
        return {}
    for key, text in table.items():
        if not isinstance(text, str) or not text.strip():
            faults.append(document.fault((name, key), f"{key} needs a text in quotes.", ""))
        elif known is not None and key not in known:
            faults.append(document.fault((name, key), f"{key} is no known key.", did_you_mean(key, known)))
    return dict(table)
