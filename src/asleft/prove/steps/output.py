"""What the drive tells the plant: relays with their delays, the analog output; the motor's current."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import Final

from asleft.behaviour import Outcome
from asleft.behaviour.config import Relay
from asleft.behaviour.relays import NOT_MODELLED
from asleft.prove import analog_out
from asleft.prove.sheet import Draft
from asleft.prove.stage import LOCAL, NAMES, REMOTE, Act, Place, Stage
from asleft.prove.steps.trip import TRIPS, tripped
from asleft.prove.trial import OUTPUT_OFF

WATCHED_S = Fraction(1, 2)
"""A delay shorter than this is not told from none with a watch."""


def relays(stage: Stage) -> Iterator[Draft]:
    """Each relay at rest, running and in the state it speaks of, and its delays."""
    station = stage.main
    if station is None:
        return
    for name, relay in stage.config.outputs.relays.items():
        if relay.function != "none":
            yield from _relay(stage, station, name, relay)


def _relay(stage: Stage, station: int, name: str, relay: Relay) -> Iterator[Draft]:
    said = f"{name.replace('_', ' ')} ({relay.function.replace('_', ' ')})"
    why = f"{relay.function.replace('_', ' ')} hangs on the load" if relay.function in NOT_MODELLED else ""
    for place, id in _places(stage, station, relay.function):
        yield Draft(
            f"{name}.{id}",
            f"Output {said}",
            place,
            f"look at {name.replace('_', ' ')}: is it energised or released?",
            (),
            "contact",
            of=name,
            again=id == "running",
            cannot=why,
            note=_permits(stage, name) if id == "running" else "",
        )
    if not why:
        yield from _delays(stage, station, name, relay, said)


def _places(stage: Stage, station: int, function: str) -> Iterator[tuple[Place, str]]:
    running = stage.running(station)
    yield stage.rest(station), "rest"
    yield running, "running"
    yield from _changed_place(stage, station, function)
    if function in ("remote_active", "local_active"):
        other = LOCAL if station == REMOTE else REMOTE
        if other in stage.stations:
            yield stage.rest(other), "other-station"


def _changed_place(stage: Stage, station: int, function: str) -> Iterator[tuple[Place, str]]:
    """The first mishap that brings about what a relay speaks of."""
    asked = _SPEAKS.get(function)
    if asked is None:
        return
    for here, act in _mishaps(stage, station):
        running = stage.running(here)
        place = running.after(f"in {NAMES[here]}, after: {act.words}", act.lines)
        if asked(stage.at(place).outcome):
            yield place, "tripped"
            return


_SPEAKS: Final[dict[str, Callable[[Outcome], bool]]] = {
    "fault": lambda seen: bool(seen.fault),
    "ready": lambda seen: bool(seen.fault),
    "warning": lambda seen: bool(seen.warnings),
    "signal_lost": lambda seen: any("signal" in warning for warning in seen.warnings),
}


def _mishaps(stage: Stage, station: int) -> Iterator[tuple[int, Act]]:
    """What can go wrong and be tried, each from running in a station."""
    for trip in TRIPS:
        if stage.carries(trip):
            yield station, tripped(stage, trip)
    for number in stage.channels(station):
        unit = stage.config.reference.channels[number].unit
        yield station, Act(f"lift the wire of analog {number}", (f"analog {number} = 0 {unit}",))
    yield station, Act("open the safe-torque-off circuit", ("safe torque off opens",))
    for here in stage.runs:
        yield here, Act("take the keypad off", ("keypad is pulled out",))


def _permits(stage: Stage, name: str) -> str:
    if stage.asset is None or not name.startswith("relay_"):
        return ""
    number = int(name[-1])
    gives = [f"{p.to} ({p.input.replace('_', ' ')})" for p in stage.asset.permits if p.relay == number]
    return f"It permits {', '.join(gives)}: see there that it arrives." if gives else ""


def _delays(stage: Stage, station: int, name: str, relay: Relay, said: str) -> Iterator[Draft]:
    start = stage.start(station)
    assert start is not None
    if relay.function not in ("running", "at_reference", "above_frequency_1"):
        return
    plain_name = name.replace("_", " ")
    if relay.on_delay >= WATCHED_S:
        words = f"{start.words}, timed from the command until {plain_name} changes"
        yield Draft(
            f"{name}.on-delay",
            f"Output {said}",
            stage.rest(station),
            words,
            start.lines,
            "contact time",
            of=name,
        )
    if relay.off_delay >= WATCHED_S and relay.function == "running" and stage.can_stop(station):
        stop = stage.stop(station)
        words = f"{stop.words}, timed from 0.0 Hz on the display until {plain_name} changes"
        acts = (*stop.lines, OUTPUT_OFF)
        place = stage.running(station)
        yield Draft(
            f"{name}.off-delay", f"Output {said}", place, words, acts, "contact time", of=name, again=True
        )


def analog(stage: Stage) -> Iterator[Draft]:
    """The analog output at rest and running."""
    station, quantity = stage.main, analog_out.quantity(stage.drive.values)
    if station is None or not quantity:
        return
    said = quantity.replace("_", " ")
    follows = quantity in analog_out.QUANTITIES
    known = analog_out.signal(stage.drive.values, Fraction(0))[0] is not None
    why = "" if known else f"{said} hangs on the load" if not follows else "its span or scale was not read"
    for place, id in ((stage.rest(station), "rest"), (stage.running(station), "running")):
        yield Draft(
            f"analog-out.{id}",
            f"Analog output ({said})",
            place,
            "measure the signal of the analog output",
            (),
            "analog out",
            again=id == "running",
            cannot=why,
            unit="mA",
        )


def current(stage: Stage) -> Iterator[Draft]:
    """The motor's current under its normal load: noted, for the load is not in the set."""
    if stage.main is None:
        return
    rated = stage.drive.values.get("motor.rated_current_a")
    known = f"; the set's motor has {rated} A" if rated is not None else ""
    yield Draft(
        "current.normal",
        "Motor current",
        stage.running(stage.main),
        "read the motor current under normal load, and note it",
        (),
        load="normal",
        cannot=f"the current hangs on the load, which is not in the set{known}",
        unit="A",
    )
