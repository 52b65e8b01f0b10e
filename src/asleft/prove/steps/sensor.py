"""A motor sensor on its own terminals: broken wire at rest and running, its return, where it trips."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from asleft.prove.sheet import LEFT, Draft
from asleft.prove.stage import Place, Stage
from asleft.prove.steps.recovering import left_words, reset_act

TOPIC: Final = "Motor sensor"
TRIPS_OHM: Final = "a PTC control unit of type A trips from 1650 to 4000 ohm"
"""Source: value from memory of IEC 60947-8."""


def sensor(stage: Stage) -> Iterator[Draft]:
    """The simulation does not follow such a sensor: what the set says stands beside what is to be seen."""
    kind = str(stage.drive.values.get("protection.motor_sensor_type", "none"))
    station = stage.main
    if station is None or kind in ("none", "contact"):
        return
    reaction = str(stage.drive.values.get("protection.motor_sensor_reaction", "not read")).replace("_", " ")
    why = f"a sensor on its own terminals is not simulated; the set says: reaction {reaction}"
    lift = f"lift one wire of the motor sensor ({kind.replace('_', ' ').upper()}) at the drive"
    rest, running, start = stage.rest(station), stage.running(station), stage.start(station)
    assert start is not None
    lifted = rest.after(f"{rest.words}, one wire of the motor sensor lifted", ())
    yield Draft("motor-sensor.lifted", TOPIC, rest, lift, again=True, cannot=why)
    yield Draft("motor-sensor.start", TOPIC, lifted, start.words, start.lines, again=True, cannot=why)
    yield Draft("motor-sensor.running", TOPIC, running, lift, again=True, cannot=why)
    yield from _return(stage, station, running, why)
    if kind == "ptc":
        yield _raised(rest, why)


def _return(stage: Stage, station: int, running: Place, why: str) -> Iterator[Draft]:
    """The wire is put back with the command standing; nothing may start by it."""
    left = Place(left_words(stage, station), running.lines)
    back = "put the wire of the motor sensor back: does the motor stay at rest?"
    yield Draft("motor-sensor.back", TOPIC, left, back, again=True, cannot=why)
    reset, again = reset_act(stage), stage.again(station)
    told = f"{reset.words}, then {again.words}" if reset is not None else again.words
    yield Draft("motor-sensor.restart", TOPIC, Place(LEFT, running.lines), told, cannot=why)


def _raised(rest: Place, why: str) -> Draft:
    return Draft(
        "motor-sensor.trip-ohm",
        TOPIC,
        rest,
        "put a resistor decade in place of the sensor, raise it from 100 ohm, note where the drive reacts",
        cannot=f"{why}, and where it trips is the drive's own: {TRIPS_OHM}",
        unit="ohm",
        note="By IEC 60947-8, the ohm from memory. Put the sensor back afterwards.",
    )
