"""What happens when an inner time is over: a ramp's end, a delay, a retry, a filter, a relay."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Final

from asleft.behaviour import faults, losses, power, resets
from asleft.behaviour.relays import relay_due
from asleft.behaviour.scan import contacts_seen, wake_watch
from asleft.behaviour.state import (
    AWAKE,
    DC_FIRST,
    DC_STOP,
    DEAD,
    DELAY,
    LIFT,
    OFF,
    RUN,
    START_HOLD,
    ZERO,
    Bench,
    State,
)
from asleft.behaviour.stopgo import (
    fall_asleep,
    finish_stop,
    launch,
    lift_or_run,
    lift_point,
    retarget,
    set_going,
    stop_point,
)


def motion_due(d: Bench) -> None:
    """The ramp has come to a speed of note."""
    s = d.s
    stop_point(d)
    lift_point(d)
    if s.phase == RUN and s.f == 0 and s.aim and d.c.ramps.dead_time:
        s.phase, s.t_phase = DEAD, d.c.ramps.dead_time
    _after_rest(d)


def _after_rest(d: Bench) -> None:
    """At rest with the run still standing: whatever parked it may be over by now."""
    if d.s.phase == OFF and d.s.run and d.s.park:
        retarget(d)
        wake_watch(d)


def phase_due(d: Bench) -> None:
    """The time of a start or stop step is over."""
    s = d.s
    s.t_phase = None
    step = s.phase
    if step in (DC_FIRST, LIFT):
        lift_or_run(d)
    elif step in (START_HOLD, DEAD):
        s.phase = RUN
        retarget(d)
    elif step == DC_STOP:
        finish_stop(d)
        _after_rest(d)
    elif step == DELAY:
        launch(d)
    elif step != OFF:
        _brake_closed(d)


def _brake_closed(d: Bench) -> None:
    d.s.f = ZERO
    finish_stop(d)
    _after_rest(d)


def lock_due(d: Bench) -> None:
    """The restart lockout is over."""
    d.s.t_lock = None
    if d.s.run and d.s.phase == OFF and not d.s.dip_coast:
        retarget(d)
        if d.s.run and d.s.phase == OFF and not d.s.park:
            set_going(d)


def watch_due(d: Bench) -> None:
    """The external fault contact counts from now on."""
    d.s.t_watch, d.s.watching = None, True
    faults.external(d)


def retry_due(d: Bench) -> None:
    """An automatic reset is due."""
    d.s.t_retry = None
    resets.retry(d)


def window_due(d: Bench) -> None:
    """The attempts are forgiven."""
    d.s.t_window, d.s.attempts = None, 0


def sleep_due(d: Bench) -> None:
    """The demand has been low for long enough."""
    d.s.t_sleep = None
    fall_asleep(d)
    wake_watch(d)


def wake_due(d: Bench) -> None:
    """The wake condition has stood for long enough."""
    d.s.t_wake = None
    d.s.park = AWAKE
    if d.s.phase == OFF:
        if d.s.t_lock is None:
            set_going(d)
    else:
        d.s.phase = RUN
        retarget(d)


def dip_due(d: Bench) -> None:
    """The supply is back after a dip."""
    d.s.t_dip = None
    power.dip_over(d)


def good_due(d: Bench) -> None:
    """The earlier reference has left the average."""
    d.s.t_good, d.s.before = None, None


def loss_1_due(d: Bench) -> None:
    """Analog 1 has been gone for the loss delay."""
    losses.signal_lost(d, 1)


def loss_2_due(d: Bench) -> None:
    """Analog 2 has been gone for the loss delay."""
    losses.signal_lost(d, 2)


DUE: Final[dict[str, Callable[[Bench], None]]] = {
    "t_dip": dip_due,
    "t_bus": losses.bus_lost,
    "t_loss1": loss_1_due,
    "t_loss2": loss_2_due,
    "t_watch": watch_due,
    "t_retry": retry_due,
    "t_window": window_due,
    "t_lock": lock_due,
    "t_phase": phase_due,
    "t_sleep": sleep_due,
    "t_wake": wake_due,
    "t_good": good_due,
}
"""What each timer does when it is over, in the order taken when several end at the same instant."""


def fire_filters(d: Bench) -> None:
    """Contacts whose filter time is over are seen in the order in which they moved, together if they did."""
    for moved, left in d.s.pend:
        if left <= 0:
            d.s.pend = tuple(p for p in d.s.pend if p[0] != moved)
            contacts_seen(d, moved)


def fire_relays(d: Bench) -> None:
    """Relays whose delay is over."""
    for n, left in enumerate(d.s.relay_left):
        if left is not None and left <= 0:
            relay_due(d.s, n)


def relay_wait(s: State) -> list[Fraction]:
    """The relay delays that are running."""
    return [left for left in s.relay_left if left is not None]
