"""``asleft waive``"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

import typer

from asleft.cli import options
from asleft.cli.output import Output
from asleft.cli.session import Session
from asleft.record import Fault, Refused

HELP = """
\b
Examples:
  asleft waive W-04 --rule 16 --asset C1 --allow "ramps.accel_time_1_s>=6 s" \\
    --until 2027-03-31 --asked-by "R. Example" --approved-by "H. Example" \\
    --reason "enclosed chain, no belt to slip"
  asleft waive W-05 --rule 51 --asset F2 --allow protection.signal_loss_reaction=go_to_minimum \\
    --until-event replacement --asked-by "R. Example" --approved-by "H. Example" --reason "spare unit"

Record a waiver: a deviation that another person than the one who asks has approved. It covers
only the range, drives and days it names.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("waive", help=HELP)
    def waive(
        context: typer.Context,
        waiver: Annotated[str, typer.Argument(metavar="ID", help="Its id, such as W-04.")],
        rule: Annotated[str, typer.Option("--rule", help="The rule it concerns.")],
        assets: Annotated[list[str], typer.Option("--asset", help="A drive it covers; repeat for more.")],
        allow: Annotated[
            list[str], typer.Option("--allow", help="KEY<=VALUE, KEY>=VALUE or KEY=VALUE,VALUE.")
        ],
        asked_by: Annotated[str, typer.Option("--asked-by", help="Who asks.")],
        approved_by: Annotated[str, typer.Option("--approved-by", help="Who approves: another person.")],
        reason: Annotated[str, typer.Option("--reason", help="Why.")],
        spec: Annotated[str, typer.Option("--spec", help="Of which spec, if a number occurs twice.")] = "",
        start: Annotated[str, typer.Option("--from", help="First day; today if left out.")] = "",
        until: Annotated[str, typer.Option("--until", help="Last day it covers.")] = "",
        until_event: Annotated[str, typer.Option("--until-event", help="Or the event that ends it.")] = "",
        compensating: Annotated[str, typer.Option("--compensating", help="What is done instead.")] = "",
        stays: Annotated[
            bool, typer.Option("--stays-with-slot", help="A replaced unit does not end it.")
        ] = False,
        by: options.By = "",
        site: options.Site = None,
        dry_run: options.DryRun = False,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import ruling as document
        from asleft.jobs.ruling import allowed_range
        from asleft.jobs.ruling import waive as record_waiver

        session: Session = context.obj
        record = session.record(site)
        who = session.who(record, by, reason=reason)
        given: dict[str, Any] = {
            "rule": rule,
            "spec": spec,
            "assets": [record.tag(tag) for tag in assets],
            "reason": reason,
            "compensating": compensating,
            "asked_by": asked_by,
            "approved_by": approved_by,
            "from": session.day(record, start),
            "until": day(until) if until else None,
            "until_event": until_event,
            "stays_with_slot": stays or None,
            "allowed": allowed_range(allow),
        }
        fields = {name: value for name, value in given.items() if value not in ("", None)}
        result = record_waiver(record, waiver, fields, who, dry_run)
        Output("text", None, color).show(session, "waiver", lambda: document.waived_blocks(result), dict)
        return 0


def day(text: str) -> date:
    """A date as typed. Raises ``Refused``."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Refused(Fault(f"{text!r} is no date.", "Write 2027-03-31.", "--until")) from None
