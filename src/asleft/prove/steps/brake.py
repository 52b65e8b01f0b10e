"""The mechanical brake: when it lifts and closes, that every loss closes it, its feedback."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Final

from asleft.prove.sheet import Draft
from asleft.prove.stage import Act, Place, Stage
from asleft.prove.steps.output import WATCHED_S
from asleft.prove.trial import BRAKE_CLOSES, BRAKE_LIFTS, Measure, Recipe, carry_out

TOPIC: Final = "Mechanical brake"
BY_TRACE: Final = "It is over in a moment: read it by the drive's trace, or film the display and the brake."
LOOK: Final = "look at the brake: is it lifted or closed?"


def sequence(stage: Stage) -> Iterator[Draft]:
    """At rest, lifting at a start, closing at a stop."""
    station = stage.main
    if station is None or not stage.config.brake.on:
        return
    yield Draft("brake.rest", TOPIC, stage.rest(station), LOOK, (), "brake", again=True)
    yield from _lifting(stage, station)
    yield Draft("brake.running", TOPIC, stage.running(station), LOOK, (), "brake", again=True)
    if stage.can_stop(station):
        yield from _closing(stage, station)


def _lifting(stage: Stage, station: int) -> Iterator[Draft]:
    rest, start = stage.rest(station), stage.start(station)
    assert start is not None
    yield Draft(
        "brake.lift-hz",
        TOPIC,
        rest,
        f"{start.words}, read the frequency at which the brake lifts",
        start.lines,
        "lift hz",
        again=True,
        note=BY_TRACE,
    )
    yield _current(stage, rest, start)
    yield Draft(
        "brake.sag",
        TOPIC,
        rest,
        f"{start.words} and watch the load as the brake lifts: does it hold, without a sag or a kick?",
        start.lines,
        again=True,
        load="normal",
        cannot="the load, and the torque the motor has by then, are not in the set",
    )
    words = f"{start.words}, timed from the command until the brake lifts"
    yield from _timed("brake.lift-time", stage, rest, words, start.lines, "lift time")
    words = f"{start.words}, timed from the brake lifting until the speed rises"
    yield from _timed("brake.lift-delay", stage, rest, words, (*start.lines, BRAKE_LIFTS), "lift delay")


def _current(stage: Stage, rest: Place, start: Act) -> Draft:
    amps = stage.drive.values.get("mechanical_brake.release_current_a")
    known = f"; the set says: lifts from {amps} A" if isinstance(amps, Decimal) else "; the set has none"
    return Draft(
        "brake.lift-current",
        TOPIC,
        rest,
        f"{start.words}, note the motor current at which the brake lifts",
        start.lines,
        again=True,
        cannot=f"the release current is taken as reached here, for the current hangs on the load{known}",
        unit="A",
        note=BY_TRACE,
    )


def _closing(stage: Stage, station: int) -> Iterator[Draft]:
    running, stop = stage.running(station), stage.stop(station)
    if stage.stops(running.lines, stop)[0] in ("ramp", "quick ramp"):
        yield Draft(
            "brake.close-hz",
            TOPIC,
            running,
            f"{stop.words}, read the frequency at which the brake closes",
            stop.lines,
            "close hz",
            again=True,
            note=BY_TRACE,
        )
    words = f"{stop.words}, timed from the command until the brake closes"
    yield from _timed("brake.close-time", stage, running, words, stop.lines, "close time")
    words = f"{stop.words}, timed from the brake closing until the output is off"
    yield from _timed("brake.hold", stage, running, words, (*stop.lines, BRAKE_CLOSES), "off")


def _timed(
    id: str, stage: Stage, place: Place, words: str, acts: tuple[str, ...], measure: Measure
) -> Iterator[Draft]:
    """A time of the sequence, where a watch can tell it from none."""
    seen = carry_out(stage.drive, Recipe(place.lines, acts, measure), stage.drive.idle())
    if seen.value is not None and seen.value >= WATCHED_S:
        yield Draft(id, TOPIC, place, words, acts, measure)


def losses(stage: Stage) -> Iterator[Draft]:
    """Every loss while running must close it: how soon, is predicted."""
    station = stage.main
    if station is None or not stage.config.brake.on:
        return
    running = stage.running(station)
    for id, act in _losses(stage):
        words = f"{act.words}, timed until the brake closes"
        supply = id == "supply"
        yield Draft(f"brake.{id}", TOPIC, running, words, act.lines, "close time", again=True, supply=supply)


def _losses(stage: Stage) -> Iterator[tuple[str, Act]]:
    if stage.carries("run_enable"):
        yield "enable", stage.contact("run_enable", False)
    yield "sto", Act("open the safe-torque-off circuit by its own device", ("safe torque off opens",))
    yield "supply", Act("switch the supply off at its isolator", ("supply goes off",))


def feedback(stage: Stage) -> Iterator[Draft]:
    """The brake's own contact disagrees: not simulated, so what the set says stands beside it."""
    station, values = stage.main, stage.drive.values
    if station is None or not stage.config.brake.on or not stage.carries("brake_feedback"):
        return
    reaction = str(values.get("mechanical_brake.feedback_reaction", "not read")).replace("_", " ")
    within = values.get("mechanical_brake.feedback_time_s")
    told = f" within {within} s" if isinstance(within, Decimal) else ""
    why = f"brake feedback is not simulated; the set says: reaction {reaction}{told}"
    name, start = stage.name("brake_feedback"), stage.start(station)
    assert start is not None
    held = f"keep {name} as it is at rest (lift its wire, or bridge it), then {start.words}"
    yield Draft("brake.feedback-start", TOPIC, stage.rest(station), held, start.lines, again=True, cannot=why)
    lost = f"make {name} say that the brake has closed (lift its wire, or bridge it)"
    yield Draft("brake.feedback-running", TOPIC, stage.running(station), lost, again=True, cannot=why)
