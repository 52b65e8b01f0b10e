"""``asleft snapshot``"""

from __future__ import annotations

from typing import Annotated, Literal

import typer

from asleft.cli import options
from asleft.cli.output import Output
from asleft.cli.session import Session, resuming
from asleft.record import Fault, Refused

HELP = """
\b
Examples:
  asleft snapshot E1 --from e1.csv --reading as-found --occasion service --by "R. Example"
  asleft snapshot E1 --from e1.toml --reading as-left --occasion service --reason "bracket fixed"
  asleft snapshot E1 --from keypad --reading as-left --occasion commissioning
  asleft snapshot E1 --from export.xlsx --columns id=A,value=C --reading as-found --occasion service
  asleft snapshot E1 --from modbus-tcp://192.0.2.7/11 --reading as-found --occasion service
  some-reader | asleft snapshot E1 --from - --reading as-found --occasion fault-call

Read a drive and record the reading, as found or as left.

A file is TOML in neutral terms, a DCF, or a table (CSV, XLSX) with the columns id,value (as the
drive shows them) or key,value. Other columns are guessed and confirmed, or named by --columns, and
remembered by the site. At the keypad each entry is asked for in the drive's own menu order: Enter
where it reads the same as shown; stop or Ctrl-C at any time, and go on with --resume.
As found is what was read before anything was touched; as left, when the work was done.
Occasions: commissioning, service, fault-call, replacement, change. asleft reads, and never
writes to a drive.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("snapshot", help=HELP)
    def snapshot(
        context: typer.Context,
        tag: Annotated[str, typer.Argument(help="The slot's tag.")],
        source: Annotated[str, typer.Option("--from", help="A file, keypad, a bus address, or - for input.")],
        reading: Annotated[str, typer.Option("--reading", help="as-found or as-left.")],
        occasion: Annotated[str, typer.Option("--occasion", help="Why the drive was visited.")],
        model: Annotated[str, typer.Option("--model", help="Drive model, if not the slot's.")] = "",
        columns: Annotated[
            str, typer.Option("--columns", help="Which column of a table holds what: id=A,value=C.")
        ] = "",
        at: options.At = "",
        by: options.By = "",
        reason: options.Reason = "",
        work_order: options.WorkOrder = "",
        dry_run: options.DryRun = False,
        resume: Annotated[
            bool, typer.Option("--resume", help="Go on with an interrupted keypad reading.")
        ] = False,
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.cli.sources import forget_keypad, read_source, remember_layout
        from asleft.documents import snapshot as document
        from asleft.jobs.snapshot import model_for, refuse_bad_reading
        from asleft.jobs.snapshot import snapshot as record_reading

        session: Session = context.obj
        out = Output(format, output, color)
        record = session.record(site)
        who = session.who(record, by, at, reason, work_order)
        kind = kind_of(reading)
        refuse_bad_reading(record, tag, kind, occasion, who)
        tag = record.tag(tag)
        given = {"--reading": reading, "--occasion": occasion, "--model": model, "--by": by}
        given |= {"--reason": reason, "--work-order": work_order}
        again = resuming(["snapshot", tag, "--from", "keypad"], given, site)
        drive = model_for(record, tag, model)
        taken = read_source(session, record, tag, source, drive, kind, resume, who, again, columns)
        result = record_reading(record, tag, taken, kind, occasion, who, dry_run)
        if not dry_run:
            forget_keypad(record, tag, source, kind)
            remember_layout(session, record, taken, who)
        out.show(session, "snapshot", lambda: document.blocks(result), lambda: document.data(result))
        return 0


def kind_of(reading: str) -> Literal["as_found", "as_left"]:
    """The kind of reading as typed. Raises ``Refused``."""
    kinds: dict[str, Literal["as_found", "as_left"]] = {"as-found": "as_found", "as-left": "as_left"}
    name = reading.replace("_", "-")
    if name not in kinds:
        raise Refused(Fault(f"a reading is as-found or as-left, not {reading!r}.", "Say --reading as-left."))
    return kinds[name]
