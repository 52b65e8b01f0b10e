"""Each trip input: while running, at rest, at a start; the reset, and the start after it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from asleft.prove.sheet import Draft
from asleft.prove.stage import Act, Place, Stage
from asleft.prove.steps.recovering import left_words, recovery, reset_act
from asleft.prove.steps.station import timed_stop

TRIPS: Final = {
    "external_fault": "External fault",
    "motor_temperature_contact": "Motor temperature contact",
}


def inputs(stage: Stage) -> Iterator[Draft]:
    """The contacts that trip the drive."""
    for function, topic in TRIPS.items():
        if stage.main is not None and stage.carries(function):
            yield from _running(stage, function, topic, stage.main)
            yield from _at_rest(stage, function, topic, stage.main)


def tripped(stage: Stage, function: str) -> Act:
    """Makes a trip input act; a contact that opens can be had by lifting its wire."""
    act = stage.contact(function, True)
    lifted = act.words.startswith("open ")
    return Act(f"lift the wire of {stage.name(function)}" if lifted else act.words, act.lines)


def _put_back(stage: Stage, function: str) -> Act:
    act = stage.contact(function, False)
    lifted = act.words.startswith("close ")
    return Act(f"put the wire of {stage.name(function)} back" if lifted else act.words, act.lines)


def _running(stage: Stage, function: str, topic: str, station: int) -> Iterator[Draft]:
    act, back = tripped(stage, function), _put_back(stage, function)
    running, id = stage.running(station), function.replace("_", "-")
    yield Draft(f"{id}.running", topic, running, act.words, act.lines, again=True)
    yield from timed_stop(stage, f"{id}.time", topic, running, act)
    left = running.after(left_words(stage, station), act.lines)
    reset = reset_act(stage)
    if stage.at(left).outcome.fault and reset is not None:
        words = f"{left.words}, {stage.stood(function, True)}"
        early = Place(words, left.lines)
        yield Draft(f"{id}.reset-early", topic, early, reset.words, reset.lines, again=True)
        left = left.after(left.words, reset.lines)
    yield Draft(f"{id}.back", topic, left, back.words, back.lines, again=True)
    yield from recovery(stage, id, topic, station, (*left.lines, *back.lines))


def _at_rest(stage: Stage, function: str, topic: str, station: int) -> Iterator[Draft]:
    act, rest, start = tripped(stage, function), stage.rest(station), stage.start(station)
    assert start is not None
    id, faults = function.replace("_", "-"), stage.config.faults
    delayed = function == "external_fault" and faults.external_watched == "after_start_delay"
    words = f"{rest.words}, {stage.stood(function, True)}"
    if delayed:
        place = rest.after(f"{words} (its wire lifted)", act.lines)
        told = f"{start.words}, timed from the start of the motor until the drive trips"
        yield Draft(f"{id}.after-start", topic, place, told, start.lines, "fault", again=True)
        return
    yield Draft(f"{id}.at-rest", topic, rest, act.words, act.lines)
    yield Draft(f"{id}.start", topic, rest.after(words, act.lines), start.words, start.lines)
