"""``asleft simulate-unit``"""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, Annotated

import typer

from asleft.cli import options
from asleft.cli.session import Session
from asleft.record import Fault, Refused

if TYPE_CHECKING:
    from asleft.jobs.serving import Served

HELP = """
\b
Examples:
  asleft simulate-unit E1 --port 5020                  the record's last reading, over TCP
  asleft simulate-unit units/f2-spare.toml --port 5020
  asleft simulate-unit E1@factory --serial             over a pseudo-terminal (not on Windows)

Serve a set over Modbus, as a drive to read from: for trying out and for training.

It answers on this machine alone, and only reads: whatever would change the unit is refused. What the set
does not give has no register. Stop it with Ctrl-C.
"""


def add(app: typer.Typer) -> None:
    """Put the command on the application."""

    @app.command("simulate-unit", help=HELP)
    def simulate_unit(
        context: typer.Context,
        name: Annotated[str, typer.Argument(metavar="SET", help="The set.")],
        port: Annotated[
            int, typer.Option("--port", min=0, max=65535, help="TCP port; 0 takes a free one.")
        ] = 0,
        serial: Annotated[bool, typer.Option("--serial", help="A pseudo-terminal in place of TCP.")] = False,
        unit: Annotated[int, typer.Option("--unit", min=1, max=247, help="Its number on the bus.")] = 1,
        model: Annotated[str, typer.Option("--model", help="Drive model, if the set names none.")] = "",
        seconds: Annotated[
            float, typer.Option("--for", min=0, help="End by itself after so many seconds.")
        ] = 0.0,
        site: options.Site = None,
    ) -> int:
        from asleft.jobs.naming import resolve
        from asleft.jobs.serving import over_serial, over_tcp
        from asleft.jobs.simulating import simulated

        session: Session = context.obj
        inputs = session.inputs(site, name) if not model else session.inputs(site, name, "any")
        named = resolve(name, inputs)
        known = inputs.record.model(model) if model and inputs.record else named.side.model
        if known is None:
            raise Refused(Fault(f"{name} names no drive model.", "Say which with --model NAME."))
        shown = simulated(known, named.set)
        with over_serial(shown, unit) if serial else over_tcp(shown, unit, port) as served:
            session.out.write(f"{shown.model} with {named.words}, as unit {unit}: {served.source}\n")
            for native_id, why in shown.left_out.items():
                session.say(f"{native_id} has no register: {why}.")
            session.out.flush()
            _wait(seconds)
        session.out.write(_told(served))
        return 0


def _wait(seconds: float) -> None:
    end = time.monotonic() + seconds if seconds else None
    try:
        while end is None or time.monotonic() < end:
            time.sleep(0.05)
    except KeyboardInterrupt:
        pass


def _told(served: Served) -> str:
    tally = served.tally
    refused = ", ".join(f"{function:02X}" for function in sorted(set(tally.refused)))
    more = f"; {len(tally.refused)} of them no reads, and refused (function {refused})" if refused else ""
    return f"{tally.requests} requests answered{more}.\n"
