"""Where a step starts from, and how a person gives a command: words for the sheet, lines for the model."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from typing import Final

from asleft.behaviour import Drive
from asleft.behaviour.config import Channel
from asleft.behaviour.levels import signal_at
from asleft.behaviour.words import contact_name, hertz, plain
from asleft.prove.trial import Trial, reach
from asleft.record import Asset

REMOTE: Final = 1
LOCAL: Final = 2
NAMES: Final = {REMOTE: "remote", LOCAL: "local"}


@dataclass(frozen=True, slots=True)
class Act:
    """Something a person does: in words ("close run forward (DI1)") and as lines of a scenario."""

    words: str
    lines: tuple[str, ...]

    def then(self, other: Act, joined: str = ", then ") -> Act:
        """One act after the other."""
        return Act(joined.join(filter(None, (self.words, other.words))), (*self.lines, *other.lines))


NOTHING: Final = Act("", ())


@dataclass(frozen=True, slots=True)
class Place:
    """Where a step starts: in words ("in remote, at rest") and the lines that lead there from power-up."""

    words: str
    lines: tuple[str, ...]

    def after(self, words: str, lines: Iterable[str]) -> Place:
        """The place reached from here by more lines."""
        return Place(words, (*self.lines, *lines))


class Stage:
    """One drive, and the ways a person has to bring it somewhere.

    ``stations``: those a person can choose; ``runs``: those in which a command turns the motor; ``silent``
    gives the reason for each of the others. ``asset`` is the slot, where there is one.
    """

    def __init__(self, drive: Drive, asset: Asset | None = None) -> None:
        self.drive, self.config, self.asset = drive, drive.config, asset
        self.stations = tuple(s for s in NAMES if self._selects(s) is not None)
        self.silent: dict[int, str] = {}
        for station in self.stations:
            self._look_for_run(station)
        self.runs = tuple(s for s in self.stations if s not in self.silent)

    def _look_for_run(self, station: int) -> None:
        start = self.start(station)
        if start is None:
            source = self.config.stations.command[station].replace("_", " ")
            self.silent[station] = f"nothing gives a start command there (command source: {source})"
            return
        seen = reach(self.drive, (*self.rest(station).lines, *start.lines)).outcome
        if not seen.turning:
            from asleft.behaviour import outcome_words

            self.silent[station] = f"after a start command the drive {outcome_words(seen)}"

    def machine(self, field: str) -> Decimal | None:
        """A number of the slot's machine."""
        found = self.asset.machine.get(field) if self.asset else None
        return found if isinstance(found, Decimal) else None

    @cached_property
    def main(self) -> int | None:
        """The station most steps are done in: remote where the motor runs there."""
        return self.runs[0] if self.runs else None

    def carries(self, function: str) -> bool:
        """Whether any input has this function."""
        return function in self.config.contacts

    def contact(self, function: str, acts: bool) -> Act:
        """Makes the first input with this function act, or no longer act."""
        index, inverted = self.config.contacts[function][0]
        closes = acts != inverted
        name = contact_name(index, self.config)
        return Act(
            f"{'close' if closes else 'open'} {name}", (f"DI{index + 1} {'closes' if closes else 'opens'}",)
        )

    def stood(self, function: str, acts: bool) -> str:
        """``run enable (DI4) open``."""
        index, inverted = self.config.contacts[function][0]
        return f"{contact_name(index, self.config)} {'closed' if acts != inverted else 'open'}"

    def pulse(self, function: str) -> Act:
        """Makes the first input with this function act for a moment."""
        index, inverted = self.config.contacts[function][0]
        way = "open" if inverted else "closed"
        words = f"{'open' if inverted else 'close'} {contact_name(index, self.config)} for a moment"
        return Act(words, (f"DI{index + 1} pulses {way}",))

    def name(self, function: str) -> str:
        """``run enable (DI4)``."""
        return contact_name(self.config.contacts[function][0][0], self.config)

    def _selects(self, station: int) -> Act | None:
        """Chooses a station; None where nothing here leads to it."""
        rule = self.config.stations.selection
        if rule in ("fixed_remote", "fixed_local"):
            return NOTHING if rule == f"fixed_{NAMES[station]}" else None
        if rule == "by_comms":
            return Act(f"select {NAMES[station]} over the bus", (f"bus selects {NAMES[station]}",))
        if rule == "by_keypad_key":
            return self._by_key(station)
        return self._by_contacts(station)

    def _by_key(self, station: int) -> Act | None:
        now = reach(self.drive, ()).bench.s.station
        if now == station:
            return NOTHING
        if self.config.stations.key == "disabled":
            return None
        return Act("press the station key on the keypad", ("keypad station key pressed",))

    def _by_contacts(self, station: int) -> Act | None:
        carried = [s for s in NAMES if self.carries(f"{NAMES[s]}_select")]
        if not carried:
            return NOTHING if reach(self.drive, ()).bench.s.station == station else None
        act = NOTHING
        for one in sorted(carried, key=lambda s: s == station):
            act = act.then(self.contact(f"{NAMES[one]}_select", one == station), " and ")
        return Act(act.words, ("; ".join(act.lines),))

    def select(self, station: int) -> Act:
        """Chooses a station, one of ``stations``, from the other or from rest."""
        if self.config.stations.selection == "by_keypad_key":
            return Act("press the station key on the keypad", ("keypad station key pressed",))
        act = self._selects(station) or NOTHING
        return Act(f"select {NAMES[station]}: {act.words}" if act.words else "", act.lines)

    def start(self, station: int) -> Act | None:
        """Gives a start command in a station; None where nothing can."""
        source = self.config.stations.command[station]
        reverse = self.config.command.permitted == "reverse_only"
        if source == "keypad":
            key = "run reverse" if reverse else "run"
            return Act(f"press {key.upper()} on the keypad", (f"keypad {key} pressed",))
        if source == "comms":
            way = "reverse" if reverse else "forward"
            return Act(f"command {way} over the bus", (f"bus commands {way}",))
        return self._by_wire(reverse) if source == "terminals" else None

    def _by_wire(self, reverse: bool) -> Act | None:
        if self.config.command.wiring == "three_wire":
            if not self.carries("start_pulse"):
                return None
            return self.pulse("start_pulse")
        wanted = ("run_reverse", "run") if reverse else ("run_forward", "run", "run_reverse")
        function = next((f for f in wanted if self.carries(f)), None)
        return None if function is None else self.contact(function, True)

    @property
    def standing(self) -> str:
        """The function of the contact that stands while the motor runs from the terminals; "" for none."""
        if self.config.command.wiring == "three_wire" or "terminals" not in self.config.stations.command:
            return ""
        reverse = self.config.command.permitted == "reverse_only"
        wanted = ("run_reverse", "run") if reverse else ("run_forward", "run", "run_reverse")
        return next((f for f in wanted if self.carries(f)), "")

    def stands(self, station: int) -> bool:
        """Whether the run command of a station is a contact that stays closed."""
        return self.config.stations.command[station] == "terminals" and bool(self.standing)

    def stop(self, station: int) -> Act:
        """Takes the start command of a station away."""
        source = self.config.stations.command[station]
        if source == "keypad":
            return Act("press STOP on the keypad", ("keypad stop pressed",))
        if source == "comms":
            return Act("command stop over the bus", ("bus commands stop",))
        if self.stands(station):
            return self.contact(self.standing, False)
        return self.pulse("stop_pulse")

    def can_stop(self, station: int) -> bool:
        """Whether a stop command can be given: a three-wire start without a stop contact cannot."""
        wired = self.config.stations.command[station] == "terminals"
        return not wired or self.stands(station) or self.carries("stop_pulse")

    def again(self, station: int) -> Act:
        """Gives a new start command, whatever stands."""
        start = self.start(station)
        assert start is not None
        if self.stands(station):
            opened = self.stop(station)
            return Act(f"{opened.words} and close it again", (*opened.lines, *start.lines))
        if self.config.stations.command[station] == "comms":
            return self.stop(station).then(start)
        return start

    def channels(self, station: int) -> list[int]:
        """The analog inputs that set the speed in a station."""
        names = {self.config.stations.reference[station]}
        if self.config.reference.combination != "first_only":
            names.add(self.config.reference.second)
        return [n for n in self.config.reference.channels if f"analog_{n}" in names]

    def asks(self, station: int) -> Act:
        """A usual speed for a station: the middle of its signal, or of minimum and maximum."""
        act = NOTHING
        for number in self.channels(station):
            channel = self.config.reference.channels[number]
            act = act.then(self.signal(number, at_share(channel, Fraction(1, 2))), " and ")
        source = self.config.stations.reference[station]
        if source == "pid":
            act = act.then(self.process(self.asking), " and ")
        middle = Fraction(round((self.config.limits.minimum + self.config.limits.maximum) / 2))
        if source == "keypad":
            act = act.then(Act(f"keypad speed {hertz(middle)}", (f"keypad reference = {hertz(middle)}",)))
        if source == "comms":
            act = act.then(Act(f"bus reference {hertz(middle)}", (f"bus reference = {hertz(middle)}",)))
        return act

    @property
    def hangs(self) -> bool:
        """Whether a load may hang on the shaft: a brake holds it, or the slot is a hoist."""
        named = self.asset is not None and self.asset.application.endswith("hoist")
        return self.config.brake.on or named

    def controlled(self, station: int) -> str:
        """Why nothing is told of speeds and times where a process controller sets the speed; "" elsewhere."""
        by_controller = self.config.stations.reference[station] == "pid" or self.config.sleep.controller
        why = "a process controller sets the speed, and how the process answers is not in the set"
        return why if by_controller else ""

    def input_of(self, source: str) -> int | None:
        """The analog input a set point or a measured value comes by; None where it comes another way."""
        return next((n for n in self.config.reference.channels if source == f"analog_{n}"), None)

    @property
    def wanted(self) -> Fraction:
        """The set point as a share 0…1; half where it comes by a signal, for then it is given so."""
        by_signal = self.input_of(self.config.sleep.setpoint_source) is not None
        return Fraction(1, 2) if by_signal else self.config.sleep.setpoint

    @property
    def asking(self) -> Fraction:
        """A measured value, as a share 0…1, at which the controller asks for more speed."""
        return self.wanted / 2 if self.config.sleep.raises else (self.wanted + 1) / 2

    @property
    def enough(self) -> Fraction:
        """A measured value, as a share 0…1, at which the controller asks for less speed."""
        return (self.wanted + 1) / 2 if self.config.sleep.raises else self.wanted / 2

    def process(self, value: Fraction) -> Act:
        """A set point where a signal gives it, and a measured value as a share 0…1 of its span."""
        point = self.input_of(self.config.sleep.setpoint_source)
        half = NOTHING if point is None else self._share(point, Fraction(1, 2), "set point")
        return half.then(self.measured(value), " and ")

    def measured(self, value: Fraction) -> Act:
        """A measured value as a share 0…1 of its span; nothing where no analog input gives it."""
        number = self.input_of(self.config.sleep.feedback)
        return NOTHING if number is None else self._share(number, value, "measured value")

    def _share(self, number: int, value: Fraction, of: str) -> Act:
        signal = Fraction(round(signal_at(self.config.reference.channels[number], value) * 100), 100)
        act = self.signal(number, signal)
        return Act(f"{act.words} as {of}", act.lines)

    def signal(self, number: int, value: Fraction) -> Act:
        """A signal on an analog input: ``12 mA on analog 1``."""
        text = f"{plain(value, 3)} {self.config.reference.channels[number].unit}"
        return Act(f"{text} on analog {number}", (f"analog {number} = {text}",))

    def rest(self, station: int, enabled: bool = True) -> Place:
        """At rest in a station, everything given but the command."""
        lines = list((self._selects(station) or NOTHING).lines)
        if enabled and self.carries("run_enable"):
            lines += self.contact("run_enable", True).lines
        asked = self.asks(station)
        words = f"in {NAMES[station]}, at rest"
        return Place(words + (f", {asked.words}" if asked.words else ""), (*lines, *asked.lines))

    def running(self, station: int) -> Place:
        """Running in a station, one of ``runs``."""
        rest, start = self.rest(station), self.start(station)
        assert start is not None
        lines = (*rest.lines, *start.lines)
        speed = hertz(self.at(Place("", lines)).outcome.frequency)
        asked = self.asks(station).words
        words = f"in {NAMES[station]}, running at {speed}" + (f" ({asked})" if asked else "")
        return Place(words, lines)

    def stops(self, lines: tuple[str, ...], stop: Act) -> tuple[str, Fraction | None]:
        """How a stop from a place goes (a word of the narration), and the seconds until the output is off."""
        trial = reach(self.drive, lines)
        for line in stop.lines:
            trial.act(line)
        seconds = trial.until(lambda seen: not seen.output)
        return trial.settle(), seconds

    def at(self, place: Place) -> Trial:
        """The drive brought to a place."""
        return reach(self.drive, place.lines)


def at_share(channel: Channel, share: Fraction) -> Fraction:
    """The signal at a share 0…1 of a channel's span."""
    return channel.low + share * (channel.high - channel.low)
