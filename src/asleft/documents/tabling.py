"""The answer to ``tables``: who can do what, what a broken wire does, what each loss does."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from asleft.documents.blocks import Block, Line, Sheet, rows, section
from asleft.documents.coverage import coverage_data, coverage_lines
from asleft.documents.diff import named
from asleft.explain import capital

if TYPE_CHECKING:
    from asleft.behaviour import WireRow
    from asleft.jobs.tabling import Tabled

STARTS = ("starts by itself", "goes off and starts again by itself", "goes off, starts again by itself")
UNNOTICED = "not noticed"


def blocks(result: Tabled) -> Sheet:
    """What can hurt first, then the three tables, then how far they can be relied on."""
    tables = result.tables
    alarms = list(_alarms(result))
    return (
        Line(headline(result), "alarm" if alarms else ""),
        Line(_next(result, bool(alarms))),
        Line(f"From: {result.named.words}."),
        *([Line(result.named.note)] if result.named.note else []),
        *(Line(text, "alarm", 1) for text in alarms),
        *section("Who can start, stop, reverse and set the speed", _stations(result)),
        *section("What a broken wire does", _wires(result)),
        *section(
            "What each loss does while running, and its return with the command standing", _losses(result)
        ),
        *section(
            "How far the set is followed",
            (Line(t, "dim", 1) for t in coverage_lines(result.coverage, result.named.side.values)),
        ),
        *(
            []
            if tables.losses
            else [Line("The motor never runs in this set, so no loss can be shown.", "warn")]
        ),
    )


def headline(result: Tabled) -> str:
    """Who can start the motor, station by station."""
    tag = result.named.asset.tag if result.named.asset else result.named.words
    starts = [f"{row.station}: {_listed(row.start)}" for row in result.tables.stations if row.start]
    if not starts:
        return f"{tag}: nothing can start the motor in this set."
    return f"{tag} can be started in {'; in '.join(starts)}."


def _next(result: Tabled, alarms: bool) -> str:
    tag = result.named.asset.tag if result.named.asset else "TAG"
    if alarms:
        return f"Keep clear of the shaft where it starts by itself; try each line: asleft test sheet {tag}"
    return f"Try it on the machine: asleft test sheet {tag}"


def _alarms(result: Tabled) -> Iterator[str]:
    """What starts the motor by itself."""
    for wire in result.tables.wires:
        for state, does in (("running", wire.running), ("at rest", wire.at_rest)):
            if does.startswith(STARTS):
                yield f"Wire of {wire.terminal} breaks, {state}: {does}."
    for loss in result.tables.losses:
        if loss.on_return.startswith(STARTS):
            yield f"Loss over ({loss.loss}), the command standing: {loss.on_return}."
        if loss.does.startswith(STARTS):
            yield f"{capital(loss.loss)}: {loss.does}."


def _listed(names: Sequence[str]) -> str:
    return ", ".join(names) or "nobody"


def _stations(result: Tabled) -> list[Block]:
    return rows(
        ("station", "start", "stop", "reverse", "set the speed"),
        (
            (row.station, _listed(row.start), _listed(row.stop), _listed(row.reverse), _listed(row.speed))
            for row in result.tables.stations
        ),
    )


def _wires(result: Tabled) -> list[Block]:
    body = ((row.terminal, row.running, row.at_rest, _seen(row)) for row in result.tables.wires)
    return rows(("wire", "breaks while running", "breaks at rest", "noticed"), body)


def _seen(row: WireRow) -> str:
    """Whether anybody notices: the drive shows a fault or warning, or does something else than before."""
    if any("fault " in text or "warning " in text for text in (row.running, row.at_rest)):
        return "shown"
    quiet = row.running.startswith("keeps running") and row.at_rest == "stays at rest"
    return "no" if quiet or UNNOTICED in row.running else "by what it does"


def _losses(result: Tabled) -> list[Block]:
    body = ((row.loss, row.does, row.on_return) for row in result.tables.losses)
    return rows(("loss", "the drive", "when it is over"), body)


def data(result: Tabled) -> dict[str, Any]:
    """The tables for machines."""
    tables = result.tables
    return {
        "set": named(result.named),
        "headline": headline(result),
        "starts_by_itself": list(_alarms(result)),
        "stations": [
            {
                "station": row.station,
                "start": list(row.start),
                "stop": list(row.stop),
                "reverse": list(row.reverse),
                "speed": list(row.speed),
            }
            for row in tables.stations
        ],
        "wires": [
            {"wire": row.terminal, "running": row.running, "at_rest": row.at_rest, "noticed": _seen(row)}
            for row in tables.wires
        ],
        "losses": [{"loss": row.loss, "does": row.does, "on_return": row.on_return} for row in tables.losses],
        "coverage": coverage_data(result.coverage),
    }
