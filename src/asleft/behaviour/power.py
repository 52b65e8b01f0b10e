"""Power loss and return, and short dips of the supply."""

from __future__ import annotations

from fractions import Fraction

from asleft.behaviour.command import LOCAL, REMOTE, signal, station_now, update_permits
from asleft.behaviour.faults import trip, warn
from asleft.behaviour.inputs import TORQUE_SAFE
from asleft.behaviour.resets import cause_stands
from asleft.behaviour.state import HEALTHY, OFF, STOPPING, TIMERS, Bench, output_on
from asleft.behaviour.stopgo import begin_stop, cut_output, reset_keypad_reference


def power_off(d: Bench) -> None:
    """The supply is gone: output and relays off, latches and timers cleared."""
    s = d.s
    s.saved = (s.station, s.run, s.wire_latch or s.key_latch)
    begin_stop(d, "coast")
    for timer in TIMERS:
        setattr(s, timer, None)
    s.powered, s.key_latch, s.wire_latch, s.cmd, s.ud_move = False, 0, 0, 0, 0
    s.attempts, s.warnings, s.pend, s.dip_coast = 0, frozenset(), (), False
    s.lost, s.bus, s.good, s.before, s.hold, s.bus_hold = (HEALTHY, HEALTHY), HEALTHY, None, None, None, None
    s.blocked, s.barred, s.torque_off = False, 0, False
    s.relays = (False,) * len(s.relays)
    s.relay_left = (None,) * len(s.relays)
    reset_keypad_reference(d)
    if d.c.reference.up_down_kept != "kept":
        s.ud_hz = d.c.limits.minimum


def power_on(d: Bench) -> None:
    """The supply is back: the station at power-up, then whether a standing signal counts."""
    s, rule = d.s, d.c.power.start
    s.powered, s.tripped = True, s.coasting
    if not cause_stands(d):
        s.fault = ""
    at = d.c.stations.at_power_up
    s.station = s.saved[0] if at == "as_before" else LOCAL if at == "local" else REMOTE
    s.station = station_now(d)
    s.torque_off = not d.x[TORQUE_SAFE]
    update_permits(d)
    was_running = s.saved[1] and rule == "as_before"
    if was_running and d.c.power.restores_latch and s.saved[2]:
        _restore_latch(d)
    s.cmd = signal(d)
    allowed = rule == "allow" or bool(was_running)
    s.blocked = bool(s.cmd) and (not allowed or d.c.command.edge_rules)
    s.saved = (1, 0, 0)


def _restore_latch(d: Bench) -> None:
    if d.c.stations.command[d.s.station] == "keypad":
        d.s.key_latch = d.s.saved[2]
    elif not d.on("stop_pulse"):
        d.s.wire_latch = 1


def dip(d: Bench, seconds: Fraction) -> None:
    """The supply dips; how the drive goes on is decided when it is back, or when the dip grows too long."""
    p, s = d.c.power, d.s
    if p.dip == "ride_on_inertia" and seconds <= p.dip_longest:
        return
    short = p.dip == "coast_and_catch" and seconds <= p.dip_longest
    if short or p.undervoltage == "coast_auto_resume":
        if output_on(s) or s.run:
            run = 0 if s.phase in STOPPING and not s.park else s.run
            cut_output(d)
            s.run, s.phase, s.tripped = run, OFF, True
            s.dip_coast, s.t_dip = True, seconds
    elif p.undervoltage == "warning":
        warn(d, "undervoltage", True)
        s.t_dip = seconds
    elif output_on(s):
        trip(d, "undervoltage")


def dip_over(d: Bench) -> None:
    """The supply is back after a dip: where the drive coasted through it, a start like any other follows."""
    s = d.s
    warn(d, "undervoltage", False)
    if not s.dip_coast:
        return
    s.dip_coast, s.run = False, 0
    if d.c.command.edge_rules:
        s.blocked = bool(s.cmd)
