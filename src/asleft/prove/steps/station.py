"""Remote and local: start, stop, who cannot start, and the change from one to the other."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from asleft.prove.sheet import LEFT, Draft
from asleft.prove.stage import LOCAL, NAMES, REMOTE, Act, Place, Stage

STEADY: Final = "read the speed once it is steady"
TIMED: Final = "timed from the command until the speed is steady"
TIMED_OFF: Final = "timed from the command until the display shows 0.0 Hz"


def stations(stage: Stage) -> Iterator[Draft]:
    """Start, way of turning, times, stop and other hands, in each station."""
    for station in stage.stations:
        if station in stage.runs:
            yield from _start(stage, station)
            yield from _stop(stage, station)
        yield from _keypad_in_remote(stage) if station == REMOTE else _plant_in_local(stage)
    yield from _reverse(stage)


def _start(stage: Stage, station: int) -> Iterator[Draft]:
    name, rest, start = NAMES[station], stage.rest(station), stage.start(station)
    assert start is not None
    topic = name.capitalize()
    at = stage.asks(station).words.partition(" on ")[0] if stage.channels(station) else ""
    words = f"{start.words}, {STEADY}"
    yield Draft(f"{name}.start", topic, rest, words, start.lines, "hz", at=at, again=True)
    if station == stage.main:
        yield Draft(
            f"{name}.direction",
            topic,
            stage.running(station),
            "look at the shaft: does it turn the way of the machine's arrow?",
            again=True,
            cannot="the set does not know how the motor is wired, so the way of turning has to be seen",
        )
    words, why = f"{start.words}, {TIMED}", stage.controlled(station)
    yield Draft(
        f"{name}.start-time",
        topic,
        rest,
        words,
        start.lines,
        "reach",
        again=station == stage.main,
        cannot=why,
        unit="s",
    )


def _stop(stage: Stage, station: int) -> Iterator[Draft]:
    name, topic = NAMES[station], NAMES[station].capitalize()
    if not stage.can_stop(station):
        return
    running, stop = stage.running(station), stage.stop(station)
    yield Draft(f"{name}.stop", topic, running, stop.words, stop.lines, again=True)
    yield from timed_stop(stage, f"{name}.stop-time", topic, running, stop, run_down=True)


def timed_stop(
    stage: Stage, id: str, topic: str, start: Place, stop: Act, run_down: bool = False
) -> Iterator[Draft]:
    """How long a driven stop takes; with ``run_down`` also what is known of a shaft that coasts."""
    how, seconds = stage.stops(start.lines, stop)
    if seconds is None:
        return
    if how != "coast":
        words = f"{stop.words}, {TIMED_OFF}"
        yield Draft(id, topic, start, words, stop.lines, "off", load="empty")
    elif run_down:
        known = stage.machine("run_down_time_s")
        told = f"; recorded of the machine: {known} s" if known is not None else ""
        why = f"how long the shaft runs down by itself is not in the set{told}"
        words = f"{stop.words}, timed until the shaft stands"
        yield Draft(id, topic, start, words, stop.lines, load="empty", cannot=why, unit="s")


def _keypad_in_remote(stage: Stage) -> Iterator[Draft]:
    if stage.config.stations.command[REMOTE] == "keypad":
        return
    pressed = ("keypad run pressed",)
    yield Draft(
        "remote.keypad-run", "Remote", stage.rest(REMOTE), "press RUN on the keypad", pressed, again=True
    )
    if REMOTE not in stage.runs:
        return
    running, pressed = stage.running(REMOTE), ("keypad stop pressed",)
    yield Draft("remote.keypad-stop", "Remote", running, "press STOP on the keypad", pressed, again=True)
    stopped = running.after(LEFT, pressed)
    if not stage.at(stopped).outcome.turning:
        again = stage.again(REMOTE)
        words = f"{again.words}, {STEADY}"
        yield Draft("remote.keypad-restart", "Remote", stopped, words, again.lines, "hz")


def _plant_in_local(stage: Stage) -> Iterator[Draft]:
    if stage.standing and stage.config.stations.command[LOCAL] != "terminals":
        closed = stage.contact(stage.standing, True)
        yield Draft("local.contact", "Local", stage.rest(LOCAL), closed.words, closed.lines, again=True)


def _reverse(stage: Stage) -> Iterator[Draft]:
    carried = stage.carries("run_reverse") and stage.standing != "run_reverse"
    if REMOTE in stage.runs and stage.config.command.permitted == "both" and carried:
        act = stage.contact("run_reverse", True)
        words = f"{act.words}, {STEADY}; it turns in reverse"
        yield Draft("remote.reverse", "Reverse", stage.rest(REMOTE), words, act.lines, "hz", again=True)


def change_over(stage: Stage) -> Iterator[Draft]:
    """From one station to the other: running, at rest with the run contact closed, and back."""
    if set(stage.stations) != {REMOTE, LOCAL}:
        return
    for here, there in ((REMOTE, LOCAL), (LOCAL, REMOTE)):
        if here in stage.runs:
            yield from _while_running(stage, here, there)
    if stage.stands(REMOTE) and stage.config.stations.command[LOCAL] != "terminals":
        yield from _at_rest(stage)
    if stage.carries("local_select") and stage.carries("remote_select") and stage.main is not None:
        yield from _neither_and_both(stage, stage.main)


def _while_running(stage: Stage, here: int, there: int) -> Iterator[Draft]:
    name, topic, select, running = NAMES[here], "Change-over", stage.select(there), stage.running(here)
    yield Draft(f"change.from-{name}", topic, running, select.words, select.lines, again=True)
    if not stage.stands(here):
        return
    back = stage.select(here)
    left = running.after(f"{LEFT}, {stage.stood(stage.standing, True)}", select.lines)
    yield Draft(f"change.back-to-{name}", topic, left, back.words, back.lines, again=True)
    returned = left.after(LEFT, back.lines)
    if not stage.at(returned).outcome.turning:
        again = stage.again(here)
        words = f"{again.words}, {STEADY}"
        yield Draft(f"change.restart-in-{name}", topic, returned, words, again.lines, "hz")


def _at_rest(stage: Stage) -> Iterator[Draft]:
    closed, select = stage.contact(stage.standing, True), stage.select(REMOTE)
    rest = stage.rest(LOCAL)
    place = rest.after(f"in local, at rest, {stage.stood(stage.standing, True)}", closed.lines)
    yield Draft("change.at-rest", "Change-over", place, select.words, select.lines, again=True)


def _neither_and_both(stage: Stage, station: int) -> Iterator[Draft]:
    here, there = (f"{NAMES[s]}_select" for s in (station, LOCAL if station == REMOTE else REMOTE))
    for id, words, act in (
        ("change.neither", "turn the selector to off", stage.contact(here, False)),
        ("change.both", "make both station contacts act", stage.contact(there, True)),
    ):
        yield Draft(id, "Change-over", stage.running(station), f"{words}: {act.words}", act.lines)
