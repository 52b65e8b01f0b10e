"""Rows of a parameter list from a table of any layout."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from asleft.intake.listing.rows import ListRow
from asleft.intake.listing.score import unit_named
from asleft.intake.tables.grid import Book, Row, Sheet
from asleft.intake.tables.layout import Layout, fold, headings
from asleft.intake.tables.numbers import decimal_mark, written
from asleft.record import Fault, Refused

HEADS: Mapping[str, tuple[str, ...]] = {
    "id": (
        "id", "no", "nr", "number", "par", "par no", "parameter no", "parameter number", "code", "index",
        "native id",
    ),
    "text": (
        "name", "text", "parameter", "parameter name", "description", "designation", "bezeichnung", "label",
        "title",
    ),
    "menu": ("menu", "group", "menu path", "chapter", "submenu"),
    "unit": ("unit", "units", "einheit", "dim", "uom"),
    "low": ("min", "minimum", "low", "low limit", "lower limit", "from"),
    "high": ("max", "maximum", "high", "high limit", "upper limit", "to"),
    "range": ("range", "setting range", "values", "limits"),
    "step": ("step", "resolution", "increment", "steps"),
    "factory": (
        "default", "factory", "factory value", "factory setting", "default value", "werkseinstellung",
    ),
    "choices": ("choices", "options", "selection", "enumeration", "settings", "meaning"),
    "register": ("register", "modbus", "modbus register", "modbus address", "holding register"),
    "kind": ("type", "data type", "datatype", "format"),
    "words": ("words", "length", "registers", "register count"),
    "access": ("access", "level", "access level"),
    "key": ("key", "neutral key"),
    "locked": ("locked", "locked running", "change running", "locked while running"),
    "read_only": ("read only", "readonly", "ro"),
}  # fmt: skip
"""Headings by role; the first column that carries one has the role."""
ROLES = tuple(HEADS)
_YES = ("yes", "y", "x", "1", "true", "ro", "read only")
_KINDS = {
    "uint16": "u16", "u16": "u16", "int16": "i16", "i16": "i16", "uint32": "u32", "u32": "u32",
    "int32": "i32", "i32": "i32", "text": "text", "string": "text",
}  # fmt: skip
_CHOICE = re.compile(r"\s*[\[(]?(-?\w+)[\])]?\s*[=:]\s*(.+?)\s*", re.DOTALL)
_RANGE = re.compile(r"\s*([-+−]?[\d.,]+)\s*(?:\.{2,3}|…|–|—|to|-)\s*([-+−]?[\d.,]+)\s*(\D.*)?")


def guess_list(sheet: Sheet) -> Layout | None:
    """The layout of a list by its headings; None where no row names id and name."""
    for before in range(1, min(len(sheet.rows), 8) + 1):
        heads = [{fold(part) for part in (head, *head.split(" / "))} for head in headings(sheet, before)]
        places: dict[str, int] = {}
        for role, words in HEADS.items():
            place = next(
                (at for at, parts in enumerate(heads) if parts & set(words) and at not in places.values()),
                None,
            )
            if place is not None:
                places[role] = place
        if {"id", "text"} <= places.keys() and before < len(sheet.rows):
            return Layout(places, sheet.rows[before].line)
    return None


def rows_of(book: Book, layout: Layout | None, where: str) -> tuple[list[ListRow], list[Fault]]:
    """Every row of every sheet that is laid out as a list, and what could not be read.

    Raises ``Refused`` where there is none, or an id stands twice.
    """
    found: list[ListRow] = []
    faults: list[Fault] = []
    for sheet in book.sheets:
        laid = layout if layout is not None and layout.sheet in ("", sheet.name) else guess_list(sheet)
        if laid is None or laid.place("id") is None or laid.place("text") is None:
            if sheet.rows:
                faults.append(Fault(f"the sheet {sheet.name!r} names no columns of a list.", "", where))
            continue
        found += _rows(sheet, laid, where, faults)
    if not found:
        what = "no columns of a parameter list were found."
        raise Refused(Fault(what, "Say which: --columns id=A,text=B,unit=C,low=D,high=E,factory=F", where))
    seen: dict[str, int] = {}
    twice = [
        Fault(f"{row.id} stands here again (first in line {seen[row.id]}).", "Keep one.", where, row.line)
        for row in found
        if seen.setdefault(row.id, row.line) != row.line
    ]
    if twice:
        raise Refused(twice)
    return found, faults


def _rows(sheet: Sheet, layout: Layout, where: str, faults: list[Fault]) -> Iterator[ListRow]:
    decimal = layout.decimal or decimal_mark(
        row.cell(layout.place(role)) for row in sheet.rows for role in ("low", "high", "step", "factory")
    )
    menu = ""
    for row in sheet.rows:
        if row.line < layout.first:
            continue
        id_, text = row.cell(layout.place("id")), row.cell(layout.place("text"))
        if id_ and text:
            yield _row(row, layout, menu, decimal, where, faults)
        elif len(row.filled) == 1:
            menu = row.filled[0]
        else:
            faults.append(
                Fault(
                    f"the row {' | '.join(row.filled)!r} has no id and name.",
                    "It is left out.",
                    where,
                    row.line,
                )
            )


@dataclass(frozen=True, slots=True)
class _Cells:
    """One row's cells by role; what cannot be read is added to ``faults``."""

    row: Row
    layout: Layout
    decimal: str
    where: str
    faults: list[Fault]

    def text(self, role: str) -> str:
        return self.row.cell(self.layout.place(role))

    def whole(self, role: str) -> int | None:
        text = self.text(role)
        return int(text) if text.isdecimal() else None

    def yes(self, role: str) -> bool:
        return self.text(role).lower() in _YES

    def number(self, role: str) -> Decimal | None:
        text = self.text(role)
        meant = written(text, self.decimal)
        if text not in ("", "-") and len(meant) != 1:
            what = f"{role} {text!r} is no number."
            self.faults.append(Fault(what, "It is left out.", self.where, self.row.line))
        return Decimal(meant[0].partition(" ")[0]) if len(meant) == 1 else None

    def bounds(self) -> tuple[Decimal | None, Decimal | None, str]:
        """Low, high and unit, from columns of their own or from one that says ``0,1 ... 600 s``."""
        low, high, unit = self.number("low"), self.number("high"), unit_named(self.text("unit"))
        ends = _RANGE.fullmatch(self.text("range")) if low is None else None
        if ends is not None:
            meant = [written(end, self.decimal) for end in ends.groups()[:2]]
            if all(len(each) == 1 for each in meant):
                low, high = (Decimal(each[0]) for each in meant)
                unit = unit or unit_named(ends[3] or "")
        return low, high, "" if unit == "-" else unit


def _row(row: Row, layout: Layout, menu: str, decimal: str, where: str, faults: list[Fault]) -> ListRow:
    cells = _Cells(row, layout, decimal, where, faults)
    low, high, unit = cells.bounds()
    choices = choices_in(cells.text("choices")) or choices_in(cells.text("range"))
    return ListRow(
        id=cells.text("id"),
        text=cells.text("text"),
        menu=cells.text("menu") or menu,
        unit=unit,
        low=low,
        high=high,
        step=cells.number("step"),
        factory=_factory(cells.text("factory"), decimal, choices),
        choices=choices,
        register=cells.whole("register"),
        kind=_KINDS.get(cells.text("kind").lower(), ""),
        words=cells.whole("words"),
        access=cells.text("access"),
        read_only=cells.yes("read_only"),
        locked=cells.yes("locked"),
        given=cells.text("key"),
        line=row.line,
    )


def choices_in(text: str) -> dict[str, str]:
    """Choices as lists write them: ``0=coast|1=ramp``, one a line or with semicolons."""
    parts = [part for part in re.split(r"[|\n;]", text) if part.strip()]
    found = [_CHOICE.fullmatch(part) for part in parts]
    if not parts or not all(found):
        return {}
    return {each[1]: each[2] for each in found if each is not None}


def _factory(text: str, decimal: str, choices: Mapping[str, str]) -> str:
    if text in choices or not text:
        return text
    code = next((code for code, words in choices.items() if words.lower() == text.lower()), None)
    if code is not None:
        return code
    meant = written(text, decimal)
    return meant[0].partition(" ")[0] if len(meant) == 1 else text
