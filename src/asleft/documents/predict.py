"""The answer to ``predict``."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

from asleft.documents.blocks import Block, Line, Sheet, rows, section
from asleft.documents.diff import named
from asleft.explain.figures import figure

if TYPE_CHECKING:
    from asleft.explain.facts import Input
    from asleft.jobs.predicting import Predicted
    from asleft.prove.predicted import Point, Prediction, Said, SignalRow, SignalTable, Span, TripRow


_OVERLOAD = "Motor overload, load in percent of the plate; warm: after hours at its current"


def blocks(result: Predicted) -> Sheet:
    """The working point first, then speeds, times, signals and trips; last what cannot be told."""
    prediction = result.prediction
    return (
        Line(headline(result), "head"),
        Line("Hold these against what the machine does at the next start; what differs is worth a look."),
        Line(f"From {result.named.words}; ramps as set, with no limit acting on the way."),
        *([Line(result.named.note)] if result.named.note else ()),
        *section("Who starts it", _lines(prediction.starts)),
        *section("Speeds", _points(prediction.points)),
        *section("Starts and stops", _spans(prediction.spans)),
        *(block for table in prediction.signals for block in _signals(table)),
        *section("At the working point", _lines(prediction.working)),
        *section(_OVERLOAD, _trips(prediction.trips)),
        *section("Motor plate", _lines(prediction.plate)),
        *section("Cannot tell", (Line(line, "dim", 1) for line in prediction.unknown)),
        *section("Taken, not recorded", _assumed(prediction.basis)),
    )


def headline(result: Predicted) -> str:
    """The start and the stop that somebody will watch."""
    tag = result.named.asset.tag if result.named.asset else result.named.asked
    spans = {span.name: span for span in result.prediction.spans}
    targets = (spans.get(f"rest to {name}") for name in ("working point", "maximum", "minimum"))
    up = next(filter(None, targets), None)
    if up is None or up.seconds is None:
        return f"{tag}: little can be told; see below what is missing."
    target = up.name.removeprefix("rest to ")
    down = next((span for name, span in spans.items() if name.startswith(f"{target} to rest")), None)
    words = f"{tag}: from rest to {figure(up.to_hz, 'Hz')} in {figure(up.seconds, 's')}"
    if down is None or down.seconds is None:
        return f"{words}."
    return f"{words}, from there to rest in {figure(down.seconds, 's')}."


def _lines(said: Iterable[Said]) -> Iterator[Block]:
    return (Line(one.words, depth=1) for one in said)


def _number(value: float | None, unit: str) -> str:
    return "cannot tell" if value is None else figure(value, unit)


def _points(points: Iterable[Point]) -> list[Block]:
    found = list(points)
    with_machine = any(point.machine is not None for point in found)
    head = ("speed", "Hz", "shaft at full load", *(("machine",) if with_machine else ()), "note")
    return rows(head, (_point(point, with_machine) for point in found))


def _point(point: Point, with_machine: bool) -> tuple[str, ...]:
    note = point.note
    if point.hz != point.wanted_hz:
        note = f"{figure(point.wanted_hz, 'Hz')} wanted; {note}"
    machine = (_number(point.machine, point.machine_unit),) if with_machine else ()
    return (point.name, figure(point.hz, "Hz"), _number(point.rpm, "rpm"), *machine, note)


def _spans(spans: Iterable[Span]) -> list[Block]:
    return rows(("from, to", "between", "time", "way", "note"), (_span(span) for span in spans))


def _span(span: Span) -> tuple[str, ...]:
    between = f"{figure(span.from_hz, 'Hz')} to {figure(span.to_hz, 'Hz')}"
    way = "" if span.way is None else figure(span.way, span.way_unit)
    return (span.name, between, _number(span.seconds, "s"), way, span.note)


def _signals(table: SignalTable) -> Iterator[Block]:
    title = f"Analog input {table.number}: {table.serves}"
    with_machine = any(row.machine for row in table.rows)
    head = ("signal", table.unit, "Hz", "shaft at full load", *(("machine",) if with_machine else ()), "note")
    yield from section(title, rows(head, (_signal(row, table, with_machine) for row in table.rows)))


def _signal(row: SignalRow, table: SignalTable, with_machine: bool) -> tuple[str, ...]:
    name = "wire broken" if row.percent is None else figure(row.percent, "%")
    signal = "" if row.signal is None else figure(row.signal, table.unit)
    hz = "as before" if row.hz is None else figure(row.hz, "Hz")
    rpm = "" if row.hz is None else _number(row.rpm, "rpm")
    machine = (
        ("" if row.machine is None else figure(row.machine, table.machine_unit),) if with_machine else ()
    )
    return (name, signal, hz, rpm, *machine, row.note)


def _trips(trips: Iterable[TripRow]) -> list[Block]:
    return rows(("load", "amps", "trips from cold after", "from warm after"), (_trip(row) for row in trips))


def _trip(row: TripRow) -> tuple[str, ...]:
    times = ("never" if one is None else figure(one, "s") for one in (row.cold_s, row.warm_s))
    return (figure(row.percent, "%"), figure(row.amps, "A"), *times)


def _assumed(basis: Iterable[Input]) -> Iterator[Block]:
    return (Line(f"{one.name}: {one.shown}", "dim", 1) for one in basis if one.source == "assumed")


def data(result: Predicted) -> dict[str, Any]:
    """The prediction for machines."""
    prediction: Prediction = result.prediction
    return {
        "set": named(result.named),
        "headline": headline(result),
        "speeds": [point._asdict() for point in prediction.points],
        "analog_inputs": [
            {**table._asdict(), "rows": [row._asdict() for row in table.rows]} for table in prediction.signals
        ],
        "times": [span._asdict() for span in prediction.spans],
        "overload": [row._asdict() for row in prediction.trips],
        "working_point": [said._asdict() for said in prediction.working],
        "starts": [said._asdict() for said in prediction.starts],
        "plate": [said._asdict() for said in prediction.plate],
        "cannot_tell": list(prediction.unknown),
        "basis": [{"name": one.name, "value": one.shown, "from": one.source} for one in prediction.basis],
    }
