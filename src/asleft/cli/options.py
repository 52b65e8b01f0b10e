"""Options that several commands share, each written once."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, TypeAlias

import typer

Site: TypeAlias = Annotated[
    Path | None, typer.Option("--site", help="Folder of the site record, if not this one or above.")
]
Format: TypeAlias = Annotated[str, typer.Option("--format", help="text, json or md.")]
Output: TypeAlias = Annotated[
    Path | None, typer.Option("-o", "--output", help="Write the result to this file, only on success.")
]
Color: TypeAlias = Annotated[str, typer.Option("--color", help="auto, always or never.")]
By: TypeAlias = Annotated[str, typer.Option("--by", help="Who read or decided; git's user.name if left out.")]
At: TypeAlias = Annotated[str, typer.Option("--at", help="When, in the site's zone; now if left out.")]
Reason: TypeAlias = Annotated[str, typer.Option("--reason", help="Why, in one line.")]
WorkOrder: TypeAlias = Annotated[str, typer.Option("--work-order", help="Number of the work order.")]
DryRun: TypeAlias = Annotated[
    bool, typer.Option("--dry-run", help="Show what would be recorded, record nothing.")
]
On: TypeAlias = Annotated[str, typer.Option("--on", help="Judge as of this date (waivers, ages).")]
Strict: TypeAlias = Annotated[bool, typer.Option("--strict", help='"Cannot tell" counts as a failure.')]
All: TypeAlias = Annotated[bool, typer.Option("--all", help="Every asset of the site.")]
Effects: TypeAlias = Annotated[
    bool, typer.Option("--effects/--no-effects", help="Effects computed for this motor and machine.")
]
Behaviour: TypeAlias = Annotated[
    bool, typer.Option("--behaviour/--no-behaviour", help="Where the drive would behave differently.")
]
Long: TypeAlias = Annotated[
    bool, typer.Option("--long", help="Give the search for quick changes of inputs its whole budget.")
]
