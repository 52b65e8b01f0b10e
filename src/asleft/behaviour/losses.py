"""Lost signals, a silent bus, a keypad pulled out: what they do, and what their return does."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any, Final

from asleft.behaviour.command import signal
from asleft.behaviour.faults import trip, warn
from asleft.behaviour.inputs import ANALOG, BUS_LOST, KEYPAD, Inputs
from asleft.behaviour.reference import channels_in_use, demand, own_sources
from asleft.behaviour.state import HEALTHY, LATCHED, LOST, PARKED_LOSS, WAITS, ZERO, Bench
from asleft.behaviour.stopgo import begin_stop, retarget

AVERAGE_OVER: Final = Fraction(10)
"""Seconds a held average reaches back; our choice, told in the coverage."""


def channel_losses(d: Bench) -> None:
    """Watches the live-zero signals in use, and sees them come back."""
    used: set[int] | None = None
    for n, channel in d.c.reference.channels.items():
        if not channel.live_zero:
            continue
        if used is None:
            used = set(d.c.reference.channels) if d.c.loss.watched_always else channels_in_use(d)
        if n in used or d.s.lost[n - 1]:
            _watch_channel(d, n, n in used)
        else:
            setattr(d.s, f"t_loss{n}", None)


def _watch_channel(d: Bench, n: int, used: bool) -> None:
    channel, level = d.c.reference.channels[n], d.x[ANALOG[n]]
    margin = channel.hysteresis if d.s.lost[n - 1] == LOST else ZERO
    low = level < channel.loss_low + margin
    high = channel.loss_high is not None and level >= channel.loss_high - margin
    timer = f"t_loss{n}"
    if (low or high) and used and d.s.lost[n - 1] != LOST:
        if getattr(d.s, timer) is None:
            d.s.good = good_before(d)
            setattr(d.s, timer, channel.loss_delay)
            if not channel.loss_delay:
                signal_lost(d, n)
    elif not (low or high):
        setattr(d.s, timer, None)
        if d.s.lost[n - 1] == LOST:
            _signal_back(d, n)


def reaction_of(d: Bench, n: int) -> str:
    """The reaction to the loss of an analog input: the process controller's where it feeds that one."""
    k = d.c.sleep
    feeds = f"analog_{n}" in (k.feedback, k.setpoint_source) and k.controller
    return d.c.loss.feedback_reaction if feeds and f"analog_{n}" not in own_sources(d) else d.c.loss.reaction


def signal_lost(d: Bench, n: int) -> None:
    """The loss delay is over: the signal counts as lost."""
    s = d.s
    setattr(s, f"t_loss{n}", None)
    reaction = reaction_of(d, n)
    s.hold = held_value(d)
    s.lost = (LOST, s.lost[1]) if n == 1 else (s.lost[0], LOST)
    warn(d, f"signal {n} lost", True)
    if reaction == "fault":
        trip(d, "signal_loss")
    else:
        retarget(d)


def held_value(d: Bench) -> Fraction | None:
    """The speed a held loss goes on with."""
    s = d.s
    if not may_hold(d):
        return None
    if d.c.loss.hold_value == "output_now":
        return abs(s.f)
    good = s.good
    if d.c.loss.hold_value == "at_loss" or s.before is None or s.t_good is None or good is None:
        return good
    return (good * (AVERAGE_OVER - s.t_good) + s.before * s.t_good) / AVERAGE_OVER


def remember_reference(d: Bench) -> None:
    """Keeps the reference for an average that a loss may hold."""
    s, loss = d.s, d.c.loss
    if loss.hold_value != "average_before_loss" or not may_hold(d):
        return
    if any(s.lost) or s.bus or s.jogging or not (s.t_loss1 is s.t_loss2 is None):
        return
    hz = demand(d)[0]
    if hz is not None and hz != s.good:
        if s.good is not None:
            s.before, s.t_good = s.good, AVERAGE_OVER
        s.good = hz


def may_hold(d: Bench) -> bool:
    """Whether any loss goes on with a held speed."""
    loss = d.c.loss
    return "hold_last" in (loss.reaction, loss.feedback_reaction, loss.bus_reaction)


class _Before:
    """The inputs as they were before some of them changed."""

    __slots__ = ("old", "x")

    def __init__(self, x: Inputs, old: Mapping[int, Any]) -> None:
        self.x, self.old = x, old

    def __getitem__(self, index: int, /) -> Any:
        return self.old[index] if index in self.old else self.x[index]


def good_before(d: Bench) -> Fraction | None:
    """The reference just before the input that changed; held where the change turns out to be a loss."""
    if not may_hold(d) or d.c.loss.hold_value == "output_now":
        return None
    if d.s.good is not None and (d.c.loss.hold_value != "at_loss" or any(d.s.lost) or _counting(d)):
        return d.s.good
    if d.changed is None:
        return demand(d)[0]
    return demand(Bench(d.c, d.s, _Before(d.x, d.changed)))[0]


def _counting(d: Bench) -> bool:
    s = d.s
    return s.t_loss1 is not None or s.t_loss2 is not None or s.t_bus is not None


def _signal_back(d: Bench, n: int) -> None:
    s = d.s
    after = after_return(d, d.c.loss.recovery)
    s.lost = (after, s.lost[1]) if n == 1 else (s.lost[0], after)
    warn(d, f"signal {n} lost", after == LATCHED)
    loss_is_over(d)


def after_return(d: Bench, recovery: str) -> int:
    """The condition of a loss whose signal is back."""
    if recovery == "latched":
        return LATCHED
    return WAITS if recovery == "new_command_needed" and (d.s.run or d.s.cmd) else HEALTHY


def loss_is_over(d: Bench) -> None:
    """A signal counts again: the speed follows; where the trigger is an edge, only a fresh command runs."""
    s = d.s
    for n in (1, 2):
        warn(d, f"signal {n} lost", s.lost[n - 1] in (LOST, LATCHED))
    warn(d, "bus lost", s.bus in (LOST, LATCHED))
    if s.park == PARKED_LOSS and d.c.command.edge_rules and demand(d)[0] is not None:
        begin_stop(d, "ramp")
        s.blocked = bool(s.cmd)
    retarget(d)


def bus_in_use(d: Bench) -> bool:
    """Whether the active station hangs on the bus, by command or by reference."""
    return d.c.stations.command[d.s.station] == "comms" or "comms" in own_sources(d)


def bus_changed(d: Bench) -> None:
    """The bus went quiet, or speaks again."""
    s = d.s
    if d.x[BUS_LOST]:
        if s.bus != LOST and s.t_bus is None and bus_in_use(d):
            s.good = good_before(d)
            s.t_bus = d.c.loss.bus_delay
        return
    s.t_bus = None
    if s.bus == LOST:
        s.bus = after_return(d, d.c.loss.bus_recovery)
        s.cmd = signal(d)
        if s.bus == HEALTHY and not s.run and not s.park and not d.c.loss.bus_command_held:
            s.blocked = bool(s.cmd)
        loss_is_over(d)


def bus_lost(d: Bench) -> None:
    """The bus loss delay is over."""
    s, reaction = d.s, d.c.loss.bus_reaction
    s.t_bus = None
    if reaction == "ignore":
        return
    s.bus_hold = held_value(d)
    s.bus = LOST
    warn(d, "bus lost", True)
    s.cmd = signal(d)
    if reaction == "fault":
        trip(d, "comms_loss")
    elif reaction in ("stop_ramp", "coast") and "comms" not in own_sources(d):
        begin_stop(d, "coast" if reaction == "coast" else "ramp")
        s.blocked = bool(s.cmd)
    else:
        retarget(d)


def keypad_changed(d: Bench) -> None:
    """The keypad is pulled out, or back."""
    s = d.s
    in_charge = d.c.stations.command[s.station] == "keypad" or "keypad" in own_sources(d)
    reaction = d.c.loss.keypad_reaction
    if d.x[KEYPAD] or not in_charge:
        return
    if reaction == "fault":
        trip(d, "keypad_loss")
    elif reaction == "stop_ramp" and s.run:
        s.key_latch = 0
        s.cmd = signal(d)
        begin_stop(d, "ramp")
        s.blocked = bool(s.cmd)
