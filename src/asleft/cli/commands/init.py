"""``asleft init``"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from asleft.cli import options
from asleft.cli.session import Session

HELP = """
\b
Examples:
  asleft init "Ostmarsch" --name "Ostmarsch Grain Store" --time-zone Europe/Vienna
  asleft init .

Start a site record: a folder with a git repository of its own.

Nothing that lies in the folder already is touched.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("init", help=HELP)
    def init(
        context: typer.Context,
        folder: Annotated[Path, typer.Argument(help="Where; this folder if left out.")] = Path(),
        name: Annotated[str, typer.Option("--name", help="The site's name; the folder's if left out.")] = "",
        time_zone: Annotated[str, typer.Option("--time-zone", help="As Europe/Vienna.")] = "UTC",
        by: options.By = "",
    ) -> int:
        from asleft.jobs.site import start

        session: Session = context.obj
        where = (session.folder / folder).absolute()
        store = start(where, name or where.name, time_zone, session.git, session.who(None, by))
        session.out.write(
            f"The record of {name or where.name} starts in {store.top}.\n"
            "Next: put drive models into models/, then add the first slot: asleft asset add TAG model=NAME\n"
        )
        return 0
