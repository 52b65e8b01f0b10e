"""Reading a table of any layout, and remembering in the site how it is laid out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from asleft.files.site import read_site
from asleft.intake import Taken
from asleft.intake.secrets import withheld
from asleft.intake.tables import (
    READING_ROLES,
    Book,
    Guess,
    guess,
    is_plain,
    parse_layout,
    read_book,
    refuse_unknown,
    take,
    take_table,
)
from asleft.jobs.record import Record
from asleft.jobs.who import Who
from asleft.models import Model

SUFFIXES = (".csv", ".xlsx")


def read_table(
    record: Record,
    content: bytes,
    where: str,
    model: Model | None,
    columns: str,
    confirm: Callable[[str], bool],
) -> Taken:
    """A reading from a table: by ``columns`` where given, else as the site remembers it, else by a guess.

    A guess counts only where ``confirm`` agrees to its words. Raises ``Refused``.
    """
    book = read_book(content, where)
    if is_plain(book) and not columns:
        return withheld(take(content, where, model), where, model)
    guessed = guess(book.sheets, model)
    text = columns or _remembered(record, guessed)
    if not text:
        if guessed is None or not guessed.sure or not confirm(guessed.words):
            refuse_unknown(guessed, where)
        assert guessed is not None
        text = guessed.layout.text
    return _by_layout(book, text, where, model, guessed)


def _remembered(record: Record, guessed: Guess | None) -> str:
    if guessed is None or not guessed.fingerprint:
        return ""
    return str(record.site.columns.get(guessed.fingerprint, ""))


def _by_layout(book: Book, text: str, where: str, model: Model | None, guessed: Guess | None) -> Taken:
    layout = parse_layout(text, book.sheets, READING_ROLES, where)
    if guessed is not None:
        first = layout.first if layout.first > 1 else guessed.layout.first
        layout = replace(layout, first=first, decimal=layout.decimal or guessed.layout.decimal)
    taken = withheld(take_table(book, layout, where, model), where, model)
    return replace(taken, layout=(guessed.fingerprint if guessed else "", text))


def remember_columns(record: Record, taken: Taken, who: Who) -> bool:
    """Keep in ``site.toml`` how the table was laid out; whether anything was written.

    The file stays as people wrote it, with one row more.
    """
    import tomli_w

    headings, text = taken.layout
    if not headings or record.site.columns.get(headings) == text:
        return False
    kept = [
        line for line in record.file("site.toml").decode("utf-8").splitlines() if not _is_row(line, headings)
    ]
    row = tomli_w.dumps({headings: text}).strip()
    place = kept.index("[columns]") + 1 if "[columns]" in kept else len(kept)
    fresh = [row] if "[columns]" in kept else ["", "[columns]", row]
    content = ("\n".join([*kept[:place], *fresh, *kept[place:]]) + "\n").encode("utf-8")
    read_site(content)
    record.store.write(
        {"site.toml": content},
        "Remember how a table is laid out",
        who.trailers(""),
        author_name=who.by,
        author_email=who.email,
        author_at=who.now,
        committed_at=who.now,
    )
    return True


def _is_row(line: str, headings: str) -> bool:
    import tomli_w

    return line.startswith(tomli_w.dumps({headings: ""}).partition("=")[0])
