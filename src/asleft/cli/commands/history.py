"""``asleft history``"""

from __future__ import annotations

from typing import Annotated

import typer

from asleft.cli import options
from asleft.cli.output import Output
from asleft.cli.session import Session

HELP = """
\b
Examples:
  asleft history E1
  asleft history E1 --format json

Readings of an asset: who, when, why, how many changes and breaches each; and the units
put right in its place, with what was decided, wired and left out.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("history", help=HELP)
    def history(
        context: typer.Context,
        tag: Annotated[str, typer.Argument(help="The slot's tag.")],
        on: options.On = "",
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import history as document
        from asleft.jobs.looking import history as look

        session: Session = context.obj
        out = Output(format, output, color)
        inputs = session.assets(site, [tag], False)
        result = look(tag, inputs, session.day(inputs.record, on))
        out.show(session, "history", lambda: document.blocks(result), lambda: document.data(result))
        return 0
