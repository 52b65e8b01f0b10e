"""From what a person names after ``--from`` to a reading."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.cli.session import Session
from asleft.record import Fault, Refused

if TYPE_CHECKING:
    from asleft.intake import Taken
    from asleft.jobs.record import Record
    from asleft.models import Model


def read_source(
    session: Session,
    record: Record,
    tag: str,
    source: str,
    model: Model | None,
    kind: str,
    resume: bool,
) -> Taken:
    """Read the named source. Raises ``Refused``."""
    from asleft.intake import take

    if source == "-":
        return take(session.standard_input(), "-", model)
    path = session.folder / source
    try:
        content = path.read_bytes()
    except OSError as problem:
        raise Refused(
            Fault(f"{source} cannot be read: {problem.strerror}.", "Name a file, or - for input.", source)
        ) from None
    return take(content, source, model)
