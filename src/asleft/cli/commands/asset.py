"""``asleft asset add/set/list/show/retire``"""

from __future__ import annotations

from typing import Annotated

import typer

from asleft.cli import options
from asleft.cli.output import Output
from asleft.cli.session import Session
from asleft.cli.start import WRONG_USE

HELP = """
\b
Examples:
  asleft asset add E1 designation="Intake leg" application=bucket_elevator model=third-15k
  asleft asset set E1 plate.rated_power_kw=20hp plate.rated_current_a=28.5
  asleft asset set C1 feeds.E1=60 specs=every-drive,chain-conveyor
  asleft asset set E1 permits.C1=1:run_enable
  asleft asset set E1 "selectors.station=local:di_5 off: remote:di_6"
  asleft asset list
  asleft asset show E1

The slots of the site: what stands where, its motor plate, its machine, its links.
"""
_FIELDS = """
\b
Fields: designation, application, model, alike, specs (with commas), plate.… and machine.…
(see: asleft explain plate), feeds.TAG=tonnes per hour, permits.TAG=RELAY:INPUT, per-slot
values by key, such as comms.node_address, and selectors.NAME="POSITION:INPUT+INPUT ..." for
a switch whose contacts move together. An empty value takes a field away.
"""


def _help(example: str, what: str) -> str:
    return f"\n\b\nExample:\n  asleft asset {example}\n\n{what}\n"


_ADD = _help("add E1 model=third-15k plate.rated_power_kw=15", "Add a slot.") + _FIELDS
_SET = _help("set E1 plate.rated_power_kw=20hp specs=every-drive", "Change a slot.") + _FIELDS
_RETIRE = _help("retire E9 --reason demolished", "Take a slot out of use; its record stays.")
_LIST = _help("list", "All slots with their newest readings. Exit code 2: a slot cannot be read.")
_SHOW = _help("show E1", "One slot: plate, machine, links, specs.")

Fields = Annotated[list[str] | None, typer.Argument(help="NAME=VALUE …")]
Tag = Annotated[str, typer.Argument(help="The slot's tag.")]


def add(app: typer.Typer) -> None:
    """Put the commands on the application."""
    group = typer.Typer(help=HELP, no_args_is_help=True, rich_markup_mode=None)
    app.add_typer(group, name="asset")

    @group.command("add", help=_ADD, short_help="Add a slot.")
    def add_slot(
        context: typer.Context,
        tag: Tag,
        fields: Fields = None,
        site: options.Site = None,
        by: options.By = "",
        reason: options.Reason = "",
        dry_run: options.DryRun = False,
    ) -> int:
        from asleft.jobs.site import add_asset

        session: Session = context.obj
        record = session.record(site)
        asset = add_asset(record, tag, fields or [], session.who(record, by, reason=reason), dry_run)
        session.out.write(
            _done("Added", asset.tag, dry_run) + f"Next: asleft snapshot {asset.tag} --from …\n"
        )
        return 0

    @group.command("set", help=_SET, short_help="Change a slot.")
    def set_slot(
        context: typer.Context,
        tag: Tag,
        fields: Fields = None,
        site: options.Site = None,
        by: options.By = "",
        reason: options.Reason = "",
        dry_run: options.DryRun = False,
    ) -> int:
        from asleft.jobs.site import set_asset

        session: Session = context.obj
        record = session.record(site)
        asset = set_asset(record, tag, fields or [], session.who(record, by, reason=reason), dry_run)
        session.out.write(_done("Recorded", asset.tag, dry_run))
        return 0

    @group.command("retire", help=_RETIRE, short_help="Take a slot out of use.")
    def retire(
        context: typer.Context,
        tag: Tag,
        reason: options.Reason = "",
        site: options.Site = None,
        by: options.By = "",
    ) -> int:
        from asleft.jobs.site import retire_asset

        session: Session = context.obj
        record = session.record(site)
        asset = retire_asset(record, tag, reason or "out of use", session.who(record, by, reason=reason))
        session.out.write(f"{asset.tag} is retired; its record stays.\n")
        return 0

    @group.command("list", help=_LIST, short_help="All slots with their newest readings.")
    def list_slots(
        context: typer.Context,
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import slots as document
        from asleft.jobs.site import slots

        session: Session = context.obj
        out = Output(format, output, color)
        found = slots(session.record(site))
        out.show(session, "assets", lambda: document.list_blocks(found), lambda: document.list_data(found))
        return WRONG_USE if found.broken else 0

    @group.command("show", help=_SHOW, short_help="One slot.")
    def show_slot(
        context: typer.Context,
        tag: Tag,
        site: options.Site = None,
        format: options.Format = "text",
        output: options.Output = None,
        color: options.Color = "auto",
    ) -> int:
        from asleft.documents import slots as document
        from asleft.jobs.site import slot

        session: Session = context.obj
        out = Output(format, output, color)
        found = slot(session.record(site), tag)
        out.show(session, "asset", lambda: document.blocks(found), lambda: document.data(found))
        return 0


def _done(what: str, tag: str, dry_run: bool) -> str:
    return f"{tag}: nothing recorded (dry run).\n" if dry_run else f"{what}: {tag}.\n"
