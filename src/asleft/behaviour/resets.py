"""Resets of a fault, by hand and automatic."""

from __future__ import annotations

from asleft.behaviour.command import allow_standing
from asleft.behaviour.faults import external, plan_retry, sensor_changed, trip, watched
from asleft.behaviour.inputs import BUS_LOST, CAUSE, KEYPAD
from asleft.behaviour.losses import loss_is_over, reaction_of
from asleft.behaviour.state import HEALTHY, LATCHED, LOST, Bench


def cause_stands(d: Bench) -> bool:
    """Whether the present fault's cause is still there."""
    s = d.s
    if s.fault == "external":
        return watched(d) and d.on("external_fault")
    if s.fault == "signal_loss":
        return any(c == LOST for c in s.lost)
    if s.fault == "comms_loss":
        return bool(d.x[BUS_LOST])
    if s.fault == "keypad_loss":
        return not d.x[KEYPAD]
    if s.fault == "safe_torque_off":
        return s.torque_off
    if s.fault == "motor_sensor":
        return d.on("motor_temperature_contact")
    return bool(d.x[CAUSE] == s.fault)


def reset(d: Bench, where: str) -> None:
    """A reset by hand, by an edge at ``where`` (keypad, input, comms, power); it needs the cause gone."""
    f = d.c.faults
    allowed = where == "power" or f.reset_source in ("any", where)
    if not allowed:
        return
    _unlatch_losses(d)
    if not d.s.fault or cause_stands(d):
        return
    d.s.attempts = 0
    d.s.t_retry = d.s.t_window = None
    _clear(d, f.reset_resumes)


def _unlatch_losses(d: Bench) -> None:
    s = d.s
    if LATCHED in (*s.lost, s.bus):
        s.lost = tuple(HEALTHY if c == LATCHED else c for c in s.lost)  # type: ignore[assignment]
        s.bus = HEALTHY if s.bus == LATCHED else s.bus
        loss_is_over(d)


def _clear(d: Bench, resumes: bool) -> None:
    d.s.fault = ""
    s = d.s
    s.lost = tuple(HEALTHY if c != LOST else c for c in s.lost)  # type: ignore[assignment]
    s.bus = HEALTHY if s.bus != LOST else s.bus
    _trip_on_what_stands(d)
    if not s.fault:
        allow_standing(d, resumes)


def _trip_on_what_stands(d: Bench) -> None:
    """A condition that was hidden by the fault now reset trips in its turn."""
    s = d.s
    external(d)
    if d.carried("motor_temperature_contact"):
        sensor_changed(d)
    if any(c == LOST and reaction_of(d, n) == "fault" for n, c in enumerate(s.lost, 1)):
        trip(d, "signal_loss")
    if s.bus == LOST and d.c.loss.bus_reaction == "fault":
        trip(d, "comms_loss")
    if s.torque_off and d.c.faults.sto_shown == "fault":
        trip(d, "safe_torque_off")


def retry(d: Bench) -> None:
    """An automatic reset is due; one whose cause stands uses up an attempt."""
    s, f = d.s, d.c.faults
    s.attempts += 1
    if cause_stands(d):
        plan_retry(d)
        return
    _clear(d, f.restarts)
    if not s.fault:
        s.t_window = f.window
