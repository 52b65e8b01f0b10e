"""What a command answers, apart from how its options are read."""

from __future__ import annotations

from pathlib import Path

from asleft.cli.output import Output
from asleft.cli.session import Session


def diff(
    session: Session,
    old: str,
    new: str,
    site: Path | None = None,
    out: Output | None = None,
    *,
    strict: bool = False,
    effects: bool = True,
    behaviour: bool = True,
    long: bool = False,
) -> int:
    """Show what differs between two sets; the exit code."""
    from asleft.documents import diff as document
    from asleft.jobs.differences import Depth
    from asleft.jobs.differences import diff as compare

    result = compare(old, new, session.inputs(site, old, new), Depth(effects, behaviour, long))
    shown = out or Output()
    shown.show(session, "diff", lambda: document.blocks(result), lambda: document.data(result))
    return int(result.differs or (strict and result.is_undecided))
