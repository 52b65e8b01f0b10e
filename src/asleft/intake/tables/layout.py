"""Which column of a table holds what."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from asleft.files.value import did_you_mean
from asleft.intake.tables.grid import Row, Sheet
from asleft.intake.tables.numbers import MARKS
from asleft.record import Fault, Refused

READING_ROLES = ("id", "key", "value", "unit", "name")
_OTHER = ("decimal", "from", "sheet")
_EXAMPLE = "Write --columns id=A,value=C; further unit=, name=, decimal=comma or point, from=ROW, sheet=NAME."


@dataclass(frozen=True, slots=True)
class Layout:
    """``places`` by role, columns counted from 0; ``first`` is the line of the first row that is data,
    ``decimal`` the decimal mark where it is known, ``sheet`` the one sheet meant."""

    places: Mapping[str, int]
    first: int = 1
    decimal: str = ""
    sheet: str = ""

    def place(self, role: str) -> int | None:
        """The column of a role."""
        return self.places.get(role)

    @property
    def text(self) -> str:
        """As a person writes it after ``--columns``."""
        marks = {mark: name for name, mark in MARKS.items()}
        parts = [f"{role}={letter(place)}" for role, place in self.places.items()]
        parts += [f"decimal={marks[self.decimal]}"] if self.decimal else []
        parts += [f"from={self.first}"] if self.first > 1 else []
        parts += [f"sheet={self.sheet}"] if self.sheet else []
        return ",".join(parts)


def letter(place: int) -> str:
    """A column as spreadsheets name it: 0 is A, 26 is AA."""
    name = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        name = chr(ord("A") + rest) + name
    return name


def place_of(name: str) -> int:
    """The column that letters name, counted from 0."""
    place = 0
    for each in name.upper():
        place = place * 26 + ord(each) - ord("A") + 1
    return place - 1


def parse_layout(text: str, sheets: Sequence[Sheet], roles: Sequence[str], where: str) -> Layout:
    """A layout as written: ``id=A,value=C``, columns by letter or heading. Raises ``Refused``."""
    places: dict[str, int] = {}
    other: dict[str, str] = {}
    faults: list[Fault] = []
    for part in filter(None, (part.strip() for part in text.split(","))):
        role, sign, column = (piece.strip() for piece in part.partition("="))
        try:
            if not sign or not column:
                raise ValueError(f"{part!r} is not ROLE=COLUMN")
            if role in _OTHER:
                other[role] = column
            elif role in roles:
                places[role] = _column(column, sheets)
            else:
                raise ValueError(
                    f"there is no role {role!r}. {did_you_mean(role, [*roles, *_OTHER])}".rstrip()
                )
        except ValueError as problem:
            faults.append(Fault(f"{problem}.", _EXAMPLE, where))
    if faults:
        raise Refused(faults)
    return Layout(
        places, _first(other, sheets, places, where), _decimal(other, where), other.get("sheet", "")
    )


def _column(column: str, sheets: Sequence[Sheet]) -> int:
    wanted = fold(column)
    for sheet in sheets:
        for place, heading in enumerate(headings(sheet, len(sheet.rows))):
            if wanted and wanted in (fold(part) for part in (heading, *heading.split(" / "))):
                return place
    if re.fullmatch(r"[A-Za-z]{1,2}", column):
        return place_of(column)
    raise ValueError(f"no column is called {column!r}")


def _decimal(other: Mapping[str, str], where: str) -> str:
    name = other.get("decimal", "")
    if name and name not in MARKS:
        raise Refused(Fault(f"decimal is comma or point, not {name!r}.", _EXAMPLE, where))
    return MARKS.get(name, "")


def _first(other: Mapping[str, str], sheets: Sequence[Sheet], places: Mapping[str, int], where: str) -> int:
    text = other.get("from", "")
    if text and not text.isdecimal():
        raise Refused(Fault(f"from is the number of a row, not {text!r}.", _EXAMPLE, where))
    return int(text) if text else 1


_HEADING_ROWS = 12


def headings(sheet: Sheet, before: int) -> list[str]:
    """The heading of each column: the texts above the row at place ``before``, merged cells spread out.

    Rows with a single text are titles, not headings.
    """
    above = [
        row for row in sheet.rows[: min(before, _HEADING_ROWS)] if len(row.filled) > 1 or _spread(sheet, row)
    ]
    found: list[str] = []
    for place in range(sheet.width):
        texts = [row.cell(place) or sheet.merged.get((row.line, place), "") for row in above]
        found.append(" / ".join(dict.fromkeys(text for text in texts if text)))
    return found


def _spread(sheet: Sheet, row: Row) -> bool:
    """Whether merged cells give a row more than one heading."""
    return len({text for (line, _), text in sheet.merged.items() if line == row.line and text}) > 1


def fold(text: str) -> str:
    """A heading without case, marks and doubled blanks."""
    return re.sub(r"[\W_]+", " ", text.lower()).strip()


def fingerprint(sheet: Sheet, before: int) -> str:
    """What a layout is remembered by: its headings."""
    return " | ".join(filter(None, (fold(heading) for heading in headings(sheet, before))))[:200]
