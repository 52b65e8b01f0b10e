"""One evaluation of the drive, in the order of the rules; and what happens when an inner time is over."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Final

from asleft.behaviour import faults, losses, power, resets
from asleft.behaviour.command import (
    change_station,
    decide,
    press,
    station_now,
    update_command,
    update_permits,
)
from asleft.behaviour.config import DriveConfig
from asleft.behaviour.inputs import (
    AI1,
    BUS_GROUP,
    CAUSE,
    COMMAND_GROUP,
    EVERYTHING,
    EXTERNAL_GROUP,
    FUNCTION_GROUP,
    INPUT_GROUP,
    KEYPAD_GROUP,
    PERMIT_GROUP,
    POWER,
    RAMP_GROUP,
    REFERENCE_GROUP,
    RESET_GROUP,
    SENSOR_GROUP,
    STATION_GROUP,
    TORQUE_GROUP,
    Event,
    Inputs,
)
from asleft.behaviour.reference import demand, feedback
from asleft.behaviour.relays import update_relays
from asleft.behaviour.state import (
    PARKED_SLEEP,
    Bench,
    State,
)
from asleft.behaviour.stopgo import (
    retarget,
)

NO_EDGES: Final[frozenset[str]] = frozenset()


def first_state(c: DriveConfig, x: Inputs) -> State:
    """A drive that has just been powered up at rest: a standing signal is treated as at a power return."""
    count = len(c.outputs.relays)
    s = State(relays=(False,) * count, relay_left=(None,) * count, kp_hz=c.reference.keypad_hz)
    s.ud_hz = c.limits.minimum
    d = Bench(c, s, x)
    power.power_on(d)
    scan(d, EVERYTHING & ~STATION_GROUP)
    return s


def apply(d: Bench, event: Event) -> None:
    """Something happened outside; ``d.x`` already holds the new value of a lasting input."""
    d.s.cycling = False
    if event.kind == "set":
        d.changed = {event.index: event.old}
        _input_changed(d, event.index)
        d.changed = None
    elif event.kind == "turn":
        d.changed = dict(event.old)
        if d.s.powered:
            _contacts_changed(d, [index for index, _ in event.changes])
        d.changed = None
    elif not d.s.powered:
        return
    elif event.kind == "key":
        _key(d, event.value)
    elif event.kind in ("keypad_hz", "up_down_hz"):
        _ask(d, event)
    elif event.kind == "bus_reset":
        resets.reset(d, "comms")
        scan(d, 0)
    elif event.kind == "fault":
        faults.internal_fault(d, event.value)
        scan(d, 0)
    elif event.kind == "dip":
        power.dip(d, event.value)
        scan(d, 0)


def _ask(d: Bench, event: Event) -> None:
    if event.kind == "keypad_hz":
        d.s.kp_hz = event.value
    else:
        d.s.ud_hz = event.value
    scan(d, REFERENCE_GROUP)


def _key(d: Bench, key: str) -> None:
    if key == "reset":
        resets.reset(d, "keypad")
        scan(d, REFERENCE_GROUP)
        return
    station = d.s.station
    press(d, key)
    changed = REFERENCE_GROUP | PERMIT_GROUP if d.s.station != station else 0
    scan(d, changed)


def _input_changed(d: Bench, index: int) -> None:
    s = d.s
    if index == POWER:
        _supply(d)
    elif not s.powered:
        return
    elif index < AI1:
        _contacts_changed(d, [index])
    elif index == CAUSE and d.x[CAUSE]:
        faults.internal_fault(d, d.x[CAUSE])
        scan(d, 0)
    else:
        scan(d, INPUT_GROUP[index])


def _supply(d: Bench) -> None:
    on = bool(d.x[POWER])
    if on == d.s.powered:
        return
    if on:
        power.power_on(d)
        scan(d, EVERYTHING & ~(STATION_GROUP | COMMAND_GROUP))
    else:
        power.power_off(d)


def _contacts_changed(d: Bench, indexes: Sequence[int]) -> None:
    s, wait = d.s, d.c.filter_s
    new = tuple(indexes)
    if s.pend:
        new = tuple(i for i in indexes if not any(i in moved for moved, _ in s.pend))
        still = [(tuple(i for i in moved if i not in indexes), left) for moved, left in s.pend]
        s.pend = tuple(p for p in still if p[0])
    if not new:
        return
    if wait:
        s.pend = (*s.pend, (new, wait))
    else:
        contacts_seen(d, new)


def contacts_seen(d: Bench, indexes: Collection[int]) -> None:
    """The change of one contact, or of several at the same instant, has passed the filter."""
    edges, dirty = set(), 0
    for index in indexes:
        for function, inverted in d.c.functions_at(index):
            dirty |= FUNCTION_GROUP.get(function, 0)
            if bool(d.x[index]) != inverted:
                edges.add(function)
    scan(d, dirty, frozenset(edges))


def scan(d: Bench, dirty: int, edges: frozenset[str] = NO_EDGES) -> None:
    """One evaluation. ``dirty`` says which parts can have changed; all parts give the same, more slowly."""
    s = d.s
    if not s.powered:
        return
    if dirty & STATION_GROUP:
        new = station_now(d)
        if new != s.station:
            change_station(d, new)
            dirty |= REFERENCE_GROUP | BUS_GROUP
    if dirty & COMMAND_GROUP:
        update_command(d, edges)
    if dirty & PERMIT_GROUP:
        update_permits(d)
    _watch(d, dirty, edges)
    if dirty & RAMP_GROUP:
        s.set_two = d.c.ramps.select == "by_input" and d.on("ramp_set_2")
    if dirty & REFERENCE_GROUP:
        _reference_changed(d)
    decide(d)
    s.first = s.first if d.c.command.both_directions == "keep_first" else 0
    update_relays(d.c, s)


def _watch(d: Bench, dirty: int, edges: frozenset[str]) -> None:
    """Safe torque off, the external fault, the bus, the keypad, and a reset by input."""
    if dirty & TORQUE_GROUP:
        faults.torque_changed(d)
    if dirty & EXTERNAL_GROUP:
        faults.external(d)
    if dirty & SENSOR_GROUP and d.carried("motor_temperature_contact"):
        faults.sensor_changed(d)
    if dirty & BUS_GROUP:
        losses.bus_changed(d)
    if dirty & KEYPAD_GROUP:
        losses.keypad_changed(d)
    if dirty & RESET_GROUP and "fault_reset" in edges:
        resets.reset(d, "input")


def _reference_changed(d: Bench) -> None:
    s = d.s
    if d.carried("raise") or d.carried("lower"):
        s.ud_move = int(d.on("raise")) - int(d.on("lower"))
        if s.ud_move and _at_up_down_end(d):
            s.ud_move = 0
    losses.channel_losses(d)
    losses.remember_reference(d)
    retarget(d)
    wake_watch(d)


def _at_up_down_end(d: Bench) -> bool:
    limits, s = d.c.limits, d.s
    return s.ud_hz >= limits.maximum if s.ud_move > 0 else s.ud_hz <= limits.minimum


def wake_watch(d: Bench) -> None:
    """Starts or stops the wake delay of a sleeping drive."""
    s, k = d.s, d.c.sleep
    if s.park != PARKED_SLEEP:
        s.t_wake = None
        return
    value = feedback(d) if k.controller else None
    if value is None:
        wakes = not _demand_sleeps(d)
    else:
        wakes = value < k.wake_level if k.wake_below else value > k.wake_level
    if not wakes:
        s.t_wake = None
    elif s.t_wake is None:
        s.t_wake = k.wake_delay


def _demand_sleeps(d: Bench) -> bool:
    hz = demand(d)[0]
    return hz is None or hz <= d.c.sleep.sleep_hz
