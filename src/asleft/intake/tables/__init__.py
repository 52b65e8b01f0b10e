"""Tables: CSV and XLSX of any layout.

A file whose first row says ``id,value`` or ``key,value`` is read strictly and needs no layout. Any other is
read by a layout: which column holds what.
"""

from __future__ import annotations

from typing import NoReturn

from asleft.intake.tables.grid import Book, read_book
from asleft.intake.tables.guess import Guess, guess
from asleft.intake.tables.layout import READING_ROLES, Layout, fingerprint, parse_layout
from asleft.intake.tables.plain import is_plain, take_plain
from asleft.intake.tables.reading import take_table
from asleft.intake.taken import Taken
from asleft.models import Model
from asleft.record import Fault, Refused

__all__ = [
    "READING_ROLES",
    "Book",
    "Guess",
    "Layout",
    "fingerprint",
    "guess",
    "is_plain",
    "parse_layout",
    "read_book",
    "refuse_unknown",
    "take",
    "take_table",
]


def take(content: bytes, where: str, model: Model | None) -> Taken:
    """A reading from a table that names its own columns.

    Raises ``Refused`` for another layout, with the columns it may have.
    """
    book = read_book(content, where)
    if is_plain(book):
        return take_plain(book, where, model)
    return refuse_unknown(guess(book.sheets, model), where)


def refuse_unknown(found: Guess | None, where: str) -> NoReturn:
    """Raise ``Refused`` for a layout nobody confirmed, with what to write."""
    if found is None:
        what = "the first row does not name the columns."
        do_next = "It reads id,value or key,value; or say which are which: --columns id=A,value=C"
    else:
        sure = "" if found.sure else ", but that is not clear"
        what = f"the columns are not id,value; they may be: {found.words}{sure}."
        do_next = f"If that is right, say --columns {found.layout.text}"
    raise Refused(Fault(what, do_next, where, 1))
