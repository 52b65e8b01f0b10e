"""``asleft rollout``"""

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
  asleft rollout aeration --set ramps.decel_time_1_s=95
  asleft rollout F1 F2 F3 --set "protection.overload_current_a=100% of motor.rated_current_a"
  asleft rollout aeration --set limits.frequency_max_hz=50 --since 2026-10-01

How far one change has come over alike drives, each with its own value: done, differs, not read,
not applicable. With --since, only readings of that day or later count. Exit code 1: not done yet.
Exit code 2: a drive cannot be looked at, since a file of it cannot be read; the others are answered.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("rollout", help=HELP)
    def rollout(
        context: typer.Context,
        names: Annotated[list[str], typer.Argument(help="Assets, or one group.")],
        settings: Annotated[list[str], typer.Option("--set", help="KEY=VALUE; repeat for more.")],
        since: Annotated[str, typer.Option("--since", help="Readings before this day do not count.")] = "",
        on: options.On = "",
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import fleet as document
        from asleft.jobs.fleet import roll_out

        session: Session = context.obj
        out = Output(format, output, color)
        inputs = session.assets(site, names, False)
        result = roll_out(names, settings, since, inputs, session.day(inputs.record, on))
        out.show(
            session, "rollout", lambda: document.rollout_blocks(result), lambda: document.rollout_data(result)
        )
        if result.broken or result.doubtful:
            return WRONG_USE
        return int(not result.is_done)
