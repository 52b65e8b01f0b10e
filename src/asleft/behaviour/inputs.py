"""What reaches a drive from outside: lasting inputs by index, and events that change one or happen once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any, Final, Protocol

DI: Final = 0
AI1: Final = 8
AI2: Final = 9
BUS_RUN: Final = 10
BUS_HZ: Final = 11
BUS_LOST: Final = 12
BUS_STATION: Final = 13
POWER: Final = 14
TORQUE_SAFE: Final = 15
KEYPAD: Final = 16
CAUSE: Final = 17
SHAFT: Final = 18
COUNT: Final = 19

ANALOG: Final = {1: AI1, 2: AI2}

STATION_GROUP: Final = 1
COMMAND_GROUP: Final = 2
PERMIT_GROUP: Final = 4
REFERENCE_GROUP: Final = 8
EXTERNAL_GROUP: Final = 16
RESET_GROUP: Final = 32
RAMP_GROUP: Final = 64
BUS_GROUP: Final = 128
TORQUE_GROUP: Final = 256
KEYPAD_GROUP: Final = 512
SENSOR_GROUP: Final = 1024
EVERYTHING: Final = 2047

FUNCTION_GROUP: Final = {
    "run_forward": COMMAND_GROUP,
    "run_reverse": COMMAND_GROUP,
    "run": COMMAND_GROUP,
    "direction": COMMAND_GROUP,
    "start_pulse": COMMAND_GROUP,
    "stop_pulse": COMMAND_GROUP,
    "jog_forward": COMMAND_GROUP,
    "jog_reverse": COMMAND_GROUP,
    "run_enable": PERMIT_GROUP,
    "coast": PERMIT_GROUP,
    "quick_stop": PERMIT_GROUP,
    "local_select": STATION_GROUP,
    "remote_select": STATION_GROUP,
    "fault_reset": RESET_GROUP,
    "external_fault": EXTERNAL_GROUP,
    "motor_temperature_contact": SENSOR_GROUP,
    "preset_bit_0": REFERENCE_GROUP,
    "preset_bit_1": REFERENCE_GROUP,
    "preset_bit_2": REFERENCE_GROUP,
    "reference_2": REFERENCE_GROUP,
    "raise": REFERENCE_GROUP,
    "lower": REFERENCE_GROUP,
    "ramp_set_2": RAMP_GROUP,
}
"""Input functions the simulation acts on, with the part of the evaluation they can change."""

INPUT_GROUP: Final = {
    AI1: REFERENCE_GROUP,
    AI2: REFERENCE_GROUP,
    BUS_RUN: COMMAND_GROUP,
    BUS_HZ: REFERENCE_GROUP,
    BUS_LOST: BUS_GROUP,
    BUS_STATION: STATION_GROUP,
    TORQUE_SAFE: TORQUE_GROUP,
    KEYPAD: KEYPAD_GROUP,
    CAUSE: 0,
    SHAFT: 0,
}


class Inputs(Protocol):
    """Anything that answers what a lasting input stands at."""

    def __getitem__(self, index: int, /) -> Any: ...


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happens.

    ``kind`` is "set" (input ``index`` becomes ``value``; ``old`` is what it was), "turn" (a selector: all
    its contacts together become ``value``, pairs of index and level; ``old`` likewise; ``words`` tell it),
    "key" (``value``: run, run_reverse, stop, station, reset), "keypad_hz", "up_down_hz" (raised or lowered
    until there), "bus_reset", "fault"
    (``value``: its name, its cause gone at once), or "dip" (``value``: seconds).
    """

    kind: str
    index: int = -1
    value: Any = None
    old: Any = None
    words: str = ""

    @property
    def changes(self) -> tuple[tuple[int, Any], ...]:
        """The lasting inputs that it changes, each with what it becomes."""
        if self.kind == "set":
            return ((self.index, self.value),)
        if self.kind == "turn":
            was = dict(self.old or ())
            return tuple((index, level) for index, level in self.value if was.get(index) != level)
        return ()


def put(inputs: list[Any], event: Event) -> Event:
    """Lets the inputs stand as after an event; the event with what they were before."""
    if event.kind == "set":
        event = replace(event, old=inputs[event.index])
    elif event.kind == "turn":
        event = replace(event, old=tuple((index, inputs[index]) for index, _ in event.value))
    for index, value in event.changes:
        inputs[index] = value
    return event


def idle_inputs(overrides: Sequence[tuple[int, Any]] = ()) -> list[Any]:
    """Everything open and healthy: power on, bus alive and quiet, analog signals at 0."""
    inputs: list[Any] = [0] * COUNT
    inputs[AI1] = inputs[AI2] = inputs[BUS_HZ] = Fraction(0)
    inputs[POWER] = inputs[TORQUE_SAFE] = inputs[KEYPAD] = 1
    inputs[SHAFT] = None
    for index, value in overrides:
        inputs[index] = value
    return inputs
