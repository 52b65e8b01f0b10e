"""``asleft compare``"""

from __future__ import annotations

from typing import Annotated

import typer

from asleft.cli import options
from asleft.cli.output import Output
from asleft.cli.session import Session

HELP = """
\b
Examples:
  asleft compare F1 units/f1-same.toml
  asleft compare F2 units/f2-spare.toml -o put-right.md --format md
  asleft compare F1@commissioning units/f1-same.toml
  asleft compare F2 spare.csv --model other-15k      a list by native ids names no model

Hold a replaced unit against the record of its slot, and list what to put right, in order.

The unit is a reading of what stands in it now (see: asleft snapshot --help for its forms).
Settings are no safety function. Exit code 1: something is to be entered or decided.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("compare", help=HELP)
    def compare(
        context: typer.Context,
        tag: Annotated[str, typer.Argument(help="The slot, or a set of it.")],
        unit: Annotated[str, typer.Argument(help="The reading of the unit.")],
        model: Annotated[
            str, typer.Option("--model", help="The unit's drive model, where its file names none.")
        ] = "",
        on: options.On = "",
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
        strict: options.Strict = False,
        behaviour: options.Behaviour = True,
    ) -> int:
        from asleft.documents import compare as document
        from asleft.jobs.comparing import compare_unit

        session: Session = context.obj
        out = Output(format, output, color)
        inputs = session.assets(site, [tag], False)
        result = compare_unit(tag, unit, inputs, session.day(inputs.record, on), model, behaviour)
        out.show(session, "compare", lambda: document.blocks(result), lambda: document.data(result))
        return int(result.differs or (strict and result.is_undecided))
