"""``asleft accept``"""

from __future__ import annotations

from typing import Annotated

import typer

from asleft.cli import options
from asleft.cli.commands.waive import day
from asleft.cli.output import Output
from asleft.cli.session import Session

HELP = """
\b
Examples:
  asleft accept --all --until 2027-06-30 --by "H. Example" --reason "first check of the old mill"
  asleft accept P1 P2 --until 2027-06-30 --dry-run

Accept the first check of an old plant as it stands, so that only new breaches fail. The accepted
ones are counted in every answer, and are breaches again when their value changes or time ends.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("accept", help=HELP)
    def accept(
        context: typer.Context,
        until: Annotated[str, typer.Option("--until", help="Last day of the acceptance.")],
        tags: Annotated[list[str] | None, typer.Argument(help="Assets.")] = None,
        all_: options.All = False,
        by: options.By = "",
        reason: options.Reason = "",
        on: options.On = "",
        site: options.Site = None,
        dry_run: options.DryRun = False,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import ruling as document
        from asleft.jobs.ruling import accept_site

        session: Session = context.obj
        inputs = session.assets(site, tags, all_)
        who = session.who(inputs.record, by, reason=reason)
        today = session.day(inputs.record, on)
        result = accept_site(tags or [], all_, inputs, today, day(until), who, dry_run)
        Output("text", None, color).show(session, "accept", lambda: document.accepted_blocks(result), dict)
        return 0
