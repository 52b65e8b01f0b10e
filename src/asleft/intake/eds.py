"""An object dictionary from an EDS or DCF file (CiA 306): names, types, limits, defaults and values."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeAlias

from asleft.intake.ini import Entry, Ini, Section, numbers_of, read_ini
from asleft.intake.taken import Taken
from asleft.models import Model
from asleft.record import Fault, Refused

Typed: TypeAlias = int | Decimal | str
SIGNED = {0x02: 8, 0x03: 16, 0x04: 32, 0x10: 24, 0x12: 40, 0x13: 48, 0x14: 56, 0x15: 64}
UNSIGNED = {0x01: 1, 0x05: 8, 0x06: 16, 0x07: 32, 0x16: 24, 0x18: 40, 0x19: 48, 0x1A: 56, 0x1B: 64}
REALS = (0x08, 0x11)
TEXTS = (0x09, 0x0A, 0x0B, 0x0F)
"""Data types of CiA 301 by number: visible, octet and Unicode string, and domain are kept as written."""
VARIABLE, ARRAY, RECORD = 7, 8, 9
_OBJECT = re.compile(r"([0-9a-f]{4})(?:sub([0-9a-f]{1,2}))?")
_NODE = re.compile(r"\$node_?id", re.IGNORECASE)
_INTEGER = re.compile(r"[-+]?(0x[0-9a-f]+|0|[1-9][0-9]*)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Item:
    """One variable. ``id`` is the name of its section, as ``2F10sub2``; ``data_type`` 0 where none is given.

    ``value`` is what a DCF holds; ``odd`` says why it could not be taken, where it is there. ``unit`` and
    ``factor`` are common additions to the standard, as written.
    """

    id: str
    index: int
    name: str
    group: str
    data_type: int
    access: str
    low: Typed | None
    high: Typed | None
    default: Typed | None
    value: Typed | None
    odd: str
    line: int
    unit: str = ""
    factor: str = ""


@dataclass(frozen=True, slots=True)
class Dictionary:
    """Variables by id in file order; ``device`` and ``commissioning`` as written, by key in lower case."""

    items: Mapping[str, Item]
    device: Mapping[str, str]
    commissioning: Mapping[str, str]
    warnings: tuple[Fault, ...]


def take(content: bytes, where: str, model: Model | None) -> Taken:
    """An EDS is no reading: it says how a unit leaves the factory. Always raises ``Refused``."""
    read_dictionary(content, where)
    raise Refused(
        Fault(
            "an EDS holds factory values, not what stands in a unit.",
            f"Read a DCF; or make a drive model of it: asleft model import {where} --name NAME",
            where,
        )
    )


def read_dictionary(content: bytes, where: str) -> Dictionary:
    """Read an EDS or DCF. What is odd is a warning; raises ``Refused`` where it holds no objects at all."""
    ini = read_ini(content, where)
    commissioning = _plain(ini.sections.get("devicecomissioning") or ini.sections.get("devicecommissioning"))
    node = _node(ini, commissioning.get("nodeid", ""))
    items: dict[str, Item] = {}
    for name, section in list(ini.sections.items()):
        found = _OBJECT.fullmatch(name)
        if found is not None:
            for item in _items(ini, section, found, node):
                items[item.id] = item
    if not items:
        raise Refused(
            Fault("the file describes no objects: it is no EDS or DCF.", "Check that it is whole.", where)
        )
    _listed(ini)
    return Dictionary(items, _plain(ini.sections.get("deviceinfo")), commissioning, tuple(ini.warnings))


def _plain(section: Section | None) -> dict[str, str]:
    return {key: entry.text for key, entry in section.entries.items()} if section is not None else {}


def _node(ini: Ini, text: str) -> int | None:
    if not text:
        return None
    if not _INTEGER.fullmatch(text):
        ini.warn(f"NodeID is {text!r}, which is no number.", "Values that count from it are not taken.")
        return None
    return int(text, 0)


def _items(ini: Ini, section: Section, found: re.Match[str], node: int | None) -> Iterator[Item]:
    index, sub = found[1].upper(), found[2]
    parent = ini.sections.get(found[1]) if sub else None
    kind = _whole(ini, section, "objecttype", VARIABLE)
    if sub and parent is None:
        ini.warn(f"[{section.name}] has no section [{index}] above it.", "It is read alone.", section.line)
    if section.get("compactsubobj"):
        yield from _compact(ini, section, index, node)
    elif sub or kind not in (ARRAY, RECORD) or section.get("datatype"):
        group = (parent.get("parametername") or "") if parent is not None else ""
        yield _item(ini, section, index + (f"sub{sub.upper()}" if sub else ""), int(index, 16), group, node)


def _item(ini: Ini, section: Section, id_: str, index: int, group: str, node: int | None) -> Item:
    data_type = _whole(ini, section, "datatype", 0)
    if not data_type:
        ini.warn(
            f"[{section.name}] has no DataType.", "Its numbers are taken as they are written.", section.line
        )
    elif data_type not in (*SIGNED, *UNSIGNED, *REALS, *TEXTS):
        ini.warn(f"[{section.name}] has the type {data_type:#06x}, which is not known.", "", section.line)
    texts = {
        key: _typed(ini, section, key, data_type, node) for key in ("lowlimit", "highlimit", "defaultvalue")
    }
    low, high, default = texts["lowlimit"], texts["highlimit"], texts["defaultvalue"]
    if isinstance(low, (int, Decimal)) and isinstance(high, (int, Decimal)) and low > high:
        ini.warn(f"[{section.name}] has a low limit above its high limit.", "Neither is taken.", section.line)
        low = high = None
    value, odd = _value(ini, section, data_type, node)
    return Item(
        id_, index, section.get("parametername") or "", group, data_type,
        (section.get("accesstype") or "").lower(), low, high, default, value, odd, section.line,
        section.get("unit") or "", section.get("factor") or "",
    )  # fmt: skip


def _value(ini: Ini, section: Section, data_type: int, node: int | None) -> tuple[Typed | None, str]:
    entry = section.entries.get("parametervalue")
    if entry is None or not (entry.text or data_type in TEXTS):
        return None, ""
    if entry.others:
        return None, f"the file gives it as {' and as '.join((entry.text, *entry.others))}"
    value = _typed(ini, section, "parametervalue", data_type, node) if entry.text else ""
    return value, "" if value is not None else f"the file gives it as {entry.text!r}, which is no such value"


def _compact(ini: Ini, section: Section, index: str, node: int | None) -> Iterator[Item]:
    """An array in short form: the section describes every element, names and values stand apart."""
    count = min(_whole(ini, section, "compactsubobj", 0), 254)
    names = numbers_of(ini.sections.get(f"{index.lower()}name"))
    values = numbers_of(ini.sections.get(f"{index.lower()}value"))
    group = section.get("parametername") or ""
    for sub in range(1, count + 1):
        one = Section(f"{index}sub{sub:X}", section.line, dict(section.entries))
        if sub in values:
            one.entries["parametervalue"] = Entry(values[sub], section.line)
        one.entries["parametername"] = Entry(names.get(sub, f"{group}{sub}"), section.line)
        yield _item(ini, one, one.name, int(index, 16), group, node)


def _whole(ini: Ini, section: Section, key: str, missing: int) -> int:
    text = section.get(key)
    if text is None:
        return missing
    if not _INTEGER.fullmatch(text):
        ini.warn(f"[{section.name}] has {key} {text!r}, which is no number.", "", section.entries[key].line)
        return missing
    return int(text, 0)


def _typed(ini: Ini, section: Section, key: str, data_type: int, node: int | None) -> Typed | None:
    """A text as its type says; None with a warning where it is none."""
    text = section.get(key)
    if text is None:
        return None
    try:
        return typed(text, data_type, node)
    except ValueError as problem:
        ini.warn(f"[{section.name}] {key}: {problem}.", "It is not taken.", section.entries[key].line)
        return None


def typed(text: str, data_type: int, node: int | None = None) -> Typed:
    """The value a text stands for. Raises ``ValueError``.

    Integers may be hexadecimal, count from ``$NODEID``, and a signed one may be written as its bits: 0x8000
    as a 16-bit integer is -32768.
    """
    if data_type in TEXTS:
        return text
    bare = text.split(";", 1)[0].strip()
    if data_type in REALS:
        return _real(bare)
    if not data_type and not _INTEGER.fullmatch(bare) and not _NODE.search(bare):
        return text
    number = _integer(bare, node)
    bits = SIGNED.get(data_type) or UNSIGNED.get(data_type) or 64
    if data_type in SIGNED and bare.lower().startswith("0x") and 1 << bits - 1 <= number < 1 << bits:
        number -= 1 << bits
    low, high = (-(1 << bits - 1), (1 << bits - 1) - 1) if data_type in SIGNED else (0, (1 << bits) - 1)
    if data_type and not low <= number <= high:
        raise ValueError(f"{text!r} does not fit {bits} bits")
    return number


def _real(text: str) -> Decimal:
    try:
        number = Decimal(text.replace(",", "."))
    except ArithmeticError:
        raise ValueError(f"{text!r} is no number") from None
    if not number.is_finite():
        raise ValueError(f"{text!r} is no number a unit holds")
    return number


def _integer(text: str, node: int | None) -> int:
    counted = _NODE.sub("", text).strip().strip("+").strip()
    if counted == text:
        return _digits(text)
    if node is None:
        raise ValueError(f"{text!r} counts from the node's number, which the file does not give")
    return node + (_digits(counted) if counted else 0)


def _digits(text: str) -> int:
    if not _INTEGER.fullmatch(text):
        lead = re.fullmatch(r"[-+]?0\d+", text)
        why = "starts with a zero, which some read as octal and some do not" if lead else "is no whole number"
        raise ValueError(f"{text!r} {why}")
    return int(text, 0)


def _listed(ini: Ini) -> None:
    """Objects that the lists of the file name and that it does not describe, and the other way round."""
    listed: set[str] = set()
    for name in ("mandatoryobjects", "optionalobjects", "manufacturerobjects"):
        texts = numbers_of(ini.sections.get(name)).values()
        listed |= {f"{int(text, 0):04x}" for text in texts if _INTEGER.fullmatch(text)}
    there = {name for name in ini.sections if re.fullmatch(r"[0-9a-f]{4}", name)}
    if listed - there:
        ini.warn(f"the file lists objects it does not describe: {', '.join(sorted(listed - there)).upper()}.")
    if listed and there - listed:
        ini.warn(f"the file describes objects it does not list: {', '.join(sorted(there - listed)).upper()}.")
