"""Assets that could not be looked at: said first, each fault with file, line and what to do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from asleft.documents.blocks import Block, Line
from asleft.jobs.record import Broken
from asleft.record import Fault


def lines(broken: Sequence[Broken], lacks: str) -> Iterator[Block]:
    """What stands above all else. ``lacks`` is what could not be done with them: ``judged``."""
    for one in broken:
        yield Line(f"{one.asset} could not be {lacks}:", "alarm")
        yield from (Line(str(fault), depth=1) for fault in one.faults)


def left_out(broken: Sequence[Broken]) -> Iterator[Block]:
    """Drives that rules about linked drives were judged without."""
    for one in broken:
        yield Line(f"Rules about linked drives were judged without {one.asset}:", depth=1)
        yield from (Line(str(fault), depth=2) for fault in one.faults)


def doubtful(broken: Sequence[Broken]) -> Iterator[Block]:
    """Slots that cannot be read, so that nobody can tell whether they are of a group."""
    for one in broken:
        yield Line(f"{one.asset} cannot be read:", "warn", 1)
        yield from (Line(str(fault), depth=2) for fault in one.faults)


def passed_over(faults: Sequence[Fault], depth: int) -> Iterator[Block]:
    """Recorded readings that cannot be read, in whose places later ones stand."""
    for fault in faults:
        yield Line(f"A recorded reading cannot be read and is passed over: {fault}", "warn", depth)


def data(broken: Sequence[Broken]) -> list[dict[str, Any]]:
    """The same for machines."""
    return [{"asset": one.asset, "faults": [fault_data(fault) for fault in one.faults]} for one in broken]


def fault_data(fault: Fault) -> dict[str, Any]:
    """One fault; its line is null where none can be named."""
    return {
        "what": fault.what,
        "do_next": fault.do_next,
        "where": fault.where or None,
        "line": fault.line or None,
    }
