"""``asleft show``"""

from __future__ import annotations

from typing import Annotated

import typer

from asleft.cli import options
from asleft.cli.output import Output
from asleft.cli.session import Session

HELP = """
\b
Examples:
  asleft show E1                          as left
  asleft show E1@found --native           as the drive shows it, in its own menu order
  asleft show E1@2026-08-01               as it stood by that day
  asleft show E1 --format json

A recorded set, by group; what differs from factory is marked.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("show", help=HELP)
    def show(
        context: typer.Context,
        name: Annotated[str, typer.Argument(metavar="SET", help="The set.")],
        native: Annotated[bool, typer.Option("--native", help="As the drive shows it.")] = False,
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import looking as document
        from asleft.jobs.looking import show as look

        session: Session = context.obj
        out = Output(format, output, color)
        result = look(name, session.inputs(site, name))
        out.show(session, "show", lambda: document.blocks(result, native), lambda: document.data(result))
        return 0
