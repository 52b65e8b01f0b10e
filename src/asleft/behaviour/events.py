"""Which events a comparison tries, and which values each input takes: what either drive can notice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise, permutations
from typing import Any, Final

from asleft.behaviour.config import DriveConfig
from asleft.behaviour.drive import Drive
from asleft.behaviour.inputs import (
    ANALOG,
    BUS_HZ,
    BUS_LOST,
    BUS_RUN,
    BUS_STATION,
    COUNT,
    KEYPAD,
    POWER,
    TORQUE_SAFE,
    Event,
    idle_inputs,
)
from asleft.behaviour.levels import Bands, analog_levels, asked_speeds
from asleft.record import Selector

FUNCTIONS_WITHOUT_EFFECT: Final = frozenset(
    {"motor_set_2", "dc_brake", "setting_lock", "smoke_extract_run", "brake_feedback", "pid_off"}
)


@dataclass(frozen=True, slots=True)
class Alphabet:
    """Events in their fixed order; the levels of every input; the vector everything starts from."""

    events: tuple[Event, ...]
    levels: tuple[tuple[Any, ...], ...]
    start: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What to try beyond what tells the drives apart.

    ``bands``: speeds in Hz the motor might come to rest at; then every stretch of a signal is tried, even
    where all drives make the same of it. ``torque``: safe torque off; ``keypad_speed``: the highest and the
    lowest speed set on the keypad.
    """

    bands: Bands | None = None
    torque: bool = False
    keypad_speed: bool = False


def alphabet(drives: Sequence[Drive], wanted: Wanted | None = None) -> Alphabet:
    """What to try on these drives together: contacts, signals, keys, bus, supply, faults, in that order."""
    wanted = wanted or Wanted()
    configs = [d.config for d in drives]
    ready = [d.ready() for d in drives]
    idle = [ready[0][i] if all(r[i] == ready[0][i] for r in ready) else 0 for i in range(COUNT)]
    levels: list[tuple[Any, ...]] = [(value,) for value in idle_inputs()]
    for index in _contacts(configs):
        levels[index] = (0, 1)
    for number, index in ANALOG.items():
        channels = [c.reference.channels[number] for c in configs if number in c.reference.channels]
        if channels and any(_uses_analog(c, number) for c in configs):
            levels[index] = analog_levels(number, configs, wanted.bands)
    levels[POWER] = (1, 0)
    speeds = asked_speeds(configs, wanted.bands or ())
    _bus(configs, levels, speeds)
    if any(c.loss.keypad_reaction != "ignore" for c in configs):
        levels[KEYPAD] = (1, 0)
    if wanted.torque or _torque_differs(configs):
        levels[TORQUE_SAFE] = (1, 0)
    events = [
        Event("set", i, new, old)
        for i in range(COUNT)
        for new in range(len(levels[i]))
        for old in range(len(levels[i]))
        if new != old
    ]
    events = [*_turns(drives, levels), *events, *_once(configs, wanted, speeds)]
    start = [_position(levels[i], idle[i]) for i in range(COUNT)]
    for number, index in ANALOG.items():
        start[index] = _middle(levels[index], number, configs)
    return Alphabet(tuple(events), tuple(levels), tuple(start))


def vector_after(vector: tuple[int, ...], event: Event) -> tuple[int, ...] | None:
    """The positions of all inputs after an event of the alphabet; None where it cannot happen there."""
    if event.kind == "set":
        if vector[event.index] != event.old:
            return None
        return (*vector[: event.index], event.value, *vector[event.index + 1 :])
    if event.kind != "turn":
        return vector
    if any(vector[index] != level for index, level in event.old):
        return None
    turned = dict(event.value)
    return tuple(turned.get(index, level) for index, level in enumerate(vector))


def closed_in(selector: Selector) -> dict[str, set[int]]:
    """Position -> the input indexes it closes."""
    return {
        name: {int(contact.removeprefix("di_")) - 1 for contact in closed}
        for name, closed in selector.positions
    }


def _turns(drives: Sequence[Drive], levels: Sequence[tuple[Any, ...]]) -> list[Event]:
    """Each selector from each position to each other one that moves more than one contact in use."""
    events = []
    for selector in dict.fromkeys(s for d in drives for s in d.selectors):
        places = closed_in(selector)
        used = [i for i in sorted(set().union(*places.values())) if len(levels[i]) > 1]
        for (_, before), (name, after) in permutations(places.items(), 2):
            turn = Event(
                "turn",
                value=tuple((i, int(i in after)) for i in used),
                old=tuple((i, int(i in before)) for i in used),
                words=f"selector {selector.name} turns to {name}",
            )
            if len(turn.changes) > 1:
                events.append(turn)
    return events


def _middle(levels: tuple[Any, ...], number: int, configs: Sequence[DriveConfig]) -> int:
    """The signal nearest to the middle of its span: a healthy one that runs the motor."""
    channels = [c.reference.channels[number] for c in configs if number in c.reference.channels]
    if not channels:
        return 0
    middle = (channels[0].low + channels[0].high) / 2
    return min(range(len(levels)), key=lambda n: abs(levels[n] - middle))


def lasting(alphabet: Alphabet, event: Event) -> Event:
    """An event of the alphabet with the value itself in place of its position."""
    if event.kind != "set":
        return event
    values = alphabet.levels[event.index]
    return Event("set", event.index, values[event.value], values[event.old])


def _position(levels: tuple[Any, ...], value: Any) -> int:
    return levels.index(value) if value in levels else 0


def _contacts(configs: Sequence[DriveConfig]) -> list[int]:
    used = {
        index
        for c in configs
        for function, terminals in c.contacts.items()
        if function not in FUNCTIONS_WITHOUT_EFFECT
        for index, _ in terminals
    }
    return sorted(used)


def source_names(c: DriveConfig) -> set[str]:
    """Every reference source a drive can come to use."""
    names = set(_stations_of(c, c.stations.reference))
    if c.reference.combination != "first_only":
        names.add(c.reference.second)
    if c.sleep.controller or "pid" in names:
        names |= {c.sleep.feedback, c.sleep.setpoint_source}
    return names


def command_names(c: DriveConfig) -> set[str]:
    """Every command source a drive can come to use."""
    return set(_stations_of(c, c.stations.command))


def _stations_of(c: DriveConfig, sources: tuple[str, str, str, str]) -> tuple[str, ...]:
    fixed = {"fixed_remote": (1,), "fixed_local": (2,)}.get(c.stations.selection, (1, 2))
    return tuple(sources[i] for i in fixed)


def _uses_analog(c: DriveConfig, number: int) -> bool:
    watched = (
        c.loss.watched_always and c.reference.channels[number].live_zero
        if number in c.reference.channels
        else False
    )
    return f"analog_{number}" in source_names(c) or watched


def _bus(configs: Sequence[DriveConfig], levels: list[tuple[Any, ...]], speeds: Sequence[Fraction]) -> None:
    command = any("comms" in command_names(c) for c in configs)
    reference = any("comms" in source_names(c) for c in configs)
    if command:
        levels[BUS_RUN] = (0, 1, -1)
    if reference:
        top = max(c.limits.maximum for c in configs)
        levels[BUS_HZ] = tuple(sorted({Fraction(0), top / 2, top, *speeds}))
    if command or reference:
        levels[BUS_LOST] = (0, 1)
    if any(c.stations.selection == "by_comms" for c in configs):
        levels[BUS_STATION] = (0, 1)


def _torque_differs(configs: Sequence[DriveConfig]) -> bool:
    return len({(c.faults.sto_resumes, c.faults.sto_shown) for c in configs}) > 1


def _once(configs: Sequence[DriveConfig], wanted: Wanted, speeds: Sequence[Fraction]) -> list[Event]:
    keypad = any("keypad" in command_names(c) for c in configs)
    keys = ["run"] if keypad else []
    if keypad and len({c.command.permitted for c in configs}) > 1:
        keys.append("run_reverse")
    if keypad or any(c.command.stop_key_always for c in configs):
        keys.append("stop")
    if any(c.stations.selection == "by_keypad_key" for c in configs):
        keys.append("station")
    if any(c.faults.reset_source in ("any", "keypad") for c in configs):
        keys.append("reset")
    events = [Event("key", value=key) for key in keys]
    if any("keypad" in source_names(c) for c in configs):
        top = max(c.limits.maximum for c in configs)
        differ = len({c.limits for c in configs}) > 1
        ends = [top, Fraction(0)] if wanted.keypad_speed else [top] if differ else []
        events += [Event("keypad_hz", value=hz) for hz in dict.fromkeys([*ends, *speeds])]
    if wanted.bands and any("up_down" in source_names(c) for c in configs):
        events += [Event("up_down_hz", value=hz) for hz in speeds if all(_raised_to(c, hz) for c in configs)]
    events += [Event("fault", value=name) for name in _faults(configs)]
    return events + [Event("dip", value=seconds) for seconds in _dips(configs)]


def _raised_to(c: DriveConfig, hz: Fraction) -> bool:
    """Whether raise or lower can leave the speed there."""
    return bool({"raise", "lower"} & set(c.contacts)) and c.limits.minimum <= hz <= c.limits.maximum


def _faults(configs: Sequence[DriveConfig]) -> list[str]:
    """Overcurrent, and those inner faults that the drives treat differently."""
    inner = ("overcurrent", "overvoltage", "undervoltage", "overload", "overtemperature")
    names = ["overcurrent"]
    for name in inner[1:]:
        treated = {(name in c.faults.retried and c.faults.attempts > 0, c.faults.overload) for c in configs}
        if len(treated) > 1 and len({name in c.faults.retried for c in configs}) > 1:
            names.append(name)
    if len({c.faults.overload for c in configs}) > 1 and "overload" not in names:
        names.append("overload")
    return names


def _dips(configs: Sequence[DriveConfig]) -> list[Fraction]:
    limits = sorted({c.power.dip_longest for c in configs})
    return [limits[0] / 2, *((a + b) / 2 for a, b in pairwise(limits)), limits[-1] * 2]
