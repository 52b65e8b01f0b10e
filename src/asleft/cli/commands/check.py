"""``asleft check``"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from asleft.cli import options
from asleft.cli.output import FORMATS, Output
from asleft.cli.session import Session
from asleft.cli.start import WRONG_USE

if TYPE_CHECKING:
    from asleft.jobs.checking import Check

HELP = """
\b
Examples:
  asleft check E1                         as left
  asleft check E1@found                   as found at the last visit
  asleft check --all                      the whole site
  asleft check --all --on 2026-10-01      as of another day: waivers end, readings age
  asleft check E1 --strict                "cannot tell" fails too
  asleft check --all --format sarif -o findings.sarif

Judge drives against their application specs: what is breached, what it can do, what to set.

Exit code 1: a rule is breached and nobody has waived it. Exit code 2: a drive could not
be judged, since a file of it cannot be read; the others are answered.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("check", help=HELP)
    def check(
        context: typer.Context,
        sets: Annotated[list[str] | None, typer.Argument(help="Assets, or sets of assets.")] = None,
        all_: options.All = False,
        on: options.On = "",
        built_in: Annotated[
            bool, typer.Option("--built-in/--no-built-in", help="The built-in engineering rules.")
        ] = True,
        site: options.Site = None,
        format: Annotated[str, typer.Option("--format", help="text, json, md, sarif or junit.")] = "text",
        output: options.Output = None,
        color: options.Color = "auto",
        strict: options.Strict = False,
    ) -> int:
        from asleft.documents import check as document
        from asleft.jobs.checking import check as judge

        session: Session = context.obj
        out = Output(format, output, color, (*FORMATS, "sarif", "junit"))
        inputs = session.assets(site, sets, all_)
        result = judge(sets or [], all_, inputs, session.day(inputs.record, on), built_in)
        others = {"sarif": lambda: _sarif(result), "junit": lambda: _junit(result)}
        out.show(session, "check", lambda: document.blocks(result), lambda: document.data(result), others)
        if result.broken:
            return WRONG_USE
        return int(result.fails or (strict and result.is_undecided))


def _sarif(result: Check) -> str:
    from asleft.documents.sarif import render
    from asleft.jobs.checking import places

    return render(result, places(result))


def _junit(result: Check) -> str:
    from asleft.documents.junit import render

    return render(result)
