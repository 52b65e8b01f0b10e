"""Rows of a parameter list from an EDS: names, limits and defaults as the unit keeps them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal

from asleft.intake.eds import SIGNED, UNSIGNED, Dictionary, Item
from asleft.intake.listing.rows import ListRow
from asleft.intake.listing.score import unit_named
from asleft.intake.profile import CHOICES, SCALED, SPEEDS
from asleft.models.units import number_shown
from asleft.record import Fault
from asleft.vocabulary import vocabulary

_FIRST = 0x2000
_UNITS: Mapping[str, tuple[str, str]] = {"6075": ("mA", "1"), "6072": ("‰", "1")}
"""Unit and step of profile objects that carry one (CiA 402, from memory)."""
_GIVEN = {
    **{id_: key for id_, (key, _) in (*CHOICES.items(), *SCALED.items())},
    **SPEEDS,
}
_PAGES = ((0x6000, "Manufacturer objects"), (0xA000, "Drive profile"), (0x10000, "Other objects"))


def rows_of_eds(dictionary: Dictionary, where: str) -> tuple[list[ListRow], list[Fault]]:
    """A row for every variable of maker and profile; the communication objects are counted and left out."""
    items = list(dictionary.items.values())
    left_out = sum(item.index < _FIRST for item in items)
    faults = [*dictionary.warnings]
    if left_out:
        faults.append(Fault(f"{left_out} objects of the communication are no parameters.", "", where))
    return [*_rows(item for item in items if item.index >= _FIRST)], faults


def _rows(items: Iterator[Item]) -> Iterator[ListRow]:
    for item in items:
        id_ = item.id.upper()
        key = _GIVEN.get(id_, "")
        choices = dict(CHOICES[id_][1]) if id_ in CHOICES else {}
        unit, step = _UNITS.get(id_, (unit_named(item.unit), item.factor))
        unit = "rpm" if id_ in SPEEDS else unit
        scale = number_shown(step) or Decimal(1)
        text = item.name or item.id
        yield ListRow(
            id=item.id,
            text=f"{item.group}: {text}" if item.group and item.group != text else text,
            menu=item.group or next(page for end, page in _PAGES if item.index < end),
            unit=unit,
            low=None if choices else _bound(item, item.low, 0, scale),
            high=None if choices else _bound(item, item.high, 1, scale),
            step=None if choices or not _whole(item) else scale,
            factory=_factory(item, scale, bool(choices)),
            choices={str(code): vocabulary()[key].choices[name].says for code, name in choices.items()},
            kind="text" if item.data_type in (0x09, 0x0B) else "",
            read_only=item.access in ("ro", "const"),
            given=key if key and vocabulary()[key].class_ != "slot" else "",
            line=item.line,
        )


def _whole(item: Item) -> bool:
    return item.data_type in (*SIGNED, *UNSIGNED) and item.data_type != 0x01


def _bound(item: Item, limit: object, end: int, scale: Decimal) -> Decimal | None:
    """A limit in displayed terms; where the file gives none, that of the type."""
    if not _whole(item):
        return limit if isinstance(limit, Decimal) else None
    if isinstance(limit, int):
        return limit * scale
    bits = SIGNED.get(item.data_type) or UNSIGNED[item.data_type]
    signed = item.data_type in SIGNED
    bounds = (-(1 << bits - 1), (1 << bits - 1) - 1) if signed else (0, (1 << bits) - 1)
    return bounds[end] * scale


def _factory(item: Item, scale: Decimal, choice: bool) -> str:
    default = item.default
    if default is None:
        return ""
    return str(default * scale) if isinstance(default, int) and not choice and _whole(item) else str(default)
