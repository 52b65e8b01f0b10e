"""Starting and stopping: the start sequence, the ways to stop, resting although the run stands."""

from __future__ import annotations

from fractions import Fraction

from asleft.behaviour.inputs import SHAFT
from asleft.behaviour.reference import band_side, demand, held_at_band, limited
from asleft.behaviour.state import (
    APPLY,
    AWAKE,
    DC_FIRST,
    DC_STOP,
    DELAY,
    LIFT,
    OFF,
    PARKED_BELOW,
    PARKED_LOSS,
    PARKED_SLEEP,
    QUICK,
    RUN,
    START_HOLD,
    STOP,
    STOPPING,
    ZERO,
    Bench,
    output_on,
)


def cut_output(d: Bench) -> None:
    """Output off at once; a shaft that was driven runs down by itself, and the brake closes."""
    s = d.s
    if output_on(s):
        s.coasting = s.coasting or s.f != 0
        s.halt = "coast"
        s.t_lock = d.c.stop.lockout or None
    _at_rest(d)


def _at_rest(d: Bench) -> None:
    s = d.s
    s.phase, s.f, s.aim, s.side, s.brake, s.risk = OFF, ZERO, ZERO, 0, False, False
    s.t_phase = s.s_from = s.s_aim = None
    s.watching, s.t_watch = False, None


def begin_stop(d: Bench, kind: str) -> None:
    """The run ends: coast, ramp, ramp_then_dc or quick_ramp."""
    d.s.run, d.s.park = 0, AWAKE
    d.s.t_sleep = d.s.t_wake = None
    _stop_motion(d, kind)


def _stop_motion(d: Bench, kind: str) -> None:
    s = d.s
    s.watching, s.t_watch = False, None
    if not output_on(s):
        s.phase, s.t_phase = OFF, None
    elif kind == "coast":
        cut_output(d)
    elif s.phase not in (DC_STOP, APPLY) and not (s.phase == QUICK and kind != "quick_ramp"):
        s.phase, s.aim, s.t_phase, s.risk = (QUICK if kind == "quick_ramp" else STOP), ZERO, None, False
        stop_point(d)


def stop_point(d: Bench) -> None:
    """Ends a stop ramp where its speed says so: brake, DC, output off below a threshold, zero."""
    s, stop, brake = d.s, d.c.stop, d.c.brake
    if s.phase not in (STOP, QUICK):
        return
    speed = abs(s.f)
    if s.brake and brake.on and speed <= brake.apply_hz:
        s.phase, s.aim, s.brake = APPLY, s.f, False
        s.t_phase = brake.apply_delay
    elif s.phase == STOP and stop.method == "ramp_then_dc" and stop.dc_time and speed <= stop.dc_below:
        s.phase, s.f, s.aim, s.t_phase = DC_STOP, ZERO, ZERO, stop.dc_time
    elif s.phase == STOP and 0 < speed <= stop.coast_below:
        cut_output(d)
    elif speed == 0:
        finish_stop(d)


def finish_stop(d: Bench) -> None:
    """At rest with the output off, after a driven stop."""
    s, r = d.s, d.c.reference
    s.halt = {QUICK: "quick ramp", DC_STOP: "dc"}.get(s.phase, "ramp")
    s.coasting = False
    s.t_lock = d.c.stop.lockout or None
    _at_rest(d)
    if s.run:
        return
    reset_keypad_reference(d)
    if r.up_down_kept == "reset_on_stop":
        s.ud_hz = d.c.limits.minimum


def reset_keypad_reference(d: Bench) -> None:
    """The keypad's speed after a stop or power loss, where the drive does not keep it."""
    kept = d.c.reference.keypad_kept
    if kept != "kept":
        d.s.kp_hz = d.c.limits.minimum if kept == "reset_to_min" else ZERO


def start(d: Bench, way: int) -> None:
    """Accepts a run command from rest; the start delay comes first, then the motor."""
    d.s.run = way
    if not _resting_reason(d):
        set_going(d)


def set_going(d: Bench) -> None:
    """From rest to turning, after any start delay."""
    if d.c.stop.start_delay:
        d.s.phase, d.s.t_phase = DELAY, d.c.stop.start_delay
    else:
        launch(d)


def launch(d: Bench) -> None:
    """The output goes on: catch the shaft, hold with DC, lift the brake, or ramp."""
    s, stop = d.s, d.c.stop
    catches = stop.catch == "always" or (stop.catch == "after_fault_or_dip" and s.tripped)
    s.risk, s.halt, s.f = s.coasting and not catches, "", ZERO
    if catches:
        found = d.x[SHAFT]
        if found == "not found" and stop.not_found_fault:
            s.run, s.fault = 0, "search"
            return
        s.f = found * s.run if isinstance(found, Fraction) else ZERO
    s.coasting = s.tripped = False
    if d.c.faults.external_watched == "while_running":
        s.t_watch = ZERO
    elif d.c.faults.external_watched == "after_start_delay":
        s.t_watch = d.c.faults.external_delay
    if stop.dc_first and not s.f:
        s.phase, s.t_phase = DC_FIRST, stop.dc_first
    else:
        lift_or_run(d)


def lift_or_run(d: Bench) -> None:
    """After DC at start: the brake first, then the start frequency, then the ramp."""
    s, stop = d.s, d.c.stop
    if d.c.brake.on and not s.brake:
        s.phase, s.aim, s.t_phase = LIFT, d.c.brake.release_hz * s.run, None
        lift_point(d)
        return
    s.phase, s.t_phase = RUN, None
    retarget(d)
    if s.phase == RUN and s.f == 0 and s.aim and stop.start_frequency:
        s.f = min(stop.start_frequency, abs(s.aim)) * s.run
        if stop.start_hold:
            s.phase, s.t_phase = START_HOLD, stop.start_hold


def lift_point(d: Bench) -> None:
    """Lifts the brake at its release frequency; it then takes its time to open."""
    if d.s.phase == LIFT and d.s.f == d.s.aim and d.s.t_phase is None:
        d.s.brake, d.s.t_phase = True, d.c.brake.release_delay


def _resting_reason(d: Bench) -> int:
    """Why a standing run rests, as a park reason; sets it."""
    hz, kind = demand(d)
    if hz is None:
        d.s.park = PARKED_LOSS
    elif d.s.park == PARKED_SLEEP:
        return PARKED_SLEEP
    else:
        d.s.park = AWAKE if limited(d.c.limits, hz, kind) is not None else PARKED_BELOW
    return d.s.park


def retarget(d: Bench) -> None:
    """Takes the present demand: parks, wakes, or changes the speed aimed at."""
    s = d.s
    if not s.run or s.dip_coast:
        return
    was = s.park
    if _resting_reason(d):
        if was != s.park or output_on(s):
            _rest_with_run(d)
        return
    if was and (s.phase == OFF or (s.phase == STOP and d.c.stop.restart_at_zero)):
        if s.phase == OFF and s.t_lock is None:
            set_going(d)
        return
    if was and s.phase in STOPPING:
        s.phase = RUN
    if s.phase == RUN:
        _aim(d)


def _rest_with_run(d: Bench) -> None:
    coasts = d.s.park == PARKED_LOSS and d.s.bus and d.c.loss.bus_reaction == "coast"
    _stop_motion(d, "coast" if coasts else "ramp")


def _aim(d: Bench) -> None:
    s = d.s
    hz, kind = demand(d)
    wanted = None if hz is None else limited(d.c.limits, hz, kind)
    if wanted is None:
        return
    s.side = band_side(d.c.limits, s.f, s.aim, s.side)
    now = abs(s.f) if s.f * s.run >= 0 else ZERO
    s.aim = held_at_band(d.c.limits, wanted, now, s.side) * s.run
    if s.ud_move:
        end = d.c.limits.maximum if s.ud_move > 0 else d.c.limits.minimum
        if d.c.stations.reference[s.station] == "up_down" and kind == "own":
            s.aim = end * s.run
    _sleep_watch(d, wanted)


def _sleep_watch(d: Bench, wanted: Fraction) -> None:
    s, k = d.s, d.c.sleep
    if not (k.sleep and wanted <= k.sleep_hz):
        s.t_sleep = None
    elif s.t_sleep is None:
        s.t_sleep = k.sleep_delay


def fall_asleep(d: Bench) -> None:
    """The sleep delay is over: ramp to zero, with the run standing."""
    d.s.park = PARKED_SLEEP
    _stop_motion(d, "ramp")
