"""``asleft model list/show/check/changes/import``"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from asleft.cli import options
from asleft.cli.output import Output
from asleft.cli.session import Session

HELP = """
\b
Examples:
  asleft model list
  asleft model show third-15k
  asleft model check models/third.toml
  asleft model check                      every model file of the site
  asleft model changes old/third.toml models/third.toml

Drive models of the site: native lists, factory values, what translates into the trade's terms.
"""


def _help(example: str, what: str) -> str:
    return f"\n\b\nExample:\n  asleft model {example}\n\n{what}\n"


_LIST = _help("list", "Models and sizes of the site.")
_SHOW = _help("show third-15k", "One model's native list, menu by menu.")
_CHECK = _help("check models/third.toml", "What is wrong with a model file, line by line.")
_CHANGES = _help(
    "changes old/third.toml models/third.toml",
    "What a new firmware's list defines otherwise: renamed, another range, other choices, acting at once.\n\n"
    "OLD and NEW are model files, or full names of the site. Exit code 1: something is defined otherwise.",
)

IMPORT_HELP = """
\b
Examples:
  asleft model import list.xlsx --name third --maker Third --firmware 1.0..1.9
  asleft model import list.csv --name third --map P12=ramps.accel_time_1_s --map P13.2=coast --map P90=-
  asleft model import unit.eds --name third -o models/third.toml

A drive model from a parameter list. Neutral keys are proposed from names, units, ranges and choices;
what is sure is written, what is not is asked on a terminal, or left native and listed. Columns are
known by their headings: id, name, menu, unit, min, max, step, default, choices (0=coast|1=ramp),
register, type, access, key.
"""


def add(app: typer.Typer) -> None:
    """Put the commands on the application."""
    group = typer.Typer(help=HELP, no_args_is_help=True, rich_markup_mode=None)
    app.add_typer(group, name="model")

    @group.command("list", help=_LIST, short_help="Models and sizes of the site.")
    def list_models(
        context: typer.Context,
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import models as document
        from asleft.jobs.modelling import models

        session: Session = context.obj
        out = Output(format, output, color)
        found = models(session.record(site))
        out.show(session, "models", lambda: document.list_blocks(found), lambda: document.list_data(found))
        return 0

    @group.command("show", help=_SHOW, short_help="One model's native list.")
    def show_model(
        context: typer.Context,
        name: Annotated[str, typer.Argument(help="Full name of a model.")],
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import models as document

        session: Session = context.obj
        out = Output(format, output, color)
        model = session.record(site).model(name)
        out.show(session, "model", lambda: document.blocks(model), lambda: document.data(model))
        return 0

    @group.command("check", help=_CHECK, short_help="What is wrong with a model file.")
    def check_model(
        context: typer.Context,
        files: Annotated[
            list[Path] | None, typer.Argument(help="Model files; the site's if left out.")
        ] = None,
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import models as document
        from asleft.jobs.modelling import check_files, check_site

        session: Session = context.obj
        out = Output(format, output, color)
        result = (
            check_files([session.folder / file for file in files])
            if files
            else check_site(session.record(site))
        )
        out.show(
            session, "model_check", lambda: document.check_blocks(result), lambda: document.check_data(result)
        )
        return int(any(one.faults for one in result))

    @group.command("changes", help=_CHANGES, short_help="What a new firmware's list changes.")
    def list_changes(
        context: typer.Context,
        old: Annotated[str, typer.Argument(help="The list as it was.")],
        new: Annotated[str, typer.Argument(help="The list as it is.")],
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import definitions as document
        from asleft.jobs.definitions import changes_between

        session: Session = context.obj
        out = Output(format, output, color)
        result = changes_between(old, new, session.inputs(site))
        out.show(session, "model_changes", lambda: document.blocks(result), lambda: document.data(result))
        return int(result.differs)

    @group.command("import", help=IMPORT_HELP)
    def import_model(
        context: typer.Context,
        file: Annotated[Path, typer.Argument(help="A parameter list: CSV, XLSX or EDS.")],
        name: Annotated[str, typer.Option("--name", help="The family's name, as third-drive.")],
        size: Annotated[str, typer.Option("--size", help="The size the list is of.")] = "one",
        maker: Annotated[str, typer.Option("--maker", help="Who makes it.")] = "",
        title: Annotated[str, typer.Option("--title", help="Its name for a person.")] = "",
        firmware: Annotated[str, typer.Option("--firmware", help="From which to which: 1.0..1.9.")] = "",
        register_base: Annotated[
            int, typer.Option("--register-base", min=0, max=1, help="Registers count from 0 or 1.")
        ] = 0,
        columns: Annotated[
            str, typer.Option("--columns", help="Which column holds what: id=A,text=B,unit=C.")
        ] = "",
        mapped: Annotated[
            list[str] | None, typer.Option("--map", help="ID=KEY, a decision; - for no meaning.")
        ] = None,
        replace: Annotated[bool, typer.Option("--replace", help="Write over a file that is there.")] = False,
        site: options.Site = None,
        format: options.Format = "text",
        output: Annotated[
            Path | None, typer.Option("-o", "--output", help="The model file; models/NAME.toml if left out.")
        ] = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.cli.importing import ask_person, list_content, target, write_model
        from asleft.documents import importing as document
        from asleft.intake.listing.write import Head
        from asleft.jobs.importing import import_list, read_list

        session: Session = context.obj
        out = Output(format, None, color)
        path = target(session, site, name, output, replace)
        first, _, last = firmware.partition("..")
        known = (first or "not stated", last or first or "not stated")
        head = Head(name, title or name, maker, known, size, register_base, file.name)
        rows, notes = read_list(list_content(session, file), file.name, columns)
        result = import_list(rows, notes, head, mapped or (), ask_person(session))
        write_model(session, path, result.content)
        shown = path.name if output is None else str(output)
        out.show(
            session,
            "model_import",
            lambda: document.blocks(result, shown),
            lambda: document.data(result, shown),
        )
        return 0
