"""Rows and cells of a CSV or XLSX file as a person sees them, with line numbers."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from asleft.record import Fault, Refused

MOST_ROWS = 20_000
_MOST_BYTES = 60_000_000
_DELIMITERS = ";\t,|"
_BOMS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
_SAVE_AS = "Save it as CSV in UTF-8 or as XLSX."


@dataclass(frozen=True, slots=True)
class Row:
    """``line`` counts from 1; ``cells`` are without surrounding blanks."""

    line: int
    cells: tuple[str, ...]

    def cell(self, place: int | None) -> str:
        """The text of a column, empty where the row ends before it or no column is meant."""
        return self.cells[place] if place is not None and place < len(self.cells) else ""

    @property
    def filled(self) -> tuple[str, ...]:
        """The cells that hold something."""
        return tuple(cell for cell in self.cells if cell)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet, empty rows left out. ``merged`` gives, by line and column, the text a merged cell shows."""

    name: str
    rows: tuple[Row, ...]
    merged: Mapping[tuple[int, int], str] = field(default_factory=dict)

    @property
    def width(self) -> int:
        """How many columns there are."""
        return max((len(row.cells) for row in self.rows), default=0)


@dataclass(frozen=True, slots=True)
class Book:
    """A file's sheets; a CSV has one, without a name."""

    sheets: tuple[Sheet, ...]
    warnings: tuple[Fault, ...] = ()


def read_book(content: bytes, where: str) -> Book:
    """The file's sheets, XLSX where the bytes are a zip archive, else CSV. Raises ``Refused``."""
    return _xlsx(content, where) if content.startswith(b"PK\x03\x04") else _csv(content, where)


def _csv(content: bytes, where: str) -> Book:
    text, warnings = _text(content, where)
    delimiter = _delimiter(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows: list[Row] = []
    try:
        for cells in reader:
            if reader.line_num > MOST_ROWS:
                raise Refused(_too_long(where))
            if any(cell.strip() for cell in cells):
                rows.append(Row(reader.line_num, tuple(cell.strip() for cell in cells)))
    except csv.Error as problem:
        what = f"this is not CSV: {problem}."
        raise Refused(Fault(what, "Mend that line.", where, reader.line_num)) from None
    return Book((Sheet("", tuple(rows)),), warnings)


def _too_long(where: str) -> Fault:
    return Fault(f"more than {MOST_ROWS} rows.", "Check that it is the right file.", where)


def _text(content: bytes, where: str) -> tuple[str, tuple[Fault, ...]]:
    for bom, encoding in _BOMS:
        if content.startswith(bom):
            return content.decode(encoding, "replace"), ()
    if b"\0" in content:
        raise Refused(Fault("the file is binary.", _SAVE_AS, where))
    try:
        return content.decode("utf-8"), ()
    except UnicodeDecodeError as problem:
        line = content[: problem.start].count(b"\n") + 1
        what = "the file is not UTF-8; it is read as Western European (Windows-1252)."
        return content.decode("cp1252", "replace"), (Fault(what, "Look at its texts.", where, line),)


def _delimiter(text: str) -> str:
    """The mark that splits most rows alike."""
    lines = [line for line in text.splitlines()[:60] if line.strip()]
    counts = {mark: [line.count(mark) for line in lines] for mark in _DELIMITERS}
    return max(_DELIMITERS, key=lambda mark: (sum(count > 0 for count in counts[mark]), sum(counts[mark])))


def _xlsx(content: bytes, where: str) -> Book:
    import zipfile

    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            if sum(part.file_size for part in archive.infolist()) > _MOST_BYTES:
                raise Refused(Fault("the workbook is larger than any list.", "Check the name.", where))
        from openpyxl import load_workbook

        book = load_workbook(io.BytesIO(content), data_only=True)
    except Refused:
        raise
    except Exception as problem:  # the library names no class of its own for a broken file
        what = f"the workbook cannot be read: {type(problem).__name__}."
        raise Refused(Fault(what, "Open it in a spreadsheet program and save it again.", where)) from None
    return Book(tuple(_sheet(sheet, where) for sheet in book.worksheets if sheet.max_row))


def _sheet(sheet: Any, where: str) -> Sheet:
    if sheet.max_row > MOST_ROWS:
        raise Refused(_too_long(f"{where}, sheet {sheet.title}"))
    rows = []
    for line, cells in enumerate(sheet.iter_rows(), start=1):
        texts = tuple(_shown(cell) for cell in cells)
        if any(texts):
            rows.append(Row(line, texts))
    return Sheet(str(sheet.title), tuple(rows), dict(_merged(sheet)))


def _merged(sheet: Any) -> Iterator[tuple[tuple[int, int], str]]:
    for area in sheet.merged_cells.ranges:
        text = _shown(sheet.cell(area.min_row, area.min_col))
        for line in range(area.min_row, min(area.max_row, MOST_ROWS) + 1):
            for column in range(area.min_col, area.max_col + 1):
                yield (line, column - 1), text


def _shown(cell: Any) -> str:
    """The text a cell shows: a number with the decimals of its format, a per-cent format as per cent."""
    value, form = cell.value, str(cell.number_format)
    if value is None:
        return ""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return " ".join(str(value).split())
    number = Decimal(repr(value))
    percent = form.rstrip().endswith("%")
    number = number * 100 if percent else number
    decimals = _decimals(form)
    exact = number.quantize(Decimal(1).scaleb(-decimals))
    shown = exact if exact == number else number.normalize()
    return f"{shown:f}" + (" %" if percent else "")


def _decimals(form: str) -> int:
    part = form.split(";", 1)[0].partition(".")[2]
    return len(part) - len(part.lstrip("0")) if part else 0
