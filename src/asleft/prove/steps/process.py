"""Process control: which way it answers, what a lost signal does, switched off; sleep and wake.

A signal source stands in for the process: the simulated controller ends at its limit while signals stand.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from typing import Final

from asleft.behaviour.words import hertz, plain
from asleft.prove.sheet import LEFT, Draft
from asleft.prove.stage import NAMES, NOTHING, Act, Place, Stage, at_share
from asleft.prove.steps.recovering import gone_and_back
from asleft.prove.steps.station import STEADY

TOPIC: Final = "Process controller"
SLEEP: Final = "Sleep and wake"
BESIDE: Final = Fraction(1, 20)
"""How far beside the wake level a signal is set, as a share of the span."""
UNHURRIED: Final = "The controller takes its time to get there: wait a few of its integral times."
AT_ITS_LIMIT: Final = "It runs as fast as it may already: a run to full speed cannot be seen from here."


def by_controller(stage: Stage) -> int | None:
    """The first station in which the controller sets the speed of a motor that runs; None where none does."""
    return next((s for s in stage.runs if stage.config.stations.reference[s] == "pid"), None)


def _unseen(stage: Stage) -> str:
    """Why the measured value cannot be played by a signal source; "" where it can."""
    if stage.input_of(stage.config.sleep.feedback) is not None:
        return ""
    source = {"comms": "comes over the bus", "estimated": "is estimated by the drive"}
    how = source.get(stage.config.sleep.feedback, "comes by no analog input that was read")
    return f"the measured value {how}, which is not simulated"


def controller(stage: Stage) -> Iterator[Draft]:
    """Too little, too much, and the process itself."""
    station = by_controller(stage)
    if station is None:
        return
    running, why = stage.running(station), _unseen(stage)
    for id, words, value in (
        ("pid.too-little", "the measured value below the set point", stage.wanted / 2),
        ("pid.too-much", "the measured value above the set point", (stage.wanted + 1) / 2),
    ):
        act = stage.measured(value)
        told = f"set {act.words}" if act.words else f"bring {words}"
        yield Draft(
            id, TOPIC, running, f"{told}: {words}, {STEADY}" if act.words else f"{told}, {STEADY}", act.lines,
            "hz", at=words, again=True, cannot=why, unit="Hz", note=UNHURRIED,
        )  # fmt: skip
    yield Draft(
        "pid.holds",
        TOPIC,
        running,
        "put the transmitter back: does the measured value come to the set point and hold there?",
        again=True,
        load="normal",
        cannot="how the process answers is not in the set",
        note="Note the value, the set point and the speed.",
    )


def signals(stage: Stage) -> Iterator[Draft]:
    """The wire of the measured value, and of the set point, breaks and is put back.

    It is tried from the speed that a dead signal taken as zero would lead away from.
    """
    station, rules = by_controller(stage), stage.config.sleep
    if station is None:
        return
    for id, of, source, fast in (
        ("pid-feedback", "the measured value", rules.feedback, not rules.raises),
        ("pid-setpoint", "the set point", rules.setpoint_source, rules.raises),
    ):
        number = stage.input_of(source)
        if number is not None:
            unit = stage.config.reference.channels[number].unit
            place, whole = _turning(stage, station, fast)
            gone = Act(f"lift the wire of analog {number} ({of})", (f"analog {number} = 0 {unit}",))
            back = Act(f"put the wire back ({whole.words})", whole.lines)
            topic = f"Loss of {of}"
            note = (
                UNHURRIED if fast or whole != stage.process(stage.asking) else f"{UNHURRIED} {AT_ITS_LIMIT}"
            )
            yield from gone_and_back(stage, id, topic, station, gone, back, note=note, place=place)


def _turning(stage: Stage, station: int, fast: bool) -> tuple[Place, Act]:
    """Running as fast, or as slow, as the controller lets it; fast where it does not turn when slow."""
    running, slow = stage.running(station), stage.process(stage.enough)
    place = running.after("", slow.lines)
    seen = stage.at(place).outcome
    if fast or not seen.turning:
        return running, stage.process(stage.asking)
    words = f"in {NAMES[station]}, running at {hertz(seen.frequency)} ({slow.words})"
    return running.after(words, slow.lines), slow


def switched_off(stage: Stage) -> Iterator[Draft]:
    """The contact that takes the controller out, and its return; a controller that only trims."""
    station, running = by_controller(stage), None
    if station is not None:
        running = stage.running(station)
    elif stage.main is not None and stage.drive.values.get("process.pid_mode") == "trim":
        running = stage.running(stage.main)
        yield Draft(
            "pid.trim",
            TOPIC,
            running,
            "move the measured value away from the set point, and note how far the speed follows",
            cannot="trimming by the controller is not simulated",
            unit="Hz",
        )
    if running is None or not stage.carries("pid_off"):
        return
    why = "switching the controller off by an input is not simulated"
    off, on = stage.contact("pid_off", True), stage.contact("pid_off", False)
    held = f"{off.words}: which speed does it hold or take?"
    yield Draft("pid.off", TOPIC, running, held, off.lines, again=True, cannot=why)
    returned = f"{on.words}: does the controller take over again without a jump?"
    yield Draft("pid.on", TOPIC, running.after(LEFT, off.lines), returned, on.lines, again=True, cannot=why)


def sleep(stage: Stage) -> Iterator[Draft]:
    """Falls asleep, stays so beside the wake level, wakes by itself, and does not once it is stopped."""
    rules = stage.config.sleep
    station = stage.main if not rules.controller else by_controller(stage)
    if station is None or not rules.sleep:
        return
    low, still, wakes = _demands(stage, station)
    why = "" if low.lines else _unseen(stage) if rules.controller else "no signal here asks for so little"
    running = stage.running(station)
    words = f"set {low.words}" if low.lines else "let the demand fall below the sleep frequency"
    yield _falls(stage, running, Act(words, low.lines), why)
    asleep = running.after(
        f"in {NAMES[station]}, asleep" + (f" ({low.words})" if low.words else ""), low.lines
    )
    if still.lines:
        words = f"set {still.words}: just not enough to wake it"
        yield Draft("sleep.stays", SLEEP, asleep, words, still.lines, again=True)
    words = f"set {wakes.words}" if wakes.lines else "let the value pass the wake level"
    told = f"{words}, timed until the output goes on"
    yield Draft("sleep.wakes", SLEEP, asleep, told, wakes.lines, "on", again=True, cannot=why, unit="s")
    yield from _stopped(stage, station, asleep, wakes, why)


def _falls(stage: Stage, running: Place, act: Act, why: str) -> Draft:
    """Timed where a signal asks for the speed; a controller takes its own time to ask for less."""
    rules = stage.config.sleep
    timed = f"{act.words}, timed until the output is off and the drive sleeps"
    asks = f"{hertz(rules.sleep_hz)} or less"
    note = f"It sleeps {plain(rules.sleep_delay)} s after the controller asks for {asks}."
    draft = Draft("sleep.falls", SLEEP, running, timed, act.lines, "off", again=True, cannot=why, unit="s")
    if not rules.controller:
        return draft
    waited = f"{act.words}, wait until the drive sleeps"
    return replace(draft, words=waited, measure="outcome", unit="", note=note)


def _stopped(stage: Stage, station: int, asleep: Place, wakes: Act, why: str) -> Iterator[Draft]:
    if not stage.can_stop(station):
        return
    stop = stage.stop(station)
    place = asleep.after(f"{asleep.words}, then stopped: {stop.words}", stop.lines)
    words = f"set {wakes.words}" if wakes.lines else "let the value pass the wake level"
    yield Draft("sleep.stopped", SLEEP, place, words, wakes.lines, again=True, cannot=why)


def _demands(stage: Stage, station: int) -> tuple[Act, Act, Act]:
    """A signal that sends it to sleep, one that is just not enough to wake it, and one that wakes it."""
    rules = stage.config.sleep
    if not rules.controller:
        return _by_reference(stage, station)
    beside = BESIDE if rules.wake_below else -BESIDE
    inside = 0 < rules.wake_level + beside < 1 and 0 < rules.wake_level - beside < 1
    return (
        stage.measured(Fraction(int(rules.raises))),
        stage.measured(rules.wake_level + beside) if inside else NOTHING,
        stage.measured(rules.wake_level - beside if inside else Fraction(int(not rules.wake_below))),
    )


def _by_reference(stage: Stage, station: int) -> tuple[Act, Act, Act]:
    for number in stage.channels(station)[:1]:
        channel = stage.config.reference.channels[number]
        low = at_share(channel, Fraction(int(channel.f_high < channel.f_low)))
        return stage.signal(number, low), NOTHING, stage.asks(station)
    return NOTHING, NOTHING, NOTHING
