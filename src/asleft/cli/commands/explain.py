"""``asleft explain``"""

from __future__ import annotations

from typing import Annotated

import typer

from asleft.cli import options
from asleft.cli.output import Output
from asleft.cli.session import Session

HELP = """
\b
Examples:
  asleft explain ramps.decel_time_1_s
  asleft explain 3610sub2                an id of a drive model of this site
  asleft explain coast
  asleft explain as left
  asleft explain rule 44
  asleft explain exit code 5

Say what a word means: a parameter, a drive's own id, a choice, a rule, a term, an exit code.

Works offline. Each answer names its source, or says that it is common practice.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("explain", help=HELP)
    def explain(
        context: typer.Context,
        name: Annotated[list[str], typer.Argument(metavar="NAME", help="The word, or words.")],
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import explaining as document
        from asleft.jobs.explaining import explain as meanings
        from asleft.jobs.explaining import known_of

        session: Session = context.obj
        out = Output(format, output, color)
        found = meanings(" ".join(name), known_of(session.inputs(site).record))
        out.show(session, "explain", lambda: document.blocks(found), lambda: document.data(found))
        return 0
