"""From what a person names after ``--from`` to a reading."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.cli.session import Session
from asleft.record import Fault, Refused

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
) -> Taken:
    """Read the named source. ``again`` is the command line that resumes a keypad reading.

    Raises ``Refused``, and at the keypad ``typer.Abort`` where the person stops.
    """
    from asleft.intake import take

    if source == KEYPAD:
        return _at_keypad(session, record, tag, model, kind, resume, who, again)
    if resume:
        raise Refused(Fault("--resume goes with --from keypad.", "Leave one of them out."))
    if source == "-":
        return take(session.standard_input(), "-", model)
    if "://" in source:
        return _on_bus(session, record, tag, source, model)
    path = session.folder / source
    try:
        content = path.read_bytes()
    except OSError as problem:
        raise Refused(
            Fault(f"{source} cannot be read: {problem.strerror}.", "Name a file, or - for input.", source)
        ) from None
    return take(content, source, model)


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
) -> Taken:
    from asleft.cli.keypad import converse
    from asleft.intake.keypad import taken
    from asleft.jobs.keypad import sitting

    at_it = sitting(record, tag, model, kind, None)
    guide = converse(session, at_it, who, resume, again)
    return taken(guide.model, guide.rows, guide.answers)


def forget_keypad(record: Record, tag: str, source: str, kind: str) -> None:
    """Drop what was kept of a keypad reading, once it is recorded."""
    if source == KEYPAD:
        from asleft.jobs.keypad import keypad_journal

        keypad_journal(record, tag, kind).remove()
