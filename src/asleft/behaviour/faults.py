"""Faults and warnings: external, safe torque off, sensors, what arises inside."""

from __future__ import annotations

from asleft.behaviour.command import allow_standing, signal
from asleft.behaviour.inputs import TORQUE_SAFE
from asleft.behaviour.state import Bench
from asleft.behaviour.stopgo import begin_stop


def warn(d: Bench, name: str, on: bool) -> None:
    """Shows or takes back a warning."""
    if on != (name in d.s.warnings):
        d.s.warnings = d.s.warnings ^ {name}


def trip(d: Bench, name: str, ramp: bool = False) -> None:
    """A fault: latched, the motor stopped by its reaction, the brake closed, automatic resets begun."""
    s = d.s
    if s.fault:
        return
    s.fault, s.tripped, s.t_window = name, True, None
    s.key_latch = s.wire_latch = 0
    s.cmd = signal(d)
    begin_stop(d, "ramp" if ramp else "coast")
    s.brake = False
    plan_retry(d)


def plan_retry(d: Bench) -> None:
    """Sets the wait for an automatic reset where the fault is in its set and attempts remain."""
    f = d.c.faults
    retried = d.s.fault in f.retried and d.s.attempts < f.attempts
    d.s.t_retry = f.delay if retried else None


def external(d: Bench) -> None:
    """The external fault input, where it is watched now."""
    reaction = d.c.faults.external
    active = watched(d) and d.on("external_fault")
    if reaction == "warning":
        warn(d, "external fault", active)
    elif active and reaction != "off":
        trip(d, "external", ramp=reaction == "fault_ramp")


def watched(d: Bench) -> bool:
    """Whether the external fault contact counts now."""
    return d.c.faults.external_watched == "always" or d.s.watching


def torque_changed(d: Bench) -> None:
    """Safe torque off opens (output off at once), or is closed again."""
    s, f = d.s, d.c.faults
    opened = not d.x[TORQUE_SAFE]
    if opened == s.torque_off:
        return
    s.torque_off = opened
    warn(d, "safe torque off", opened and f.sto_shown == "warning")
    if not opened:
        allow_standing(d, f.sto_resumes and f.sto_shown != "fault")
        return
    s.key_latch = s.wire_latch = 0
    s.cmd = signal(d)
    if f.sto_shown == "fault":
        trip(d, "safe_torque_off")
    else:
        begin_stop(d, "coast")


def sensor_changed(d: Bench) -> None:
    """The motor's temperature contact."""
    hot, reaction = d.on("motor_temperature_contact"), d.c.faults.motor_sensor
    warn(d, "motor temperature", hot and reaction == "warning")
    if hot and reaction == "fault":
        trip(d, "motor_sensor")


def internal_fault(d: Bench, name: str) -> None:
    """A fault that arises inside: overcurrent, overload and the like."""
    if name == "overload" and d.c.faults.overload != "fault":
        warn(d, "overload", d.c.faults.overload == "warning")
        return
    trip(d, name)
