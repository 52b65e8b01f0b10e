"""``asleft audit``"""

from __future__ import annotations

from typing import Annotated

import typer

from asleft.cli import options
from asleft.cli.output import Output
from asleft.cli.session import Session
from asleft.cli.start import WRONG_USE

HELP = """
\b
Examples:
  asleft audit E1                         over the whole record
  asleft audit --all --since service      from the last as-left before the newest service visit
  asleft audit --all --since 2026-06-01
  asleft audit E1 --format json

What changed visit by visit, with and without a record, and what it breaches; and temporary changes
that are not undone.

As found against the last as left is what changed with nobody saying so; as left against as
found is what the visit recorded. Exit code 1: a change without a record, or a standing breach.
Exit code 2: a drive could not be audited, since a file of it cannot be read; the others are answered.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("audit", help=HELP)
    def audit(
        context: typer.Context,
        tags: Annotated[list[str] | None, typer.Argument(help="Assets.")] = None,
        all_: options.All = False,
        since: Annotated[str, typer.Option("--since", help="service, another occasion, or a date.")] = "",
        on: options.On = "",
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
        strict: options.Strict = False,
        behaviour: options.Behaviour = True,
    ) -> int:
        from asleft.documents import audit as document
        from asleft.jobs.auditing import audit as walk

        session: Session = context.obj
        out = Output(format, output, color)
        inputs = session.assets(site, tags, all_)
        result = walk(tags or [], all_, since, inputs, session.day(inputs.record, on), behaviour)
        out.show(session, "audit", lambda: document.blocks(result), lambda: document.data(result))
        if result.broken:
            return WRONG_USE
        return int(result.fails or (strict and result.is_undecided))
