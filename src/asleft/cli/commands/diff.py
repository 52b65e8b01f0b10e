"""``asleft diff``"""

from __future__ import annotations

from typing import Annotated

import typer

from asleft.cli import answers, options
from asleft.cli.output import Output
from asleft.cli.session import Session

HELP = """
\b
Examples:
  asleft diff E1@commissioning E1@found   since commissioning, as found at the last visit
  asleft diff E1@factory E1               what was changed from factory values
  asleft diff E1~1 E1                     the last as-left against the one before
  asleft diff E1@2026-08-01 F1            a date, another drive
  asleft diff a.toml b.toml --format json

What differs between two sets, in plain words: what, from, to, and what that does.

A set is TAG (its as-left), TAG@left, @found, @planned, @factory, @commissioning, @service or
@DATE, each with ~N for N readings earlier; or a path; or - for standard input.
Exit code 1: something differs.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("diff", help=HELP)
    def diff(
        context: typer.Context,
        old: Annotated[str, typer.Argument(help="The set to start from.")],
        new: Annotated[str, typer.Argument(help="The set to hold against it.")],
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
        strict: options.Strict = False,
        effects: options.Effects = True,
        behaviour: options.Behaviour = True,
        long: options.Long = False,
    ) -> int:
        session: Session = context.obj
        out = Output(format, output, color)
        return answers.diff(
            session,
            old,
            new,
            site,
            out,
            strict=strict,
            effects=effects,
            behaviour=behaviour,
            long=long,
        )
