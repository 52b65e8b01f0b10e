"""One drive on the bench: lines of a scenario carried out one by one, then one thing measured."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import Any, Final, Literal

from asleft.behaviour import Drive, Event, Outcome
from asleft.behaviour.clock import advance, next_time, settle
from asleft.behaviour.inputs import put
from asleft.behaviour.narrate import end_words, is_start
from asleft.behaviour.scan import apply, first_state
from asleft.behaviour.scenario import read_event
from asleft.behaviour.state import LIFT, Bench, outcome_of, output_on

Measure = Literal[
    "hz", "reach", "off", "on", "fault", "outcome", "contact", "contact time", "analog out",
    "brake", "lift time", "lift hz", "lift delay", "close time", "close hz",
]  # fmt: skip

OUTPUT_OFF: Final = "wait until the output is off"
BRAKE_LIFTS: Final = "wait until the brake lifts"
BRAKE_CLOSES: Final = "wait until the brake closes"
WAITS: Final[dict[str, Callable[[Outcome], bool]]] = {
    OUTPUT_OFF: lambda seen: not seen.output,
    BRAKE_LIFTS: lambda seen: seen.brake_lifted,
    BRAKE_CLOSES: lambda seen: not seen.brake_lifted,
}
"""Lines of a recipe: what follows is done or measured from that moment, not when all is settled."""

PULSE: Final = re.compile(r"DI([1-8]) pulses (closed|open)")
"""A contact pressed and let go, as a line of a recipe."""

PRESSED_S: Final = Fraction(1, 5)
"""How long a person presses."""

MOST_EVENTS: Final = 400


@dataclass(frozen=True, slots=True)
class Recipe:
    """What is done, as scenario lines, and what is measured after the last of them.

    ``before`` leads to where the step starts; ``of`` names the relay or input that is looked at.
    """

    before: tuple[str, ...]
    acts: tuple[str, ...]
    measure: Measure
    of: str = ""


@dataclass(frozen=True, slots=True)
class Seen:
    """What was measured: a number in ``unit`` where there is one, and what the drive did, in words.

    ``turned``: the shaft was driven on the way; ``by_itself``: it started without being told to.
    """

    value: Fraction | None
    unit: str
    words: str
    turned: bool = False
    by_itself: bool = False


class Trial:
    """A drive with inputs that change; after each line everything settles, the shaft too."""

    def __init__(self, drive: Drive, inputs: Sequence[Any]) -> None:
        self.drive, self.inputs = drive, list(inputs)
        self.bench = Bench(drive.config, first_state(drive.config, self.inputs), self.inputs)
        self.was = self.outcome
        self.commanded = self.turned = False
        self.lead = Fraction(0)
        self._outputs: list[bool] = []
        self.settle()

    @property
    def outcome(self) -> Outcome:
        """What can be seen now."""
        return outcome_of(self.drive.config, self.bench.s)

    def act(self, line: str) -> None:
        """One line happens now, parts joined by "; " at once, and nothing settles yet.

        Raises ScenarioFault or CannotBeShown.
        """
        pulse = PULSE.fullmatch(line)
        lines = (
            [f"DI{pulse[1]} {'closes' if pulse[2] == 'closed' else 'opens'}"] if pulse else line.split("; ")
        )
        events = [read_event(self.drive, part) for part in lines]
        self.was = self.outcome
        self.commanded = any(is_start(event, (self.drive.config,)) for event in events)
        self.lead = PRESSED_S if pulse else Fraction(0)
        self.bench.s.halt = ""
        self._outputs = [output_on(self.bench.s)]
        for event in events:
            self._apply(event)
        if pulse:
            advance(self.bench, PRESSED_S, lambda bench, gone: self._look())
            self._apply(replace(events[0], value=1 - events[0].value))

    def _apply(self, event: Event) -> None:
        apply(self.bench, put(self.inputs, event))
        self._look()

    def settle(self) -> str:
        """Runs until nothing is pending; returns how it came about, in a word the narration knows."""
        settle(self.bench, lambda bench, gone: self._look())
        self._look()
        s = self.bench.s
        how = s.halt
        if output_on(s):
            how = "onto a turning shaft" if s.risk else "restarts" if self._restarted else ""
        elif self._restarted:
            how = "starts in between"
        s.coasting = s.risk = False
        return how

    def until(self, reached: Callable[[Outcome], bool]) -> Fraction | None:
        """Seconds from the last line until something is seen; None where all settles without it."""
        gone = self.lead
        for _ in range(MOST_EVENTS):
            if reached(self.outcome):
                return gone
            wait = next_time(self.bench)
            if wait is None:
                return None
            advance(self.bench, wait)
            self._look()
            gone += wait
        return None

    def until_steady(self) -> Fraction:
        """Seconds from the last line until the speed last changed; everything is settled then."""
        gone = last = self.lead
        for _ in range(MOST_EVENTS):
            wait, speed = next_time(self.bench), self.bench.s.f
            if wait is None:
                break
            advance(self.bench, wait)
            self._look()
            gone += wait
            last = gone if self.bench.s.f != speed else last
        return last

    @property
    def _restarted(self) -> bool:
        seen = self._outputs
        if self.commanded and True in seen:
            seen = seen[seen.index(True) :]
        return any(a and not b for a, b in pairwise(seen)) and True in seen[seen.index(False) :]

    def _look(self) -> None:
        on = output_on(self.bench.s)
        self.turned = self.turned or on
        self._outputs.append(on)


def reach(drive: Drive, lines: Sequence[str], inputs: Sequence[Any] | None = None) -> Trial:
    """The drive after lines, each settled."""
    trial = Trial(drive, drive.idle() if inputs is None else inputs)
    for line in lines:
        trial.act(line)
        trial.settle()
    return trial


def carry_out(drive: Drive, recipe: Recipe, inputs: Sequence[Any]) -> Seen:
    """Does a recipe on a drive that starts with ``inputs``. Raises CannotBeShown."""
    trial = reach(drive, recipe.before, inputs)
    trial.turned = trial.outcome.output
    for line, following in pairwise((*recipe.acts, "")):
        if line in WAITS:
            trial.until(WAITS[line])
            trial.lead = Fraction(0)
            continue
        trial.act(line)
        if following and following not in WAITS:
            trial.settle()
    return _MEASURES[recipe.measure](trial, recipe.of)


def _seen(trial: Trial, value: Fraction | None, unit: str) -> Seen:
    how = trial.settle()
    end = trial.outcome
    words = end_words(end, how, trial.was, trial.commanded)
    if trial.was.fault and not end.fault and not end.turning:
        words += ", the fault is cleared"
    if end.asleep:
        stays = trial.was.asleep and not trial.turned
        words = "stays asleep" if stays else f"{words.partition(', asleep')[0]}, asleep: it wakes by itself"
    by_itself = not trial.commanded and (
        (end.turning and not trial.was.output) or how in ("restarts", "starts in between")
    )
    return Seen(value, unit, words, trial.turned, by_itself)


def _hz(trial: Trial, of: str) -> Seen:
    seen = _seen(trial, None, "Hz")
    return replace(seen, value=trial.outcome.frequency)


def _reach_time(trial: Trial, of: str) -> Seen:
    gone = trial.until_steady()
    return _seen(trial, gone if trial.outcome.turning else None, "s")


def _until(reached: Callable[[Outcome], bool]) -> Callable[[Trial, str], Seen]:
    def measure(trial: Trial, of: str) -> Seen:
        return _seen(trial, trial.until(reached), "s")

    return measure


def _trip_time(trial: Trial, of: str) -> Seen:
    seen = _seen(trial, trial.until(lambda seen: bool(seen.fault)), "s")
    fault = trial.outcome.fault
    return replace(seen, words=f"trips: fault {fault.replace('_', ' ')}") if fault else seen


def _outcome(trial: Trial, of: str) -> Seen:
    return _seen(trial, None, "")


def _contact(trial: Trial, of: str) -> Seen:
    seen = _seen(trial, None, "")
    return replace(seen, words="energised" if trial.outcome.contacts[of] else "released")


def _contact_time(trial: Trial, of: str) -> Seen:
    before = trial.outcome.contacts[of]
    return _seen(trial, trial.until(lambda seen: seen.contacts[of] != before), "s")


def _brake(trial: Trial, of: str) -> Seen:
    seen = _seen(trial, None, "")
    return replace(seen, words="lifted" if trial.outcome.brake_lifted else "closed")


def _lift_delay(trial: Trial, of: str) -> Seen:
    return _seen(trial, trial.until(lambda seen: trial.bench.s.phase != LIFT), "s")


def _brake_time(line: str, does: str) -> Callable[[Trial, str], Seen]:
    def measure(trial: Trial, of: str) -> Seen:
        return _of_brake(trial, trial.until(WAITS[line]), "s", does)

    return measure


def _lift_hz(trial: Trial, of: str) -> Seen:
    moment = trial.until(WAITS[BRAKE_LIFTS])
    return _of_brake(trial, None if moment is None else trial.outcome.frequency, "Hz", "lifts")


def _close_hz(trial: Trial, of: str) -> Seen:
    """Where nothing is held while it closes, the output is off by then: it closed at its frequency."""
    moment, seen = trial.until(WAITS[BRAKE_CLOSES]), trial.outcome
    at = seen.frequency if seen.output else min(trial.drive.config.brake.apply_hz, trial.was.frequency)
    return _of_brake(trial, None if moment is None else at, "Hz", "closes")


def _of_brake(trial: Trial, value: Fraction | None, unit: str, does: str) -> Seen:
    seen = _seen(trial, value, unit)
    return replace(seen, words=f"the brake {does}" if value is not None else f"no brake {does}: {seen.words}")


def _analog_out(trial: Trial, of: str) -> Seen:
    from asleft.prove.analog_out import signal

    seen = _seen(trial, None, "mA")
    value, unit = signal(trial.drive.values, trial.outcome.frequency)
    return replace(seen, value=value, unit=unit)


_MEASURES: Final[dict[Measure, Callable[[Trial, str], Seen]]] = {
    "hz": _hz,
    "reach": _reach_time,
    "off": _until(lambda seen: not seen.output),
    "on": _until(lambda seen: seen.output),
    "fault": _trip_time,
    "outcome": _outcome,
    "contact": _contact,
    "contact time": _contact_time,
    "analog out": _analog_out,
    "brake": _brake,
    "lift time": _brake_time(BRAKE_LIFTS, "lifts"),
    "lift hz": _lift_hz,
    "lift delay": _lift_delay,
    "close time": _brake_time(BRAKE_CLOSES, "closes"),
    "close hz": _close_hz,
}
