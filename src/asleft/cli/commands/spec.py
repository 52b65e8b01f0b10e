"""``asleft spec list/copy/check/read``"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from asleft.cli import options
from asleft.cli.output import Output
from asleft.cli.session import Session
from asleft.record import Fault, Refused

if TYPE_CHECKING:
    from asleft.jobs.naming import Inputs

HELP = """
\b
Examples:
  asleft spec list
  asleft spec copy pump --as feed-pumps
  asleft spec check
  asleft spec check drafts/pump.toml      a file that lies elsewhere
  asleft spec read 44                     a rule read aloud

Application specs: what a machine type requires of its drive.
"""


def _help(example: str, what: str) -> str:
    return f"\n\b\nExample:\n  asleft spec {example}\n\n{what}\n"


_LIST = _help("list", "Specs of the site, and those ready to copy by machine type.")
_COPY = _help("copy pump --as feed-pumps", "Copy a ready spec into the site, as a starting point to edit.")
_CHECK = _help("check pump", "What is wrong with a spec: contradictions, blanks, what no setting can meet.")
_READ = _help("read 44", "Read a rule aloud, with its reason and source.")


def add(app: typer.Typer) -> None:
    """Put the commands on the application."""
    group = typer.Typer(help=HELP, no_args_is_help=True, rich_markup_mode=None)
    app.add_typer(group, name="spec")

    @group.command("list", help=_LIST, short_help="Specs of the site, and those ready to copy.")
    def list_specs(
        context: typer.Context,
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import ruling as document
        from asleft.jobs.ruling import ready_specs, site_specs

        session: Session = context.obj
        out = Output(format, output, color)
        own, ready = site_specs(session.record(site)), ready_specs()
        out.show(
            session, "specs", lambda: document.list_blocks(own, ready), lambda: document.list_data(own, ready)
        )
        return 0

    @group.command("copy", help=_COPY, short_help="Copy a ready spec into the site.")
    def copy(
        context: typer.Context,
        name: Annotated[str, typer.Argument(help="A ready spec.")],
        target: Annotated[str, typer.Option("--as", help="Its name in the site.")] = "",
        site: options.Site = None,
    ) -> int:
        from asleft.jobs.ruling import copy_spec

        session: Session = context.obj
        path = copy_spec(session.record(site), name, target)
        session.out.write(
            f"Copied to {path}, not recorded yet.\nFill in its blanks, then: asleft spec check\n"
        )
        return 0

    @group.command("check", help=_CHECK, short_help="What is wrong with a spec.")
    def check(
        context: typer.Context,
        names: Annotated[
            list[str] | None, typer.Argument(help="Specs by name or path; all of the site if left out.")
        ] = None,
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import ruling as document
        from asleft.jobs.ruling import check_specs

        session: Session = context.obj
        out = Output(format, output, color)
        result = check_specs(_inputs(session, site, names or []), names or [])
        out.show(
            session, "spec_check", lambda: document.check_blocks(result), lambda: document.check_data(result)
        )
        return int(any(one.fails for one in result))

    @group.command("read", help=_READ, short_help="Read a rule aloud.")
    def read(
        context: typer.Context,
        rule: Annotated[str, typer.Argument(help="Number or name of a rule.")],
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import ruling as document
        from asleft.jobs.ruling import find_rule

        session: Session = context.obj
        found = find_rule(session.record(site), rule)
        if not found:
            raise Refused(Fault(f"there is no rule {rule!r}.", "See: asleft spec list --format json"))
        out = Output(format, output, color)
        out.show(session, "rules", lambda: document.aloud_blocks(found), lambda: document.aloud_data(found))
        return 0


def _inputs(session: Session, site: Path | None, names: list[str]) -> Inputs:
    """The site around this folder; a file given by its path needs none."""
    from asleft.jobs.naming import Inputs

    if names:
        return session.inputs(site, *names)
    return Inputs(session.record(site), session.standard_input, session.folder)
