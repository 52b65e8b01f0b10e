"""``asleft alike``"""

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
  asleft alike F1 F2 F3
  asleft alike aeration                   the slots that name this group under alike
  asleft alike aeration --reference F1    held against one drive instead of the majority
  asleft alike F1 F2 F3 --may-differ "presets.*"

Drift over drives that should be alike: the settings that differ in effect, and who stands apart.
Exit code 1: a drive stands apart, or two share an address. Exit code 2: a drive cannot be looked at,
since a file of it cannot be read; the others are answered.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("alike", help=HELP)
    def alike(
        context: typer.Context,
        names: Annotated[list[str], typer.Argument(help="Assets, or one group.")],
        reference: Annotated[
            str, typer.Option("--reference", help="The drive to hold the others against.")
        ] = "",
        may_differ: Annotated[
            list[str] | None, typer.Option("--may-differ", help="Keys that may differ, with * for any.")
        ] = None,
        found: Annotated[bool, typer.Option("--newest", help="Newest readings, found ones too.")] = False,
        on: options.On = "",
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
        strict: options.Strict = False,
    ) -> int:
        from asleft.documents import fleet as document
        from asleft.jobs.fleet import alike as hold

        session: Session = context.obj
        out = Output(format, output, color)
        inputs = session.assets(site, names, False)
        point = "newest" if found else "left"
        result = hold(names, reference, may_differ or [], point, inputs, session.day(inputs.record, on))
        out.show(session, "alike", lambda: document.blocks(result), lambda: document.data(result))
        if result.broken or result.doubtful:
            return WRONG_USE
        return int(not result.drift.is_clean or (strict and bool(result.unread)))
