"""Lets time pass on a bench: from one inner event to the next, each at its exact time."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from operator import attrgetter
from typing import Any, Final

from asleft.behaviour.due import DUE, fire_filters, fire_relays, motion_due, relay_wait
from asleft.behaviour.inputs import REFERENCE_GROUP
from asleft.behaviour.motion import move, next_stage, time_to, up_down_left
from asleft.behaviour.scan import scan
from asleft.behaviour.state import TIMERS, ZERO, Bench

_TIMES_LEFT = attrgetter(*TIMERS)

LONGEST: Final = 4000
"""Inner events after which a drive that neither settles nor repeats is a fault of the simulation."""

Seen = Callable[[Bench, Fraction], None]


class NeverSettles(RuntimeError):
    """A drive neither came to rest nor repeated itself exactly."""


Arrival = tuple[Fraction, Fraction] | None
"""The next speed of note (signed Hz) and the seconds to it."""


def _arrival(d: Bench) -> Arrival:
    goal = next_stage(d.c, d.s)
    return None if goal is None else (goal, time_to(d.c, d.s, goal))


def next_time(d: Bench) -> Fraction | None:
    """Seconds to the next inner event; None where the drive is settled."""
    return _next(d, _arrival(d))


def _next(d: Bench, arrival: Arrival) -> Fraction | None:
    s = d.s
    if not s.powered:
        return None
    times = [left for left in _TIMES_LEFT(s) if left is not None]
    if s.relay_left:
        times += relay_wait(s)
    if s.pend:
        times += [left for _, left in s.pend]
    if arrival is not None:
        times.append(arrival[1])
    if s.ud_move:
        times.append(up_down_left(d.c, s))
    return min(times) if times else None


def _pass(d: Bench, seconds: Fraction, arrival: Arrival) -> None:
    s = d.s
    move(d.c, s, seconds)
    if arrival is not None and arrival[1] <= seconds:
        s.f = arrival[0]
    if not seconds:
        return
    for name, left in zip(TIMERS, _TIMES_LEFT(s), strict=True):
        if left is not None:
            setattr(s, name, left - seconds)
    if s.relay_left:
        s.relay_left = tuple(None if left is None else left - seconds for left in s.relay_left)
    if s.pend:
        s.pend = tuple((i, left - seconds) for i, left in s.pend)


def _fire(d: Bench, moved: bool) -> None:
    s = d.s
    if s.pend:
        fire_filters(d)
    if moved:
        motion_due(d)
    dirty = 0
    if s.ud_move and up_down_left(d.c, s) == 0:
        dirty = REFERENCE_GROUP
    if any(left is not None for left in _TIMES_LEFT(s)):
        for name, due in DUE.items():
            left = getattr(s, name)
            if left is not None and left <= 0:
                due(d)
    fire_relays(d)
    scan(d, dirty)


def _step(d: Bench, seconds: Fraction, arrival: Arrival) -> None:
    """Goes to the next inner event, which is ``seconds`` away, and lets it happen."""
    _pass(d, seconds, arrival)
    _fire(d, arrival is not None and arrival[1] <= seconds)


def advance(d: Bench, seconds: Fraction, seen: Seen | None = None) -> None:
    """Lets exactly ``seconds`` pass. ``seen`` is told of each inner event and its time from now."""
    gone = ZERO
    for _ in range(LONGEST):
        arrival = _arrival(d)
        wait = _next(d, arrival)
        if wait is None or gone + wait > seconds:
            _pass(d, seconds - gone, arrival)
            return
        _step(d, wait, arrival)
        gone += wait
        if seen is not None:
            seen(d, gone)
    raise NeverSettles("more inner events than a drive can have in this time")


def settle(d: Bench, seen: Seen | None = None) -> Fraction:
    """Runs until nothing is pending, or an exactly repeating cycle is met; returns the seconds it took.

    In a cycle the state is left at the cycle's first point in the order of its key, marked ``cycling``.
    """
    gone = ZERO
    known: dict[Any, int] = {}
    for count in range(LONGEST):
        arrival = _arrival(d)
        wait = _next(d, arrival)
        if wait is None:
            return gone
        if count >= 30:
            key = d.s.key()
            if key in known:
                _to_first_of_cycle(d, count - known[key])
                return gone
            known[key] = count
        _step(d, wait, arrival)
        gone += wait
        if seen is not None:
            seen(d, gone)
    raise NeverSettles("the drive neither settles nor repeats")


def _to_first_of_cycle(d: Bench, length: int) -> None:
    best = min(_round(d, length))
    while str(d.s.key()) != best:
        _on(d)
    d.s.cycling = True


def _round(d: Bench, length: int) -> list[str]:
    keys = []
    for _ in range(length):
        _on(d)
        keys.append(str(d.s.key()))
    return keys


def _on(d: Bench) -> None:
    arrival = _arrival(d)
    _step(d, _next(d, arrival) or ZERO, arrival)
