"""The shape of a model file: which field is a table, a list or a text."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from asleft.files.toml import Document
from asleft.record import Fault

_TABLE = "a table"
_TEXT = "a text"
_LIST = "a list of texts"
_FLAG = "true or false"
_WHOLE = "a whole number"
_NUMBER_TEXT = "a number in quotes"
_FILE = {
    "name": _TEXT, "maker": _TEXT, "title": _TEXT, "firmware": _LIST, "register_base": _WHOLE,
    "levels": _LIST, "numbering": _TEXT, "behaviour": _TABLE, "fixed": _TABLE, "absent": _TABLE,
    "sizes": _TABLE, "parameters": _TABLE,
}  # fmt: skip
_NATIVE = {
    "text": _TEXT, "menu": _TEXT, "key": _TEXT, "keys": _LIST, "form": _TEXT, "unit": _TEXT, "range": _LIST,
    "step": _NUMBER_TEXT, "factory": _TEXT, "choices": _TABLE, "base": _TEXT, "partner": _TEXT,
    "locked": _FLAG, "access": _TEXT, "register": _WHOLE, "type": _TEXT, "words": _WHOLE, "word_order": _TEXT,
    "table": _TEXT,
    "bit": _WHOLE, "sets": _TABLE, "after": _LIST, "read_only": _FLAG, "secret": _FLAG,
}  # fmt: skip
NATIVE_FIELDS = frozenset(_NATIVE)
FILE_FIELDS = frozenset({"format", *_FILE})


def shape_faults(document: Document) -> Iterator[Fault]:
    """Every field that is not of its kind. What follows may rely on the kinds once this is empty."""
    data = document.data
    yield from _wrong(document, (), data, _FILE)
    for name, fields in (("sizes", {"factory": _TABLE}), ("parameters", _NATIVE)):
        tables = data.get(name, {})
        for inner, table in tables.items() if isinstance(tables, dict) else ():
            if not isinstance(table, dict):
                yield document.fault((name, inner), f"{inner} is a table: [{name}.{inner}].", "")
                continue
            yield from _wrong(document, (name, inner), table, fields)
            if name == "parameters":
                yield from _inside(document, (name, inner), table)


def _wrong(
    document: Document, path: tuple[str, ...], table: Mapping[str, Any], fields: Mapping[str, str]
) -> Iterator[Fault]:
    for name, kind in fields.items():
        if name in table and not _is(kind, table[name]):
            yield document.fault((*path, name), f"{name} is {kind}, not {table[name]!r}.", "Mend that line.")


def _is(kind: str, value: Any) -> bool:
    if kind == _WHOLE:
        return isinstance(value, int) and not isinstance(value, bool)
    if kind == _LIST:
        return isinstance(value, list) and bool(value) and all(isinstance(one, str) for one in value)
    return isinstance(value, {_TABLE: dict, _FLAG: bool}.get(kind, str))


def _inside(document: Document, path: tuple[str, ...], row: Mapping[str, Any]) -> Iterator[Fault]:
    """Pairs, and the tables within a parameter."""
    bounds = row.get("range")
    if isinstance(bounds, list) and len(bounds) != 2:
        yield document.fault((*path, "range"), "a range has two ends.", 'Write ["0.1", "600.0"].')
    sets = row.get("sets")
    for name, value in sets.items() if isinstance(sets, dict) else ():
        if not isinstance(value, str):
            yield document.fault(
                (*path, "sets"), f"sets gives {name} a text: a value, factory or derived.", ""
            )
