"""Each loss and its return: run enable, signals, bus, keypad, safe torque off."""

from __future__ import annotations

from collections.abc import Iterator

from asleft.behaviour.events import source_names
from asleft.prove.sheet import Draft
from asleft.prove.stage import NAMES, Act, Stage
from asleft.prove.steps.recovering import gone_and_back
from asleft.prove.steps.station import STEADY, TIMED


def enable(stage: Stage) -> Iterator[Draft]:
    """The run enable opens and closes again; a start without it."""
    station = stage.main
    if station is None or not stage.carries("run_enable"):
        return
    opened, closed = stage.contact("run_enable", False), stage.contact("run_enable", True)
    start = stage.start(station)
    assert start is not None
    yield from gone_and_back(stage, "enable", "Run enable", station, opened, closed)
    without = stage.rest(station, enabled=False)
    place = without.after(f"{without.words}, {stage.stood('run_enable', False)}", ())
    yield Draft("enable.start-without", "Run enable", place, start.words, start.lines, again=True)


def signals(stage: Stage) -> Iterator[Draft]:
    """The wire of each analog input that sets a speed breaks: running, at rest, before a start."""
    done: set[int] = set()
    for station in stage.runs:
        for number in stage.channels(station):
            if number not in done:
                done.add(number)
                yield from _running(stage, station, number)
                yield from _from_rest(stage, station, number)


def _lifted(stage: Stage, number: int) -> Act:
    unit = stage.config.reference.channels[number].unit
    return Act(f"lift the wire of analog {number}", (f"analog {number} = 0 {unit}",))


def _running(stage: Stage, station: int, number: int) -> Iterator[Draft]:
    healthy = stage.asks(station)
    back = Act(f"put the wire back ({healthy.words})", healthy.lines)
    why, topic = stage.controlled(station), f"Loss of analog {number}"
    yield from gone_and_back(stage, f"loss-{number}", topic, station, _lifted(stage, number), back, why)


def _from_rest(stage: Stage, station: int, number: int) -> Iterator[Draft]:
    topic, id, why = f"Loss of analog {number}", f"loss-{number}", stage.controlled(station)
    broken, rest, start = _lifted(stage, number), stage.rest(station), stage.start(station)
    assert start is not None
    yield Draft(f"{id}.at-rest", topic, rest, broken.words, broken.lines, cannot=why)
    place = rest.after(f"in {NAMES[station]}, at rest, the wire of analog {number} lifted", broken.lines)
    if not stage.at(place.after("", start.lines)).outcome.turning:
        yield Draft(f"{id}.start", topic, place, start.words, start.lines, again=True, cannot=why)
        return
    at, words = "a broken wire", f"{start.words}, {STEADY}"
    yield Draft(f"{id}.start", topic, place, words, start.lines, "hz", at=at, again=True, cannot=why)
    words = f"{start.words}, {TIMED}"
    yield Draft(f"{id}.start-time", topic, place, words, start.lines, "reach", at=at, cannot=why)


def links(stage: Stage) -> Iterator[Draft]:
    """The bus goes silent; the keypad is pulled out."""
    used = {*(stage.config.stations.command[s] for s in stage.runs), *source_names(stage.config)}
    if stage.main is not None and "comms" in used:
        station = next((s for s in stage.runs if _by_bus(stage, s)), stage.main)
        gone = Act("pull the plug of the bus", ("bus goes silent",))
        back = Act("plug the bus in again", ("bus speaks again",))
        yield from gone_and_back(stage, "bus", "Loss of the bus", station, gone, back)
    for station in stage.runs:
        gone = Act("take the keypad off", ("keypad is pulled out",))
        back = Act("put the keypad back", ("keypad is back",))
        id, topic = f"keypad.{NAMES[station]}", f"Loss of the keypad in {NAMES[station]}"
        note = "Where the keypad can be taken off; leave these steps out otherwise."
        yield from gone_and_back(stage, id, topic, station, gone, back, note=note)


def _by_bus(stage: Stage, station: int) -> bool:
    stations = stage.config.stations
    return "comms" in (stations.command[station], stations.reference[station])


def torque(stage: Stage) -> Iterator[Draft]:
    """Safe torque off opens and closes again: the drive's reaction only."""
    if stage.main is None:
        return
    opened = Act("open the safe-torque-off circuit by its own device", ("safe torque off opens",))
    closed = Act("close the safe-torque-off circuit again", ("safe torque off closes",))
    note = "This tries the drive's reaction only; the safety circuit has its own validation."
    yield from gone_and_back(stage, "sto", "Safe torque off", stage.main, opened, closed, note=note)
