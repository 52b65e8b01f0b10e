"""``asleft gate``"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Annotated

import typer

from asleft.cli import options
from asleft.cli.output import Output
from asleft.cli.session import Session

HELP = """
\b
Examples:
  asleft gate                             as hooks/pre-receive of a bare repository
  asleft gate --sample pre-receive        prints that hook
  asleft gate --sample pre-commit         prints a hook for a person's own copy

Refuse a push that brings a new breach, a waiver that no other person approved, or a file that
cannot be read; and one that takes a rule away, or a breach out of a rule's reach (by dropping the
value, the rule or the condition), unless waivers.toml of the same push holds an approval of another
person: [approval."A-01"] with spec, rule, assets, reason, asked_by, approved_by and on.
Reads what git gives a hook on standard input. Exit code 1: refused.
"""
SAMPLES = {
    "pre-receive": (
        "#!/bin/sh\n# Refuses a push with a new breach or an unapproved waiver.\nexec asleft gate\n"
    ),
    "pre-commit": (
        "#!/bin/sh\n# Refuses a commit of specs, slots or waivers under which a drive breaches a rule.\n"
        "exec asleft check --all\n"
    ),
}


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("gate", help=HELP)
    def gate(
        context: typer.Context,
        sample: Annotated[
            str, typer.Option("--sample", help="Print a hook: pre-receive or pre-commit.")
        ] = "",
        on: options.On = "",
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import gating as document
        from asleft.jobs.gating import gate as judge
        from asleft.jobs.gating import pushes

        session: Session = context.obj
        if sample:
            session.out.write(SAMPLES[choice(sample)])
            return 0
        lines = sys.stdin.buffer.read(1_000_000).decode("utf-8", "replace").splitlines()
        today = session.day(None, on)
        gates = tuple(judge(one, objects(session), session.git, today) for one in pushes(lines))
        Output("text", None, color).show(session, "gate", lambda: document.blocks(gates), dict)
        return int(not all(one.opens for one in gates))


def choice(name: str) -> str:
    """A sample's name. Raises ``Refused``."""
    from asleft.record import Fault, Refused

    if name not in SAMPLES:
        raise Refused(Fault(f"there is no sample {name!r}.", f"There are {', '.join(SAMPLES)}."))
    return name


def objects(session: Session) -> list[Path]:
    """Where the objects of a push lie: those held back until the hook agrees, and the repository's own."""
    home = session.folder / os.environ.get("GIT_DIR", ".")
    held = [os.environ.get("GIT_OBJECT_DIRECTORY", "")]
    held += os.environ.get("GIT_ALTERNATE_OBJECT_DIRECTORIES", "").split(os.pathsep)
    found = [session.folder / path for path in held if path]
    return list(dict.fromkeys([*found, home / "objects"]))
