"""``asleft waivers``"""

from __future__ import annotations

import typer

from asleft.cli import options
from asleft.cli.output import Output
from asleft.cli.session import Session

HELP = """
\b
Examples:
  asleft waivers
  asleft waivers --on 2026-10-01 --format json

All waivers: what each covers today, which end soon, which have ended, which nothing uses. Below them the
approvals: what another person let go from the rules.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("waivers", help=HELP)
    def waivers(
        context: typer.Context,
        on: options.On = "",
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import ruling as document
        from asleft.jobs.ruling import waivers as look

        session: Session = context.obj
        out = Output(format, output, color)
        inputs = session.assets(site, None, True)
        result = look(inputs, session.day(inputs.record, on))
        out.show(
            session, "waivers", lambda: document.waivers_blocks(result), lambda: document.waivers_data(result)
        )
        return 0
