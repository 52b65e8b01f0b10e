"""Ramps to the working points, quick stop and coast by contact, second ramps, waits before a start."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from asleft.behaviour.levels import signal_at
from asleft.behaviour.words import hertz
from asleft.prove.sheet import Draft
from asleft.prove.stage import NAMES, Act, Stage
from asleft.prove.steps.recovering import left_words
from asleft.prove.steps.station import TIMED, timed_stop
from asleft.prove.trial import OUTPUT_OFF


def working_points(stage: Stage) -> Iterator[Draft]:
    """From rest to full signal and to the slot's working frequency, and back to rest."""
    station = stage.main
    if station is None or stage.controlled(station):
        return
    for number in stage.channels(station)[:1]:
        for name, act in _points(stage, number).items():
            yield from _up_and_down(stage, station, name, act)


def _points(stage: Stage, number: int) -> dict[str, Act]:
    channel = stage.config.reference.channels[number]
    full = stage.signal(number, signal_at(channel, Fraction(int(channel.f_high >= channel.f_low))))
    found = {"full signal": full}
    working = stage.machine("working_frequency_hz")
    if working is not None and channel.f_high != channel.f_low:
        share = (Fraction(working) - channel.f_low) / (channel.f_high - channel.f_low)
        if 0 < share < 1 and share != Fraction(1, 2):
            signal = Fraction(round(signal_at(channel, share) * 100), 100)
            found["working point"] = stage.signal(number, signal)
    return found


def _up_and_down(stage: Stage, station: int, name: str, act: Act) -> Iterator[Draft]:
    start, id = stage.start(station), name.replace(" ", "-")
    assert start is not None
    rest = stage.rest(station).after(f"in {NAMES[station]}, at rest, {act.words} ({name})", act.lines)
    speed = stage.at(rest.after("", start.lines)).outcome.frequency
    words = f"{start.words}, timed from the command until the speed is steady at {hertz(speed)}"
    yield Draft(f"ramp.up.{id}", "Ramps", rest, words, start.lines, "reach", at=name, again=True)
    if stage.can_stop(station):
        stop = stage.stop(station)
        running = f"in {NAMES[station]}, running at {hertz(speed)} ({act.words})"
        place = rest.after(running, start.lines)
        yield from timed_stop(stage, f"ramp.down.{id}", "Ramps", place, stop)


def contacts(stage: Stage) -> Iterator[Draft]:
    """Quick stop and coast by contact, and the second ramps."""
    station = stage.main
    if station is None:
        return
    running = stage.running(station)
    for function in ("quick_stop", "coast"):
        if stage.carries(function):
            act, back = stage.contact(function, True), stage.contact(function, False)
            topic = function.replace("_", " ").capitalize()
            yield Draft(f"{function}.acts", topic, running, act.words, act.lines, again=True)
            yield from timed_stop(stage, f"{function}.time", topic, running, act)
            yield Draft(
                f"{function}.back",
                topic,
                running.after(left_words(stage, station), act.lines),
                back.words,
                back.lines,
            )
    if stage.carries("ramp_set_2") and stage.config.ramps.select == "by_input":
        start = stage.start(station)
        assert start is not None
        rest = stage.rest(station)
        chosen = stage.contact("ramp_set_2", True)
        second = rest.after(f"{rest.words}, {stage.stood('ramp_set_2', True)}", chosen.lines)
        words = f"{start.words}, {TIMED} (second ramps)"
        why = stage.controlled(station)
        yield Draft("ramp.up.second", "Ramps", second, words, start.lines, "reach", cannot=why, unit="s")


def waits(stage: Stage) -> Iterator[Draft]:
    """The start delay, and the lockout after a stop."""
    station = stage.main
    if station is None:
        return
    start, delay, lockout = stage.start(station), stage.config.stop.start_delay, stage.config.stop.lockout
    assert start is not None
    if delay:
        words = f"{start.words}, timed from the command until the output goes on"
        yield Draft("wait.start-delay", "Waits before a start", stage.rest(station), words, start.lines, "on")
    if lockout and stage.can_stop(station):
        stop = stage.stop(station)
        words = (
            f"{stop.words}; the moment the display shows 0.0 Hz, {start.words}, "
            "timed from then until the output goes on again"
        )
        acts = (*stop.lines, OUTPUT_OFF, *start.lines)
        yield Draft("wait.lockout", "Waits before a start", stage.running(station), words, acts, "on")
