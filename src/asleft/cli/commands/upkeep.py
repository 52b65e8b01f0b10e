"""``asleft upkeep``"""

from __future__ import annotations

import typer

from asleft.cli import options
from asleft.cli.session import Session

HELP = """
\b
Example:
  asleft upkeep

Keep a large record fast: packs its objects and notes which commit touched what.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("upkeep", help=HELP)
    def upkeep(context: typer.Context, site: options.Site = None) -> int:
        session: Session = context.obj
        for line in session.record(site).store.upkeep():
            session.out.write(f"{line}\n")
        return 0
