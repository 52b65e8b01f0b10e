"""``asleft compare``"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Annotated, Literal, NamedTuple

import typer

from asleft.cli import options
from asleft.cli.output import Output
from asleft.cli.session import Session, resuming
from asleft.record import Fault, Refused

if TYPE_CHECKING:
    from pathlib import Path

    from asleft.jobs.naming import Inputs

HELP = """
\b
Examples:
  asleft compare F1 units/f1-same.toml
  asleft compare F1 units/f1-same.toml --work            step by step at the drive, read back each
  asleft compare F1 units/f1-same.toml --work --resume   go on after an interruption
  asleft compare F2 units/f2-spare.toml --tonight        what must be right before the first start
  asleft compare F2 units/f2-spare.toml --morning --until 2026-10-12 --reason "no time at night"
  asleft compare F2 units/f2-spare.toml -o put-right.md --format md
  asleft compare F1@commissioning units/f1-same.toml
  asleft compare F2 spare.csv --model third-15k          a list by native ids names no model

Hold a replaced unit against the record of its slot, and list what to put right, in order.

The unit is a reading of what stands in it now (see: asleft snapshot --help for its forms).
--work records another unit's reading as found in the slot, goes through decisions, wire list, questions
and entries one by one, has each read back, reads the whole unit back, and records it as left, occasion
replacement; with --tonight only what must be right before the first start, the rest by the day of --until.
Settings are no safety function.
Exit code 1: something is to be entered or decided; with --work, something was left out or reads
otherwise than it should.
"""


class _Asked(NamedTuple):
    """What of the options decides what is done."""

    work: bool
    resume: bool
    tonight: bool
    morning: bool
    until: str

    @property
    def part(self) -> Literal["", "tonight", "morning"]:
        """The part of the list."""
        return "tonight" if self.tonight else "morning" if self.morning else ""

    def refuse(self, tag: str, unit: str) -> None:
        """Raise ``Refused`` for options that do not go together."""
        faults = []
        if self.tonight and self.morning:
            faults.append(Fault("--tonight and --morning are the two parts of the list.", "Name one."))
        if self.work and self.morning:
            do = f"Work against the plan instead: asleft compare {tag}@planned {tag}@left --work"
            faults.append(Fault("by morning the unit is another than the one that was read.", do))
        if self.resume and not self.work:
            faults.append(Fault("--resume goes with --work.", "Leave it out, or say --work."))
        if self.until and not (self.morning or (self.work and self.tonight)):
            do = "Say --morning, or --work --tonight."
            faults.append(Fault("--until is the day of the part that waits.", do))
        if self.work and unit == "-":
            faults.append(Fault("standard input is where the answers come from.", "Name the unit's file."))
        if faults:
            raise Refused(faults)


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
        work: Annotated[bool, typer.Option("--work", help="Step through it at the drive.")] = False,
        resume: Annotated[bool, typer.Option("--resume", help="Go on with interrupted work.")] = False,
        tonight: Annotated[bool, typer.Option("--tonight", help="What the first start needs.")] = False,
        morning: Annotated[bool, typer.Option("--morning", help="What may wait until morning.")] = False,
        until: Annotated[str, typer.Option("--until", help="The day by which the rest is made.")] = "",
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
        strict: options.Strict = False,
        behaviour: options.Behaviour = True,
    ) -> int:
        from asleft.documents import compare as document
        from asleft.jobs.comparing import compare_unit
        from asleft.jobs.leaving import leave
        from asleft.jobs.planning import refuse_bad_end

        session: Session = context.obj
        out = Output(format, output, color)
        asked = _Asked(work, resume, tonight, morning, until)
        asked.refuse(tag, unit)
        inputs = session.assets(site, [tag], False)
        who = {"--at": at, "--by": by, "--reason": reason, "--work-order": work_order}
        if work:
            given = {"--model": model, "--on": on, **who}
            return _work(session, out, inputs, tag, unit, given, asked, site, dry_run)
        assert inputs.record is not None
        person = None
        if until:
            person = session.who(inputs.record, by, at, reason, work_order)
            refuse_bad_end(until, person)
        behaves = behaviour and not morning
        result = compare_unit(tag, unit, inputs, session.day(inputs.record, on), model, behaves)
        left = None
        if person is not None:
            left = leave(inputs.record, result.pair, result.put_right, until, person, dry_run)
        out.show(
            session,
            "compare",
            lambda: document.blocks(result, asked.part, left),
            lambda: document.data(result, asked.part, left),
        )
        return int(result.differs or (strict and result.is_undecided))


def _work(
    session: Session,
    out: Output,
    inputs: Inputs,
    tag: str,
    unit: str,
    given: Mapping[str, str],
    asked: _Asked,
    site: Path | None,
    dry_run: bool,
) -> int:
    from asleft.cli.working import work_through
    from asleft.documents import working as document
    from asleft.jobs.leaving import refuse_nameless
    from asleft.jobs.working import bench

    assert inputs.record is not None
    who = session.who(inputs.record, given["--by"], given["--at"], given["--reason"], given["--work-order"])
    day = session.day(inputs.record, given["--on"])
    at = bench(tag, unit, inputs, day, given["--model"], asked.tonight)
    if asked.tonight and (asked.until or at.plan({}).tomorrow):
        refuse_nameless(at.plan({}), asked.until, who)
    words = ["compare", tag, unit, "--work", *(["--tonight"] if asked.tonight else [])]
    again = resuming(words, {**given, "--at": "", "--until": asked.until}, site)
    result = work_through(session, inputs, at, who, asked.resume, again, asked.until, dry_run)
    out.show(session, "replacement", lambda: document.blocks(result), lambda: document.data(result))
    return int(not result.is_right)
