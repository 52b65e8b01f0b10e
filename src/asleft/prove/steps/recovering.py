"""After a loss or a trip: the cause is put right, the fault is reset, a new command is given."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from asleft.prove.sheet import LEFT, Draft
from asleft.prove.stage import Act, Place, Stage
from asleft.prove.steps.station import STEADY, timed_stop


def left_words(stage: Stage, station: int) -> str:
    """As the last step left it, and that the run contact still stands where there is one."""
    if stage.stands(station):
        return f"{LEFT}, {stage.stood(stage.standing, True)}"
    return f"{LEFT}, the start command untouched"


def reset_act(stage: Stage) -> Act | None:
    """A reset where this drive takes one: its input, its keypad, the bus; None where only power resets."""
    source = stage.config.faults.reset_source
    if source in ("any", "input") and stage.carries("fault_reset"):
        pressed = stage.pulse("fault_reset")
        return Act(f"reset: {pressed.words}", pressed.lines)
    if source in ("any", "keypad"):
        return Act("reset: press RESET on the keypad", ("keypad reset pressed",))
    return Act("reset over the bus", ("bus reset",)) if source == "comms" else None


def recovery(
    stage: Stage,
    id: str,
    topic: str,
    station: int,
    lines: tuple[str, ...],
    again: bool = True,
    left: str = LEFT,
) -> Iterator[Draft]:
    """Reset where a fault is shown, then a new command where the motor is at rest, ``left`` so."""
    reset = reset_act(stage)
    if stage.at(Place("", lines)).outcome.fault and reset is not None:
        place = Place(left_words(stage, station), lines)
        yield Draft(f"{id}.reset", topic, place, reset.words, reset.lines, again=again)
        lines = (*lines, *reset.lines)
    seen = stage.at(Place("", lines)).outcome
    if not seen.fault and not seen.output:
        act = stage.again(station)
        yield Draft(f"{id}.restart", topic, Place(left, lines), f"{act.words}, {STEADY}", act.lines, "hz")


def gone_and_back(
    stage: Stage,
    id: str,
    topic: str,
    station: int,
    gone: Act,
    back: Act,
    cannot: str = "",
    note: str = "",
    place: Place | None = None,
) -> Iterator[Draft]:
    """A loss while running, its return with the command standing, a reset, a new command.

    ``place`` is where it runs, if not as usual.
    """
    running = place or stage.running(station)
    yield _lasting(stage, Draft(f"{id}.lost", topic, running, gone.words, gone.lines, note=note), cannot)
    if not cannot:
        yield from timed_stop(stage, f"{id}.time", topic, running, gone)
    lost = running.after(left_words(stage, station), gone.lines)
    yield _lasting(stage, Draft(f"{id}.back", topic, lost, back.words, back.lines), cannot)
    if not cannot:
        yield from recovery(stage, id, topic, station, (*lost.lines, *back.lines))


def _lasting(stage: Stage, draft: Draft, cannot: str) -> Draft:
    """A step of a loss; its speed is read where the motor runs on at another one."""
    before = stage.at(draft.start).outcome
    after = stage.at(draft.start.after("", draft.acts)).outcome
    draft = replace(draft, again=True, cannot=cannot)
    if before.turning and after.turning and before.frequency != after.frequency:
        return replace(draft, words=f"{draft.words}, {STEADY}", measure="hz")
    return draft
