"""``asleft tables``"""

from __future__ import annotations

from typing import Annotated

import typer

from asleft.cli import options
from asleft.cli.output import Output
from asleft.cli.session import Session

HELP = """
\b
Examples:
  asleft tables E1                        as left
  asleft tables E1@found                  as found at the last visit
  asleft tables units/f2-spare.toml       a unit that stands in no slot

Who can start, stop, reverse and set the speed at each station; what a broken wire does, terminal
by terminal; what each loss does, and its return. From the drive's settings and its model.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("tables", help=HELP)
    def tables(
        context: typer.Context,
        name: Annotated[str, typer.Argument(metavar="SET", help="An asset, or any set.")],
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import tabling as document
        from asleft.jobs.tabling import tables as make

        session: Session = context.obj
        out = Output(format, output, color)
        result = make(name, session.inputs(site, name))
        out.show(session, "tables", lambda: document.blocks(result), lambda: document.data(result))
        return 0
