"""``asleft predict``"""

from __future__ import annotations

from typing import Annotated

import typer

from asleft.cli import options
from asleft.cli.output import Output
from asleft.cli.session import Session

HELP = """
What a drive will do: speeds, signals, times, trips, and what starts it.

\b
Examples:
  asleft predict E1                       as left, to hold against the first start
  asleft predict F2@planned               before a planned set is entered
  asleft predict E1@found --format json

Everything is reckoned from the set, the motor's plate and the machine in asset.toml; what is
missing there is listed. Exit code 1 with --strict: something cannot be told.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("predict", help=HELP)
    def predict(
        context: typer.Context,
        name: Annotated[str, typer.Argument(metavar="SET", help="The set.")],
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
        strict: options.Strict = False,
    ) -> int:
        from asleft.documents import predict as document
        from asleft.jobs.predicting import prediction

        session: Session = context.obj
        out = Output(format, output, color)
        result = prediction(name, session.inputs(site, name))
        out.show(session, "predict", lambda: document.blocks(result), lambda: document.data(result))
        return int(strict and result.is_undecided)
