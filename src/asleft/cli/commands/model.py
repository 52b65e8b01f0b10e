"""``asleft model list/show/check``"""

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
  asleft model show merrow-m4-15k
  asleft model check models/merrow-m4.toml
  asleft model check                      every model file of the site

Drive models of the site: native lists, factory values, what translates into the trade's terms.
"""


def _help(example: str, what: str) -> str:
    return f"\n\b\nExample:\n  asleft model {example}\n\n{what}\n"


_LIST = _help("list", "Models and sizes of the site.")
_SHOW = _help("show merrow-m4-15k", "One model's native list, menu by menu.")
_CHECK = _help("check models/third.toml", "What is wrong with a model file, line by line.")


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
