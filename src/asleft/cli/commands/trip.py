"""``asleft trip``"""

from __future__ import annotations

from typing import Annotated

import typer

from asleft.cli import options
from asleft.cli.output import Output
from asleft.cli.session import Session

HELP = """
\b
Examples:
  asleft trip E1 external                 the motion switch tripped it
  asleft trip F2 overload
  asleft trip C1 "does not start"

From a fault to the settings that decide it: what they say here, and what changed of them since
the drive was last left.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("trip", help=HELP)
    def trip(
        context: typer.Context,
        tag: Annotated[str, typer.Argument(help="The slot's tag.")],
        cause: Annotated[str, typer.Argument(help="The fault, in the trade's words.")],
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import trip as document
        from asleft.jobs.tripping import trip as look

        session: Session = context.obj
        out = Output(format, output, color)
        result = look(tag, cause, session.assets(site, [tag], False))
        out.show(session, "trip", lambda: document.blocks(result), lambda: document.data(result))
        return 0
