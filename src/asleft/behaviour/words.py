"""Events and outcomes in words. The words of an event are a scenario line, and are read back as one."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any, Final

from asleft.behaviour.config import DriveConfig
from asleft.behaviour.inputs import (
    AI1,
    AI2,
    BUS_HZ,
    BUS_LOST,
    BUS_RUN,
    BUS_STATION,
    CAUSE,
    KEYPAD,
    POWER,
    SHAFT,
    TORQUE_SAFE,
    Event,
)
from asleft.behaviour.state import Outcome

LASTING: Final[Mapping[int, Mapping[Any, str]]] = {
    BUS_RUN: {1: "bus commands forward", -1: "bus commands reverse", 0: "bus commands stop"},
    BUS_LOST: {1: "bus goes silent", 0: "bus speaks again"},
    BUS_STATION: {1: "bus selects local", 0: "bus selects remote"},
    POWER: {0: "supply goes off", 1: "supply comes back"},
    TORQUE_SAFE: {0: "safe torque off opens", 1: "safe torque off closes"},
    KEYPAD: {0: "keypad is pulled out", 1: "keypad is back"},
}
"""Inputs with few values: what is said when they take one."""

KEYS: Final = {
    "run": "keypad run pressed",
    "run_reverse": "keypad run reverse pressed",
    "stop": "keypad stop pressed",
    "station": "keypad station key pressed",
    "reset": "keypad reset pressed",
}


def plain(number: Fraction, places: int = 2) -> str:
    """A number for reading: at most ``places`` decimals, no trailing zeros."""
    text = f"{float(number):.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def hertz(number: Fraction) -> str:
    """A frequency with its unit, at least one decimal."""
    text = plain(number)
    return f"{text if '.' in text else text + '.0'} Hz"


def functions_at(c: DriveConfig, index: int) -> tuple[str, ...]:
    """The functions a terminal carries."""
    return tuple(function for function, _ in c.functions_at(index))


def contact_name(index: int, *configs: DriveConfig) -> str:
    """``remote select (DI3)``; the terminal alone where the drives disagree, or nothing is on it."""
    names = {functions_at(c, index) for c in configs} - {()}
    terminal = f"DI{index + 1}"
    if len(names) != 1:
        return terminal
    (functions,) = names
    return f"{functions[0].replace('_', ' ')} ({terminal})" if len(functions) == 1 else terminal


def event_words(event: Event, *configs: DriveConfig) -> str:
    """An event as a scenario line."""
    if event.kind == "set":
        return _lasting(event, configs)
    if event.kind == "turn":
        return event.words
    if event.kind == "key":
        return KEYS[event.value]
    if event.kind == "keypad_hz":
        return f"keypad reference = {hertz(event.value)}"
    if event.kind == "up_down_hz":
        return f"raise or lower, let go at {hertz(event.value)}"
    if event.kind == "dip":
        return f"supply dips {plain(event.value, 3)} s"
    if event.kind == "fault":
        return f"fault {event.value.replace('_', ' ')} comes and goes"
    return "bus reset"


def _lasting(event: Event, configs: tuple[DriveConfig, ...]) -> str:
    index, value = event.index, event.value
    if index < AI1:
        return f"{contact_name(index, *configs)} {'closes' if value else 'opens'}"
    if index in (AI1, AI2):
        return _analog(index - AI1 + 1, value, configs)
    if index == BUS_HZ:
        return f"bus reference = {hertz(value)}"
    if index == CAUSE:
        return f"fault {value.replace('_', ' ')} stands" if value else "fault cause is gone"
    if index == SHAFT:
        return "shaft is not found" if value == "not found" else f"shaft turns at {hertz(value)}"
    return LASTING[index][value]


def _analog(number: int, value: Fraction, configs: tuple[DriveConfig, ...]) -> str:
    units = {c.reference.channels[number].unit for c in configs if number in c.reference.channels}
    unit = units.pop() if len(units) == 1 else "mA"
    if value == 0 and unit == "mA":
        return f"wire of analog {number} breaks"
    return f"analog {number} = {plain(value, 3)} {unit}"


def sentence(text: str) -> str:
    """A line as a sentence."""
    return f"{text[0].upper()}{text[1:]}{'' if text.endswith('.') else '.'}"


def outcome_words(o: Outcome) -> str:
    """What is seen, in a few words; a coasting shaft is never said to be stopped."""
    if o.station == "no power":
        parts = ["has no power, the shaft may still be turning" if o.coasting else "has no power"]
    elif o.turning:
        parts = [f"runs {o.direction} at {hertz(o.frequency)}"]
    elif o.output:
        parts = ["stands at 0.0 Hz with its output on"]
    elif o.coasting:
        parts = ["output off, the shaft runs down by itself"]
    else:
        parts = ["is asleep and wakes by itself" if o.asleep else "stays at rest"]
    if o.cycling:
        parts.append("and goes on in an endless cycle of starts and trips")
    if o.fault:
        parts.append(f"fault {o.fault.replace('_', ' ')}")
    parts += [f"warning {w}" for w in sorted(o.warnings)]
    if o.onto_turning_shaft and o.output:
        parts.append("started onto a shaft that may still turn: may trip")
    return ", ".join(parts)
