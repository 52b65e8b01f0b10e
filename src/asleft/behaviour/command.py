"""Who is in charge, what the active station commands, what permits allow, and the decision to run."""

from __future__ import annotations

from asleft.behaviour.inputs import BUS_RUN, BUS_STATION, KEYPAD
from asleft.behaviour.state import (
    AWAKE,
    DC_STOP,
    DELAY,
    HEALTHY,
    OFF,
    PARKED_LOSS,
    RUN,
    STOP,
    STOPPING,
    WAITS,
    Bench,
    output_on,
)
from asleft.behaviour.stopgo import begin_stop, retarget, start

OFF_STATION, REMOTE, LOCAL, BOTH = range(4)


def station_now(d: Bench) -> int:
    """The station the selection says is in charge; the keypad's own choice lives in the state."""
    rule = d.c.stations.selection
    if rule == "fixed_remote":
        return REMOTE
    if rule == "fixed_local":
        return LOCAL
    if rule == "by_comms":
        return LOCAL if d.x[BUS_STATION] else REMOTE
    if rule == "by_keypad_key":
        return d.s.station
    return _selected_by_input(d)


def _selected_by_input(d: Bench) -> int:
    local, remote = d.carried("local_select"), d.carried("remote_select")
    if local and remote:
        return (LOCAL if d.on("local_select") else 0) + (REMOTE if d.on("remote_select") else 0)
    if local:
        return LOCAL if d.on("local_select") else REMOTE
    if remote:
        return REMOTE if d.on("remote_select") else LOCAL
    return d.s.station or REMOTE


def source_of_command(d: Bench) -> str:
    """Where the active station's start and stop come from."""
    return d.c.stations.command[d.s.station]


def change_station(d: Bench, new: int) -> None:
    """A change of station, with what it does to latches, speed and motion."""
    s, rules = d.s, d.c.stations
    s.key_latch = 0
    if not rules.latch_survives:
        s.wire_latch = 0
    if rules.change_reference == "carry_over" and s.run and rules.reference[new] == "keypad":
        s.kp_hz = abs(s.aim)
    s.station = new
    s.cmd = signal(d)
    if s.run and rules.change_running != "stop" and s.cmd:
        s.run, s.blocked = s.cmd, False
        retarget(d)
        return
    if s.run:
        begin_stop(d, d.c.stop.method)
    allow_standing(d, rules.change_restart == "resume_if_present")


def allow_standing(d: Bench, resumes: bool) -> None:
    """Whether a run signal that stands already counts, after something that must not start the motor."""
    if not resumes or d.c.command.edge_rules:
        d.s.blocked = bool(d.s.cmd)
    else:
        d.s.blocked = False


def signal(d: Bench) -> int:
    """The direction the active station commands now: 1 forward, -1 reverse, 0 none."""
    source = source_of_command(d)
    d.s.jogging = False
    if source == "keypad":
        return d.s.key_latch
    if source == "comms":
        silent = d.s.bus != HEALTHY and not d.c.loss.bus_command_held
        return 0 if silent else _permitted(d, d.x[BUS_RUN] > 0, d.x[BUS_RUN] < 0)
    if source != "terminals":
        return 0
    return _with_jog(d, _wired(d))


def _wired(d: Bench) -> int:
    if d.c.command.wiring == "three_wire":
        way = d.on("direction") or d.on("run_reverse")
        return _permitted(d, not way, way) if d.s.wire_latch else 0
    if d.c.command.wiring == "two_wire_run_direction":
        run = d.on("run") or d.on("run_forward")
        way = run and (d.on("direction") or d.on("run_reverse"))
        return _permitted(d, run and not way, way, run) if run else 0
    return _two_contacts(d, d.on("run_forward") or d.on("run"), d.on("run_reverse"))


def _two_contacts(d: Bench, forward: bool, reverse: bool) -> int:
    if d.c.command.both_directions == "keep_first":
        if forward != reverse:
            d.s.first = 1 if forward else -1
        elif not forward:
            d.s.first = 0
    if forward and reverse and d.c.command.permitted == "both":
        return {"stop": 0, "keep_first": d.s.first, "forward_wins": 1}[d.c.command.both_directions]
    return _permitted(d, forward, reverse)


def _permitted(d: Bench, forward: bool, reverse: bool, run: bool = False) -> int:
    """The direction after the permitted ones; ``run``: one contact runs and another chooses the direction."""
    rules = d.c.command
    if rules.permitted == "both":
        return int(forward) - int(reverse)
    good = 1 if rules.permitted == "forward_only" else -1
    right, wrong = (forward, reverse) if good > 0 else (reverse, forward)
    if not wrong:
        return good if right else 0
    if rules.forbidden == "stop":
        return 0
    if rules.forbidden == "runs_forward":
        return good
    return good if right or run else 0


def _with_jog(d: Bench, way: int) -> int:
    forward, reverse = d.on("jog_forward"), d.on("jog_reverse")
    jog = _permitted(d, forward, reverse)
    if jog and (not way or d.c.command.jog_takes_over):
        d.s.jogging = True
        return jog
    return way


def update_command(d: Bench, edges: frozenset[str]) -> None:
    """Reads the command; a signal seen open is a new one when it closes again."""
    s = d.s
    if d.c.command.wiring == "three_wire" and source_of_command(d) == "terminals":
        if d.on("stop_pulse"):
            s.wire_latch = 0
        elif "start_pulse" in edges:
            s.wire_latch = 1
    jogged = s.jogging
    s.cmd = signal(d)
    if not s.cmd:
        s.blocked = False
        s.lost = tuple(HEALTHY if c == WAITS else c for c in s.lost)  # type: ignore[assignment]
        s.bus = HEALTHY if s.bus == WAITS else s.bus
    if jogged != s.jogging:
        retarget(d)


def press(d: Bench, key: str) -> None:
    """A keypad key, pressed and released."""
    if not d.x[KEYPAD]:
        return
    if key in ("run", "run_reverse"):
        _press_run(d, 1 if key == "run" else -1)
    elif key == "stop":
        _press_stop(d)
    elif key == "station":
        _press_station(d)


def _press_run(d: Bench, way: int) -> None:
    if source_of_command(d) == "keypad" and d.c.command.run_key:
        d.s.key_latch = _permitted(d, way > 0, way < 0)
        d.s.cmd = d.s.key_latch
        d.s.blocked = False


def _press_stop(d: Bench) -> None:
    s = d.s
    source = source_of_command(d)
    if source != "keypad" and not d.c.command.stop_key_always:
        return
    s.key_latch = s.wire_latch = 0
    s.cmd = signal(d)
    if s.cmd and d.c.command.stop_key_latches:
        s.blocked = True
    if s.run:
        begin_stop(d, d.c.stop.method)


def _press_station(d: Bench) -> None:
    rules = d.c.stations
    if rules.selection != "by_keypad_key" or rules.key == "disabled":
        return
    if rules.key == "enabled" or not output_on(d.s):
        change_station(d, LOCAL if d.s.station == REMOTE else REMOTE)


def update_permits(d: Bench) -> None:
    """Run enable, coast and quick stop: what opens now stops the motor in its own way."""
    s, rules = d.s, d.c.command
    now = 1 if rules.enable_required and d.carried("run_enable") and not d.on("run_enable") else 0
    now |= (2 if d.on("coast") else 0) | (4 if d.on("quick_stop") else 0)
    came, s.barred = now & ~s.barred, now
    if not came:
        return
    s.key_latch = s.wire_latch = 0
    s.cmd = signal(d)
    kind = "coast" if came & 2 else d.c.stop.enable_loss if came & 1 else "quick_ramp"
    begin_stop(d, kind)
    if came & 4 and d.c.stop.quick_inhibits:
        s.blocked = bool(s.cmd)


def decide(d: Bench) -> None:
    """Starts, stops or turns round, by the command that counts."""
    s = d.s
    if s.dip_coast:
        return
    wanted = s.cmd if not s.blocked and ready(d) else 0
    if s.run and not wanted:
        begin_stop(d, d.c.stop.method)
    elif s.run and wanted != s.run:
        s.run = wanted
        retarget(d)
    elif wanted and not s.run:
        _begin(d, wanted)
    if not s.run and not (wanted and s.phase in STOPPING):
        _forget_refused(d)


def ready(d: Bench) -> bool:
    """Whether nothing forbids running."""
    s = d.s
    return s.powered and not s.fault and not s.barred and not s.dip_coast and not s.torque_off


def _begin(d: Bench, way: int) -> None:
    s = d.s
    if s.phase == STOP and not d.c.stop.restart_at_zero:
        s.run, s.phase, s.t_phase = way, RUN, None
        retarget(d)
    elif s.phase == OFF and s.t_lock is None:
        _start_at_rest(d, way)
    elif s.phase == DC_STOP and not d.c.stop.restart_at_zero:
        s.phase, s.t_phase = OFF, None
        _start_at_rest(d, way)


def _start_at_rest(d: Bench, way: int) -> None:
    """A start is refused while a lost reference says stop: the signal's return then starts nothing."""
    start(d, way)
    if d.s.park == PARKED_LOSS:
        d.s.run, d.s.park, d.s.blocked = 0, AWAKE, bool(d.s.cmd)


def _forget_refused(d: Bench) -> None:
    """A start that was refused leaves nothing behind that could start the motor later."""
    s = d.s
    if s.key_latch or s.wire_latch:
        s.key_latch = s.wire_latch = 0
        s.cmd = signal(d)
    if d.c.command.edge and s.cmd and s.phase != DELAY:
        s.blocked = True
