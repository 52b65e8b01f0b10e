"""A drive as an executable model, and one run of it with inputs that change in time."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from asleft.behaviour.clock import advance, next_time, settle
from asleft.behaviour.config import DriveConfig
from asleft.behaviour.inputs import ANALOG, Event, idle_inputs, put
from asleft.behaviour.resolve import resolve
from asleft.behaviour.scan import apply, first_state
from asleft.behaviour.settings import Settings
from asleft.behaviour.state import Bench, Outcome, outcome_of
from asleft.record import Selector, Value


@dataclass(frozen=True, eq=False)
class Drive:
    """One set on one model. ``values``: neutral keys; ``options``: the model's behaviour options;
    ``selectors``: switches wired to it whose contacts move together.

    Raises UnknownOption or SettingFault where either cannot be understood.
    """

    values: Mapping[str, Value]
    options: Mapping[str, str]
    not_read: frozenset[str]
    config: DriveConfig
    settings: Settings
    selectors: tuple[Selector, ...] = ()

    @staticmethod
    def of(
        values: Mapping[str, Value],
        options: Mapping[str, str] | None = None,
        not_read: Collection[str] = (),
        selectors: tuple[Selector, ...] = (),
    ) -> Drive:
        settings, options = Settings(values, options or {}, not_read), dict(options or {})
        return Drive(dict(values), options, frozenset(not_read), resolve(settings), settings, selectors)

    def with_values(self, values: Mapping[str, Value], options: Mapping[str, str] | None = None) -> Drive:
        """The same drive in the same place with other values, and other options where they are given."""
        chosen = self.options if options is None else options
        return Drive.of(values, chosen, self.not_read, self.selectors)

    def idle(self) -> list[Any]:
        """Every contact inactive (open, or closed where it acts when open), signals at their low end."""
        inputs = idle_inputs()
        for number, channel in self.config.reference.channels.items():
            inputs[ANALOG[number]] = channel.low
        for terminals in self.config.contacts.values():
            for index, inverted in terminals:
                inputs[index] = int(inverted)
        return inputs

    def ready(self) -> list[Any]:
        """As idle, but with the run enable given and remote selected: one command away from running."""
        inputs = self.idle()
        for function in ("run_enable", "remote_select"):
            for index, inverted in self.config.contacts.get(function, ()):
                inputs[index] = int(not inverted)
        return inputs


@dataclass(frozen=True, slots=True)
class Point:
    """The output at an instant: seconds from the start, signed Hz."""

    at: Fraction
    hz: Fraction


class Run:
    """One drive running: events change it, time passes exactly, and the curve is kept.

    Between two points of ``curve`` the output moves in a straight line (an S-curve has its points at its
    corners and where it was looked at). Two points at the same time are a jump.
    """

    def __init__(self, drive: Drive, inputs: list[Any] | None = None) -> None:
        self.drive = drive
        self.inputs = drive.idle() if inputs is None else inputs
        self.at = Fraction(0)
        self._bench = Bench(drive.config, first_state(drive.config, self.inputs), self.inputs)
        self.curve: list[Point] = [Point(self.at, Fraction(0))]
        settle(self._bench)

    @property
    def outcome(self) -> Outcome:
        """What can be seen now."""
        return outcome_of(self.drive.config, self._bench.s)

    @property
    def station(self) -> int:
        """The station in charge: 0 off, 1 remote, 2 local, 3 both selected."""
        return self._bench.s.station

    def do(self, event: Event) -> None:
        """Lets one event happen now."""
        apply(self._bench, put(self.inputs, event))
        self._mark(self.at)

    def wait(self, seconds: Fraction) -> None:
        """Lets time pass."""
        start = self.at
        advance(self._bench, seconds, lambda d, gone: self._mark(start + gone))
        self.at = start + seconds
        self._mark(self.at)

    def settle(self) -> Fraction:
        """Runs until nothing is pending; returns the seconds it took."""
        start = self.at
        gone = settle(self._bench, lambda d, gone: self._mark(start + gone))
        self.at = start + gone
        return gone

    def next_event(self) -> Fraction | None:
        """Seconds to the next inner event; None when settled."""
        return next_time(self._bench)

    def _mark(self, at: Fraction) -> None:
        point = Point(at, self._bench.s.f)
        if self.curve[-1] != point:
            self.curve.append(point)
