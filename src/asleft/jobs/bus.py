"""Reading a unit on the field bus for one asset."""

from __future__ import annotations

from decimal import Decimal

from asleft.intake import Taken
from asleft.intake.modbus import is_address, take
from asleft.intake.modbus.passes import Watch
from asleft.jobs.record import Record
from asleft.models import Model
from asleft.record import Fault, Refused


def read_bus(record: Record, tag: str, source: str, model: Model | None, watch: Watch) -> Taken:
    """The unit at ``source``; where that names no unit, the one at the slot's own address on the bus.

    Raises ``Refused`` where nothing could be read.
    """
    if not is_address(source):
        raise Refused(
            Fault(
                f"{source.partition(':')[0]}:// is no source.",
                "There are modbus-tcp://HOST:PORT/UNIT and modbus-rtu:///dev/…?baud=19200&parity=E&unit=…",
                source,
            )
        )
    number = record.asset(tag).values.get("comms.node_address")
    return take(source, model, int(number) if isinstance(number, Decimal) else None, watch)
