"""Relays: what each one's function means now, its delays, and the contact after its sense."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Final

from asleft.behaviour.config import DriveConfig
from asleft.behaviour.state import DELAY, LOST, PARKED_SLEEP, RUN, STOPPING, State, output_on

NOT_MODELLED: Final = frozenset({"above_current_1", "motor_overload_warning", "torque_limit"})
"""Relay functions that hang on the load; they stay off here, and the coverage says so."""


def _not_below(s: State, level: Fraction) -> bool:
    """At or above a level; a speed just leaving it downwards is below."""
    return abs(s.f) > level or (abs(s.f) == level and not abs(s.aim) < level and s.f * s.aim >= 0)


def _running(c: DriveConfig, s: State) -> bool:
    if c.outputs.running_means == "command_accepted":
        return bool(s.run)
    if c.outputs.running_means == "above_minimum":
        return output_on(s) and abs(s.f) > 0 and _not_below(s, c.limits.minimum)
    return output_on(s)


def _ready(c: DriveConfig, s: State) -> bool:
    barred = s.barred if c.outputs.ready_needs_enable else s.barred & ~1
    return s.powered and not s.fault and not s.torque_off and not barred


def _fault(c: DriveConfig, s: State) -> bool:
    return bool(s.fault) and not (c.faults.hidden_while_retrying and s.t_retry is not None)


def _at_reference(c: DriveConfig, s: State) -> bool:
    return s.phase == RUN and s.f == s.aim


CONDITIONS: Final[dict[str, Callable[[DriveConfig, State], bool]]] = {
    "ready": _ready,
    "running": _running,
    "fault": _fault,
    "warning": lambda c, s: bool(s.warnings),
    "at_reference": _at_reference,
    "direction_reverse": lambda c, s: s.f < 0 or (s.f == 0 and s.aim < 0),
    "remote_active": lambda c, s: s.station == 1,
    "local_active": lambda c, s: s.station == 2,
    "signal_lost": lambda c, s: LOST in s.lost,
    "brake_release": lambda c, s: s.brake,
    "sleeping": lambda c, s: s.park == PARKED_SLEEP and s.phase not in STOPPING,
    "auto_restart_pending": lambda c, s: s.t_retry is not None or (s.phase == DELAY and s.tripped),
    "comms_controlled": lambda c, s: c.stations.command[s.station] == "comms",
}


def condition(c: DriveConfig, s: State, function: str, shown: bool) -> bool:
    """Whether a relay's function is true now, before delays; ``shown`` serves the threshold's gap."""
    if not s.powered:
        return False
    if function == "above_frequency_1":
        gap = c.outputs.threshold_gap if shown else 0
        return output_on(s) and abs(s.f) > 0 and _not_below(s, c.outputs.threshold_hz - gap)
    test = CONDITIONS.get(function)
    return test is not None and test(c, s)


def update_relays(c: DriveConfig, s: State) -> None:
    """Brings the relays up to date; a change with a delay starts its timer."""
    if not c.outputs.relays:
        return
    shown, left = list(s.relays), list(s.relay_left)
    for n, relay in enumerate(c.outputs.relays.values()):
        now = condition(c, s, relay.function, shown[n])
        if now == shown[n] or not s.powered:
            left[n] = None
        elif left[n] is None:
            delay = relay.on_delay if now else relay.off_delay
            if delay:
                left[n] = delay
            else:
                shown[n] = now
    s.relays, s.relay_left = tuple(shown), tuple(left)


def relay_due(s: State, n: int) -> None:
    """A relay's delay is over."""
    s.relays = tuple(v != (i == n) for i, v in enumerate(s.relays))
    s.relay_left = tuple(None if i == n else v for i, v in enumerate(s.relay_left))
