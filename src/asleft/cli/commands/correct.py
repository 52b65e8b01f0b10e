"""``asleft correct``"""

from __future__ import annotations

from typing import Annotated

import typer

from asleft.cli import options
from asleft.cli.output import Output
from asleft.cli.session import Session, resuming
from asleft.record import Fault, Refused

HELP = """
\b
Examples:
  asleft correct E1 ramps.decel_time_1_s=12.0 --reason "12.0 was typed as 120"
  asleft correct E1@found 3710sub1=28.5 --reason "misread"
  asleft correct E1 --not-read tuned.rotor_resistance_ohm="copied from the sheet" --reason "nobody read it"
  asleft correct E1 --from e1.csv --reason "the file of E2 was taken"

Correct a reading that was recorded wrong. The wrong one stays in the history.

The newest as-left is corrected, or with E1@found the newest as-found. It keeps its time and its
reader; who corrects, and why, stands in the record beside it.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("correct", help=HELP)
    def correct(
        context: typer.Context,
        tag: Annotated[str, typer.Argument(help="The slot's tag, or TAG@found.")],
        values: Annotated[list[str] | None, typer.Argument(metavar="KEY=VALUE", help="What it was.")] = None,
        not_read: Annotated[
            list[str] | None, typer.Option("--not-read", metavar="KEY=WHY", help="What nobody read.")
        ] = None,
        source: Annotated[str, typer.Option("--from", help="Read all of it from here instead.")] = "",
        resume: Annotated[bool, typer.Option("--resume", help="Go on at the keypad.")] = False,
        at: options.At = "",
        by: options.By = "",
        reason: options.Reason = "",
        work_order: options.WorkOrder = "",
        dry_run: options.DryRun = False,
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:

        from asleft.cli.sources import forget_keypad, read_source
        from asleft.documents import correcting as document
        from asleft.jobs.correcting import correct, corrected_by, corrected_values, wrong_reading
        from asleft.jobs.wanted import pairs_of

        session: Session = context.obj
        out = Output(format, output, color)
        record = session.record(site)
        who = session.who(record, by, at, reason, work_order)
        if bool(values or not_read) == bool(source):
            raise Refused(Fault("say what to correct: KEY=VALUE, --not-read KEY=WHY, or --from SOURCE.", ""))
        wrong = wrong_reading(record, tag)
        model, asset, kind = record.model_of(wrong.set), wrong.set.asset, f"corrected-{wrong.reading.kind}"
        if source:
            given = {"--by": by, "--reason": reason, "--work-order": work_order}
            again = resuming(["correct", tag, "--from", "keypad"], given, site)
            taken = read_source(
                session, record, asset, source, model, kind, resume, who, again, last=wrong.set
            )
            parameters = corrected_by(wrong, taken)
        else:
            parameters = corrected_values(wrong, model, pairs_of(values or []), pairs_of(not_read or []))
        result = correct(record, wrong, parameters, who, dry_run)
        if not dry_run:
            forget_keypad(record, asset, source, kind)
        out.show(session, "correct", lambda: document.blocks(result), lambda: document.data(result))
        return 0
