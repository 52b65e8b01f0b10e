"""``asleft plan``"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from asleft.cli import options
from asleft.cli.output import Output
from asleft.cli.session import Session, resuming
from asleft.record import Fault, Refused

if TYPE_CHECKING:
    from asleft.jobs.naming import Inputs, Named
    from asleft.jobs.planning import Planned
    from asleft.jobs.who import Who
    from asleft.models import Model

HELP = """
\b
Examples:
  asleft plan E1 ramps.decel_time_1_s=15 --until 2026-10-15 --reason "leg empties too fast"
  asleft plan E1 3610sub2=15 limits.frequency_min_hz="1200 rpm"
  asleft plan E1 --from keypad                 go through the drive's list and type what is to change
  asleft plan E1 --from factory motor.rated_current_a=28.5
  asleft plan E1                               the plan as recorded, and what to enter
  asleft plan E1 --against factory             the same, for a unit at factory values

Plan values for a drive: what to enter in which order, and how to undo it.

KEY is a neutral key or the drive's own id, VALUE may carry a unit or be a choice in words.
It starts from the newest as-left, or as --from says. asleft never writes to a drive.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("plan", help=HELP)
    def plan(
        context: typer.Context,
        tag: Annotated[str, typer.Argument(help="The slot's tag.")],
        values: Annotated[list[str] | None, typer.Argument(metavar="KEY=VALUE", help="What to set.")] = None,
        start: Annotated[str, typer.Option("--from", help="left, factory, planned or keypad.")] = "",
        until: Annotated[str, typer.Option("--until", help="Last day of a temporary change.")] = "",
        against: Annotated[str, typer.Option("--against", help="Look: left or factory.")] = "",
        resume: Annotated[bool, typer.Option("--resume", help="Go on with an interrupted plan.")] = False,
        on: options.On = "",
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
        from asleft.documents import planning as document
        from asleft.jobs.planning import look

        session: Session = context.obj
        out = Output(format, output, color)
        inputs = session.assets(site, [tag], False)
        assert inputs.record is not None
        tag = inputs.record.tag(tag)
        if not values and not start and not until:
            result = look(inputs, tag, against or "left", session.day(inputs.record, on))
        else:
            if against:
                raise Refused(
                    Fault("--against only looks at a plan.", "Leave it out, or leave out the values.")
                )
            who = session.who(inputs.record, by, at, reason, work_order)
            more = {"--until": until, "--by": by, "--reason": reason, "--work-order": work_order}
            words = ["plan", tag, *(values or []), "--from", "keypad"]
            again = resuming(words, more, site)
            result = _planned(session, inputs, tag, values or [], start, until, who, resume, again, dry_run)
        out.show(session, "plan", lambda: document.blocks(result), lambda: document.data(result))
        return 0


def _planned(
    session: Session,
    inputs: Inputs,
    tag: str,
    values: list[str],
    start: str,
    until: str,
    who: Who,
    resume: bool,
    again: str,
    dry_run: bool,
) -> Planned:
    from asleft.jobs.keypad import keypad_journal
    from asleft.jobs.planning import base_of, plan
    from asleft.jobs.wanted import pairs_of

    assert inputs.record is not None
    at_keypad = start == "keypad"
    if at_keypad:
        start = "left" if inputs.record.series(tag, "as_left") else "factory"
    elif resume:
        raise Refused(Fault("--resume goes with --from keypad.", "Leave one of them out."))
    base, model = base_of(inputs, tag, start or "left")
    pairs = pairs_of(values)
    if at_keypad:
        pairs += _typed(session, inputs, base, model, who, resume, again)
    how = "keypad" if at_keypad else "typed"
    result = plan(inputs.record, base, model, pairs, who, until=until, how=how, dry_run=dry_run)
    if at_keypad and not dry_run:
        keypad_journal(inputs.record, tag, "planned").remove()
    return result


def _typed(
    session: Session,
    inputs: Inputs,
    base: Named,
    model: Model,
    who: Who,
    resume: bool,
    again: str,
) -> list[tuple[str, str]]:
    from asleft.cli.keypad import converse
    from asleft.intake.keypad import planned
    from asleft.jobs.keypad import sitting

    assert inputs.record is not None and base.asset is not None
    tag = base.asset.tag
    guide = converse(session, sitting(inputs.record, tag, model, "planned", base.set), who, resume, again)
    return list(planned(guide.answers, guide.rows).items())
