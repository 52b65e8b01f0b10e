"""What a prediction holds. Numbers are rounded to what their inputs allow; None: cannot be told."""

from __future__ import annotations

from typing import NamedTuple

from asleft.explain.facts import Input


class Point(NamedTuple):
    """One speed the drive may be asked for.

    ``hz`` is what it runs at, ``wanted_hz`` what was set; they differ where ``note`` says why.
    """

    name: str
    wanted_hz: float
    hz: float
    rpm: float | None
    machine: float | None
    machine_unit: str
    note: str


class SignalRow(NamedTuple):
    """One signal at an analog input and the speed it gives; ``signal`` None: the wire is broken."""

    percent: float | None
    signal: float | None
    hz: float | None
    rpm: float | None
    machine: float | None
    note: str


class SignalTable(NamedTuple):
    """What one analog input gives."""

    number: int
    unit: str
    serves: str
    machine_unit: str
    rows: tuple[SignalRow, ...]


class Span(NamedTuple):
    """A start or a stop between two frequencies: seconds, and how far the machine goes."""

    name: str
    from_hz: float
    to_hz: float
    seconds: float | None
    way: float | None
    way_unit: str
    note: str


class TripRow(NamedTuple):
    """Seconds to the overload trip at a load in percent of the plate; None: it never trips."""

    percent: float
    amps: float
    cold_s: float | None
    warm_s: float | None


class Said(NamedTuple):
    """A line about one subject; ``estimate`` where it rests on a law the machine follows only nearly."""

    subject: str
    words: str
    value: float | None = None
    unit: str = ""
    estimate: bool = False


class Prediction(NamedTuple):
    """All that can be said of a set in its slot before the machine has run.

    ``unknown`` holds what cannot be told and why, ``basis`` every value it rests on.
    """

    points: tuple[Point, ...]
    signals: tuple[SignalTable, ...]
    spans: tuple[Span, ...]
    trips: tuple[TripRow, ...]
    working: tuple[Said, ...]
    starts: tuple[Said, ...]
    plate: tuple[Said, ...]
    unknown: tuple[str, ...] = ()
    basis: tuple[Input, ...] = ()
