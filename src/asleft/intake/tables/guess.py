"""A guess which columns hold id and value, and why."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from asleft.intake.tables.cells import cell_displayed
from asleft.intake.tables.grid import Row, Sheet
from asleft.intake.tables.layout import Layout, fingerprint, fold, headings, letter
from asleft.intake.tables.match import Finder, finder
from asleft.intake.tables.numbers import decimal_mark, written
from asleft.models import Model, Native
from asleft.vocabulary import vocabulary

VALUE_WORDS = (
    "value", "set value", "setting", "reading", "read", "actual", "actual value", "present value",
    "current value", "as found", "as left", "wert", "einstellung", "einstellwert", "istwert",
    "aktueller wert", "valeur", "valor", "waarde",
)  # fmt: skip
OTHER_WORDS = (
    "default", "factory", "factory value", "factory setting", "werkseinstellung", "min", "max", "minimum",
    "maximum", "low", "high", "range", "step", "register", "address", "menu", "description", "old value",
    "previous",
)  # fmt: skip
UNIT_WORDS = ("unit", "units", "einheit", "unité", "unite", "eenheid", "dim", "uom")
NAME_WORDS = (
    "name",
    "text",
    "description",
    "parameter name",
    "bezeichnung",
    "designation",
    "parameter",
    "label",
)
_FEWEST = 2
_PARSED = 0.7


@dataclass(frozen=True, slots=True)
class Guess:
    """``layout`` as far as it could be told, ``words`` for a person, ``sure`` where nothing else would do.

    ``fingerprint`` is what files of the same layout have in common: their headings.
    """

    layout: Layout
    words: str
    sure: bool
    fingerprint: str


def guess(sheets: Sequence[Sheet], model: Model | None) -> Guess | None:
    """The layout of the sheet with the most known ids or keys; None where no column names any."""
    finders: list[tuple[str, Finder]] = [("key", finder(vocabulary()))]
    if model is not None:
        finders.insert(0, ("id", finder(model.natives)))
    best = max(
        (
            (_hits(sheet, place, find), role, place, number)
            for number, sheet in enumerate(sheets)
            for place in range(sheet.width)
            for role, find in finders
        ),
        default=(0, "", 0, 0),
    )
    hits, role, place, number = best
    if hits < _FEWEST:
        return None
    return _with_value(sheets[number], role, place, dict(finders)[role], model)


def _hits(sheet: Sheet, place: int, find: Finder) -> int:
    return len({find(row.cell(place)) for row in sheet.rows if row.cell(place)} - {None})


@dataclass(frozen=True, slots=True)
class _Table:
    """The rows that name an entry, and what is known of their columns."""

    data: Sequence[Row]
    heads: Sequence[frozenset[str]]
    place: int
    find: Finder
    model: Model | None
    unit: int | None

    def native(self, row: Row) -> Native | None:
        name = self.find(row.cell(self.place))
        return self.model.natives.get(name) if self.model is not None and name is not None else None

    def column(self, words: Sequence[str]) -> int | None:
        """The first column that is called by one of the words."""
        columns = range(len(self.heads))
        return next((column for column in columns if column != self.place and self.says(column, words)), None)

    def says(self, column: int, words: Sequence[str]) -> bool:
        """Whether a heading is one of the words, or ends with one."""
        ends = tuple(f" {word}" for word in words)
        return any(part in words or part.endswith(ends) for part in self.heads[column])


def _with_value(sheet: Sheet, role: str, place: int, find: Finder, model: Model | None) -> Guess:
    data = [row for row in sheet.rows if find(row.cell(place))]
    before = sheet.rows.index(data[0])
    spoken = headings(sheet, before)
    heads = [frozenset(fold(part) for part in (*head.split(" / "), head)) for head in spoken]
    bare = _Table(data, heads, place, find, model, None)
    table = _Table(data, heads, place, find, model, bare.column(UNIT_WORDS))
    name = table.column(NAME_WORDS)
    columns = [column for column in range(sheet.width) if column not in (place, table.unit, name)]
    decimal = decimal_mark(text for column in columns for text in _numbers(table, column))
    value, sure = _value_column(table, columns, decimal)
    found = {role: place, "value": value, "unit": table.unit, "name": name}
    places = {what: column for what, column in found.items() if column is not None}
    layout = Layout(places, sheet.rows[before].line, decimal)
    return Guess(layout, _words(layout, spoken), sure, fingerprint(sheet, before))


def _numbers(table: _Table, column: int) -> Iterator[str]:
    """Cells of a column that are numbers in their own parameter's unit, or without one."""
    for row in table.data:
        native, text = table.native(row), row.cell(column)
        units = ("", native.unit) if native is not None else ("",)
        meant = written(text)
        if meant and meant[0].partition(" ")[2] in units and (native is None or native.is_number):
            yield text


def _value_column(table: _Table, columns: Sequence[int], decimal: str) -> tuple[int | None, bool]:
    """The one column that is called a value, else the one whose cells are values; and whether it is clear."""
    fitting = [column for column in columns if _share(table, column, decimal) >= _PARSED]
    unnamed = [column for column in fitting if not table.says(column, OTHER_WORDS)]
    called = [column for column in unnamed if table.says(column, VALUE_WORDS)]
    candidates = called or unnamed
    return (candidates[0] if candidates else None), len(candidates) == 1


def _share(table: _Table, column: int, decimal: str) -> float:
    """How many of the filled cells are values of their row's parameter; 0 where most are empty."""
    filled = [row for row in table.data if row.cell(column)]
    if len(filled) * 2 < len(table.data):
        return 0.0
    return sum(_fits(table, row, column, decimal) for row in filled) / len(filled)


def _fits(table: _Table, row: Row, column: int, decimal: str) -> bool:
    native = table.native(row)
    if native is None:
        return table.find(row.cell(table.place)) in vocabulary() or table.model is None
    try:
        cell_displayed(native, row.cell(column), row.cell(table.unit), decimal)
    except ValueError:
        return False
    return True


def _words(layout: Layout, heads: Sequence[str]) -> str:
    parts = []
    for role, place in layout.places.items():
        heading = f' ("{heads[place]}")' if heads[place] else ""
        parts.append(f"{role} = column {letter(place)}{heading}")
    mark = {",": ", decimal comma", ".": ", decimal point"}.get(layout.decimal, "")
    return ", ".join(parts) + mark
