"""``asleft demo``"""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Annotated

import typer

from asleft.cli.session import Session

HELP = """
\b
Examples:
  asleft demo                             in a temporary folder, which it names
  asleft demo demo-site                   in a new folder, to go on with by hand
  asleft demo demo-site --build-only      no walk

Build a site of eight drives with its history, and walk through the job on it.

The site, its makers and every number of it are invented.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("demo", help=HELP)
    def demo(
        context: typer.Context,
        folder: Annotated[
            Path | None,
            typer.Argument(metavar="DIR", help="A new or empty folder, or one where a demo was interrupted."),
        ] = None,
        build_only: Annotated[
            bool, typer.Option("--build-only", help="Build the site, do not walk.")
        ] = False,
    ) -> int:
        from asleft.jobs.demo import build, is_unfinished, walk

        session: Session = context.obj
        where = (
            (session.folder / folder).absolute() if folder else Path(tempfile.mkdtemp(prefix="asleft-demo-"))
        )
        if is_unfinished(where):
            session.say(f"An interrupted demo stands in {where}; it is built afresh.")
        build(where, session.git)
        session.out.write(f"The demo site stands in {where}: eight drives, two visits, all invented.\n")
        for stop in () if build_only else walk():
            _show(session, where, stop.says, stop.arguments)
        session.out.write(f"\nGo on by hand: cd {where}, then asleft --help\n")
        return 0


def _show(session: Session, site: Path, says: str, arguments: tuple[str, ...]) -> None:
    """Run one command line as a person would in the site's folder, and show its real output."""
    from asleft.cli.start import main

    session.out.write(f"\n{'-' * 78}\n{says}\n\n$ asleft {' '.join(arguments)}\n")
    session.out.flush()
    code = main(arguments, Session(folder=site, out=session.out, err=session.err))
    session.out.write(f"(exit code {code})\n")
