"""From what a person names after ``--from`` to a reading."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.cli.session import Session
from asleft.record import Fault, ParameterSet, Refused

if TYPE_CHECKING:
    from asleft.intake import Taken
    from asleft.jobs.record import Record
    from asleft.jobs.who import Who
    from asleft.models import Model

KEYPAD = "keypad"


def read_source(
    session: Session,
    record: Record,
    tag: str,
    source: str,
    model: Model | None,
    kind: str,
    resume: bool,
    who: Who,
    again: str = "",
    columns: str = "",
    last: ParameterSet | None = None,
) -> Taken:
    """Read the named source. ``again`` is the command line that resumes a keypad reading, ``columns`` says
    which column of a table holds what, ``last`` is what the keypad shows as recorded, where it is not the
    newest reading.

    Raises ``Refused``, and at the keypad ``typer.Abort`` where the person stops.
    """
    from asleft.intake import take

    if source == KEYPAD:
        return _at_keypad(session, record, tag, model, kind, resume, who, again, last)
    if resume:
        raise Refused(Fault("--resume goes with --from keypad.", "Leave one of them out."))
    if source == "-":
        return take(session.standard_input(), "-", model)
    if "://" in source:
        return _on_bus(session, record, tag, source, model)
    from asleft.files.bounded import read_bounded

    content = read_bounded(session.folder / source, source, "Name a file, or - for input.")
    from asleft.jobs.tables import SUFFIXES

    if source.lower().endswith(SUFFIXES):
        return _from_table(session, record, content, source, model, columns)
    return take(content, source, model)


def _from_table(
    session: Session, record: Record, content: bytes, source: str, model: Model | None, columns: str
) -> Taken:
    import sys

    from asleft.jobs.tables import read_table

    def confirm(words: str) -> bool:
        if sys.stdin is None or not sys.stdin.isatty():
            return False
        from typer import confirm as ask

        return ask(f"Read it so? {words}", default=True, err=True)

    return read_table(record, content, source, model, columns, confirm)


def remember_layout(session: Session, record: Record, taken: Taken, who: Who) -> None:
    """Keep how a table is laid out, for the next one of its kind; said where it cannot be kept."""
    if not taken.layout[1]:
        return
    from asleft.jobs.tables import remember_columns
    from asleft.store import StoreError

    try:
        if remember_columns(record, taken, who):
            session.say(f"The site remembers the columns: {taken.layout[1]}")
    except StoreError as problem:
        session.say(f"The columns are not remembered: {problem.what}")


def _on_bus(session: Session, record: Record, tag: str, source: str, model: Model | None) -> Taken:
    from asleft.cli.progress import progress
    from asleft.jobs.bus import read_bus

    with progress(session, "Reading") as watch:
        return read_bus(record, tag, source, model, watch)


def _at_keypad(
    session: Session,
    record: Record,
    tag: str,
    model: Model | None,
    kind: str,
    resume: bool,
    who: Who,
    again: str,
    last: ParameterSet | None,
) -> Taken:
    from asleft.cli.keypad import converse
    from asleft.intake.keypad import taken
    from asleft.jobs.keypad import sitting

    at_it = sitting(record, tag, model, kind, last=last)
    guide = converse(session, at_it, who, resume, again)
    return taken(guide.model, guide.rows, guide.answers)


def forget_keypad(record: Record, tag: str, source: str, kind: str) -> None:
    """Drop what was kept of a keypad reading, once it is recorded."""
    if source == KEYPAD:
        from asleft.jobs.keypad import keypad_journal

        keypad_journal(record, tag, kind).remove()
