"""``asleft test sheet/record/show``"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from asleft.cli import options
from asleft.cli.output import FORMATS, Output
from asleft.cli.session import Session, resuming
from asleft.record import Fault, Refused

if TYPE_CHECKING:
    from asleft.jobs.naming import Inputs
    from asleft.jobs.testing import RecordedTest
    from asleft.jobs.who import Who

HELP = """
\b
Examples:
  asleft test sheet E1                              every step with its predicted value
  asleft test sheet E1 --format csv -o e1.csv       the same as a table to fill in
  asleft test record E1 --witness "H. Example"      step by step at the terminal, judged at once
  asleft test record E1 --from e1.csv               from the table, filled in
  asleft test show E1

The functional test: what to do, what the drive will do by its settings, what it did.
"""


def _help(examples: str, what: str) -> str:
    lines = "\n".join(f"  asleft test {line}" for line in examples.splitlines())
    return f"\n\b\nExamples:\n{lines}\n\n{what}\n"


_SHEET = _help(
    "sheet E1\nsheet E1 --format csv -o e1.csv\nsheet F2 --again\nsheet E1@planned",
    "Derive the steps that prove a set, each with its predicted value, tolerance and caution.\n\n"
    "What cannot be predicted says why. --again keeps the steps to repeat after a replacement.",
)
_RECORD = _help(
    'record E1 --by "R. Example" --witness "H. Example"\n'
    "record E1 --resume\n"
    "record E1 --from e1.csv\n"
    'record F3 --from observed.toml --reason "first setting to work"',
    "Judge what was observed, record it with the reading it belongs to, and say which other\n"
    "setting would give a value that fails.\n\n"
    "Without --from, on a terminal, each step is shown in order and what you saw is typed: a value\n"
    "with its unit, yes, no and what it did, skip and why. back corrects the step before; stop or\n"
    "Ctrl-C at any time, and go on with --resume. --again asks the steps to repeat after a\n"
    "replacement.\n\n"
    "CSV has the columns step and observed, and may have tester, witness and remark; TOML has\n"
    '[observed] and below it 12 = "38.8". Observed is a value, yes, no, not done with a reason, or\n'
    "left out with a reason where the step does not belong to the machine.",
)
_SHOW = _help("show E1", "What was tried and observed, and whether the set as last left is passed.")

Again = Annotated[bool, typer.Option("--again", help="Only the steps to repeat after a replacement.")]


def add(app: typer.Typer) -> None:
    """Put the commands on the application."""
    group = typer.Typer(help=HELP, no_args_is_help=True, rich_markup_mode=None)
    app.add_typer(group, name="test")

    @group.command("sheet", help=_SHEET, short_help="The steps that prove a set, with predicted values.")
    def sheet(
        context: typer.Context,
        tag: Annotated[str, typer.Argument(metavar="SET", help="An asset, or a set of one.")],
        again: Again = False,
        site: options.Site = None,
        format: Annotated[str, typer.Option("--format", help="text, json, md or csv.")] = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import testing as document
        from asleft.jobs.testing import sheet as make

        session: Session = context.obj
        out = Output(format, output, color, (*FORMATS, "csv"))
        result = make(tag, session.assets(site, [tag], False), again)
        others = {"csv": lambda: document.as_csv(result)}
        out.show(
            session, "test_sheet", lambda: document.blocks(result), lambda: document.data(result), others
        )
        return 0

    @group.command("record", help=_RECORD, short_help="Judge what was observed, and record it.")
    def record(
        context: typer.Context,
        tag: Annotated[str, typer.Argument(metavar="SET", help="An asset, or a reading of one.")],
        source: Annotated[
            str, typer.Option("--from", help="CSV or TOML with what was observed, or -; else it is asked.")
        ] = "",
        resume: Annotated[bool, typer.Option("--resume", help="Go on with an interrupted test.")] = False,
        again: Again = False,
        witness: Annotated[str, typer.Option("--witness", help="Who watched.")] = "",
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
    ) -> int:
        from asleft.documents import tested as document

        session: Session = context.obj
        out = Output(format, output, color)
        inputs = session.assets(site, [tag], False)
        who = session.who(inputs.record, by, at, reason, work_order)
        if source:
            _refuse_typed(resume, again)
            result = _from_file(session, tag, inputs, source, who, witness, dry_run)
        else:
            from asleft.cli.walking import walk_through

            given = {"--witness": witness, "--by": by, "--reason": reason, "--work-order": work_order}
            words = ["test", "record", tag, *(["--again"] if again else [])]
            command = resuming(words, given, site)
            result = walk_through(session, tag, inputs, who, witness, resume, again, command, dry_run)
        out.show(
            session, "test", lambda: document.recorded_blocks(result), lambda: document.recorded_data(result)
        )
        open_ones = result.test.count("cannot_tell") + result.test.count("not_done")
        return int(result.test.count("fail") > 0 or (strict and open_ones > 0))

    @group.command("show", help=_SHOW, short_help="What was tried and observed.")
    def show(
        context: typer.Context,
        tag: Annotated[str, typer.Argument(help="The slot's tag.")],
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import tested as document
        from asleft.jobs.testing import show_tests

        session: Session = context.obj
        out = Output(format, output, color)
        found = show_tests(tag, session.assets(site, [tag], False))
        out.show(session, "tests", lambda: document.shown_blocks(found), lambda: document.shown_data(found))
        return 0


def _refuse_typed(resume: bool, again: bool) -> None:
    for name, given in (("--resume", resume), ("--again", again)):
        if given:
            raise Refused(Fault(f"{name} goes with steps typed at a terminal.", "Leave out --from, or it."))


def _from_file(
    session: Session, tag: str, inputs: Inputs, source: str, who: Who, witness: str, dry_run: bool
) -> RecordedTest:
    from asleft.jobs.testing import record_test
    from asleft.prove.observed import read_observed

    observed = read_observed(_content(session, source), source)
    return record_test(tag, inputs, observed, who, witness, source, dry_run)


def _content(session: Session, source: str) -> bytes:
    if source == "-":
        return session.standard_input()
    try:
        return (session.folder / source).read_bytes()
    except OSError as problem:
        raise Refused(
            Fault(f"{source} cannot be read: {problem.strerror}.", "Name a file, or - for input.", source)
        ) from None
