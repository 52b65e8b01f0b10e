"""``asleft verify``"""

from __future__ import annotations

import typer

from asleft.cli import options
from asleft.cli.output import Output
from asleft.cli.session import Session

HELP = """
\b
Example:
  asleft verify

Check that the whole record is sound: every object, every set, every trailer.

Exit code 4: the record is damaged.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("verify", help=HELP)
    def verify(
        context: typer.Context,
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import keeping as document
        from asleft.jobs.keeping import verify as look

        session: Session = context.obj
        out = Output(format, output, color)
        result = look(session.record(site))
        out.show(session, "verify", lambda: document.blocks(result), lambda: document.data(result))
        return 4 if result.problems else 0
