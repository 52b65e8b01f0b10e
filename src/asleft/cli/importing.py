"""The terminal side of ``model import``: where the file goes, and what a person is asked."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from asleft.cli.output import write_whole
from asleft.cli.session import Session
from asleft.record import Fault, Refused

if TYPE_CHECKING:
    from asleft.intake.listing import Proposal
    from asleft.jobs.importing import Ask


def list_content(session: Session, file: Path) -> bytes:
    """The list's bytes. Raises ``Refused``."""
    from asleft.files.bounded import read_bounded

    return read_bounded(session.folder / file, str(file))


def target(session: Session, site: Path | None, name: str, output: Path | None, replace: bool) -> Path:
    """Where the model file goes: as named, else into the site. Raises ``Refused`` where one stands there."""
    from asleft.record.tags import check_tag

    check_tag(name)
    path = session.folder / output if output else session.record(site).top / "models" / f"{name}.toml"
    if path.exists() and not replace:
        raise Refused(Fault(f"{path.name} is there already.", "Name another with -o, or say --replace."))
    if output is None:
        path.parent.mkdir(exist_ok=True)
    elif not path.parent.is_dir():
        raise Refused(Fault(f"there is no folder {path.parent}.", "Make it, or name another with -o."))
    return path


def write_model(session: Session, path: Path, content: bytes) -> None:
    """Write the file at once."""
    write_whole(path, content)
    session.say(f"Written: {path}")


def ask_person(session: Session) -> Ask | None:
    """Asks row by row on a terminal; None where nobody sits there."""
    if sys.stdin is None or not sys.stdin.isatty():
        return None
    return lambda proposal: _asked(session, proposal)


def _asked(session: Session, proposal: Proposal) -> str | None:
    row = proposal.row
    limits = (
        f", {row.low} to {row.high} {row.unit}".rstrip() if row.low is not None else f" {row.unit}".rstrip()
    )
    session.say(f"{row.id} {row.text}{limits}")
    for place, fit in enumerate(proposal.fits, start=1):
        session.say(f"  {place} {fit.key} ({fit.score:.0%}: {fit.why})")
    session.err.write("  number, key, key:base for per cent, - for no meaning, Enter to leave it: ")
    session.err.flush()
    said = sys.stdin.readline().strip()
    if said.isdecimal() and 1 <= int(said) <= len(proposal.fits):
        return proposal.fits[int(said) - 1].key
    return said or None
