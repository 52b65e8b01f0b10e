"""What each source of speed gives: signals, keypad, bus, presets, jog, skip bands."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from asleft.behaviour.config import Channel
from asleft.behaviour.levels import signal_at
from asleft.behaviour.reference import PRESET_BITS
from asleft.behaviour.words import hertz, plain
from asleft.prove.sheet import Draft
from asleft.prove.stage import LOCAL, NAMES, REMOTE, Act, Stage, at_share
from asleft.prove.steps.station import STEADY

QUARTERS: Final = (0, 25, 50, 75, 100)
AGAIN_AT: Final = (0, 50, 100)
NOT_FOLLOWED: Final = ("bipolar_10_v", "pulse")
FAILED_HIGH_MA: Final = 21
"""A transmitter that has failed high. Source: NAMUR NE 43."""


def analog(stage: Stage) -> Iterator[Draft]:
    """Each analog input that sets a speed, at the quarters of its span, and failed high."""
    done: set[int] = set()
    for station in stage.runs:
        for number in stage.channels(station):
            if number not in done:
                done.add(number)
                yield from _quarters(stage, station, number)


def _quarters(stage: Stage, station: int, number: int) -> Iterator[Draft]:
    channel = stage.config.reference.channels[number]
    topic, running = f"Speed by analog {number}", stage.running(station)
    kind = str(stage.drive.values.get(f"analog_inputs.ai_{number}.signal"))
    why = "bipolar and pulse signals are not simulated" if kind in NOT_FOLLOWED else ""
    why = why or stage.controlled(station)
    lines: tuple[str, ...] = ()
    for percent in QUARTERS:
        act = stage.signal(number, at_share(channel, Fraction(percent, 100)))
        yield Draft(
            f"analog-{number}.{percent}",
            topic,
            running.after(f"in {NAMES[station]}, running", lines),
            f"set {act.words} ({percent} %), {STEADY}",
            act.lines,
            "hz",
            at=_signal_words(act),
            again=percent in AGAIN_AT,
            cannot=why,
            unit="Hz",
        )
        lines = (*lines, *act.lines)
    if channel.unit == "mA":
        yield _failed_high(stage, station, number, channel, why)


def _signal_words(act: Act) -> str:
    return act.words.partition(" on ")[0]


def _failed_high(stage: Stage, station: int, number: int, channel: Channel, why: str) -> Draft:
    level = max(Fraction(FAILED_HIGH_MA), (channel.loss_high or 0) + Fraction(1, 2))
    act = stage.signal(number, level)
    return Draft(
        f"analog-{number}.high",
        f"Speed by analog {number}",
        stage.running(station),
        f"set {act.words}, as from a sender that has failed high",
        act.lines,
        at=_signal_words(act),
        cannot=why,
    )


def other_sources(stage: Stage) -> Iterator[Draft]:
    """Keypad, bus and raise/lower: as far down and as far up as they go."""
    for station in stage.runs:
        source = stage.config.stations.reference[station]
        running, name = stage.running(station), NAMES[station]
        for end, act in _ends(stage, source):
            yield Draft(
                f"{name}.{source}.{end}",
                f"Speed by {SOURCES[source]}",
                running,
                f"{act.words}, {STEADY}",
                act.lines,
                "hz",
                again=station == stage.main,
                cannot=stage.controlled(station),
                unit="Hz",
            )


SOURCES: Final = {"keypad": "keypad", "comms": "bus", "up_down": "raise and lower"}


def _ends(stage: Stage, source: str) -> Iterator[tuple[str, Act]]:
    top = max(stage.config.limits.maximum, stage.config.limits.ceiling)
    if source == "keypad":
        yield "least", Act("turn the keypad speed all the way down", ("keypad reference = 0.0 Hz",))
        yield "most", Act("turn the keypad speed all the way up", (f"keypad reference = {hertz(top)}",))
    if source == "comms":
        for end, hz in (("least", Fraction(0)), ("most", stage.config.reference.bus_full_hz)):
            yield end, Act(f"send a bus reference of {hertz(hz)}", (f"bus reference = {hertz(hz)}",))
    if source == "up_down":
        for end, function in (("most", "raise"), ("least", "lower")):
            if stage.carries(function):
                held, freed = stage.contact(function, True), stage.contact(function, False)
                words = f"{held.words} until the speed no longer changes, then let go"
                yield end, Act(words, (*held.lines, *freed.lines))


def presets_and_jog(stage: Stage) -> Iterator[Draft]:
    """Every preset the contacts can choose, and jog."""
    station = stage.main
    bits = [bit for bit in PRESET_BITS if stage.carries(bit)]
    if station is None:
        return
    for number in _chosen(stage, len(bits)):
        act = _choose(stage, bits, number)
        yield Draft(
            f"preset-{number}",
            "Presets",
            stage.running(station),
            f"{act.words} (preset {number}), {STEADY}",
            act.lines,
            "hz",
            at=f"preset {number}",
            again=number == 1,
        )
    by_wire = REMOTE if stage.config.stations.command[REMOTE] == "terminals" else LOCAL
    for function in ("jog_forward", "jog_reverse"):
        if stage.carries(function) and by_wire in stage.stations:
            act = stage.contact(function, True)
            words = f"{act.words} and hold, {STEADY}"
            yield Draft(f"{function}.run", "Jog", stage.rest(by_wire), words, act.lines, "hz", at="jog")
            let_go = stage.contact(function, False)
            held = stage.rest(by_wire).after(f"jogging with {stage.name(function)}", act.lines)
            yield Draft(f"{function}.stop", "Jog", held, f"let go: {let_go.words}", let_go.lines)


def _chosen(stage: Stage, bits: int) -> range:
    if not bits:
        return range(0)
    return range(1, 2**bits) if stage.config.reference.preset_binary else range(1, bits + 1)


def _choose(stage: Stage, bits: list[str], number: int) -> Act:
    binary = stage.config.reference.preset_binary
    wanted = [bool(number >> n & 1) if binary else n + 1 == number for n in range(len(bits))]
    acts = [stage.contact(bit, True) for bit, on in zip(bits, wanted, strict=True) if on]
    return Act(" and ".join(a.words for a in acts), tuple(line for a in acts for line in a.lines))


def skip_bands(stage: Stage) -> Iterator[Draft]:
    """Each skip band a signal can ask for, from below and from above."""
    station = stage.main
    if station is None or stage.controlled(station):
        return
    for number in stage.channels(station)[:1]:
        channel = stage.config.reference.channels[number]
        for low, high in stage.config.limits.bands:
            middle = (low + high) / 2
            if min(channel.f_low, channel.f_high) < low and high < max(channel.f_low, channel.f_high):
                yield from _both_ways(stage, station, number, channel, (low, middle, high))


def _both_ways(
    stage: Stage, station: int, number: int, channel: Channel, band: tuple[Fraction, Fraction, Fraction]
) -> Iterator[Draft]:
    low, middle, high = band
    share = (middle - channel.f_low) / (channel.f_high - channel.f_low)
    into = stage.signal(number, Fraction(round(signal_at(channel, share) * 100), 100))
    name = f"{plain(low)}-{plain(high)}"
    for way, end in (("below", Fraction(0)), ("above", Fraction(1))):
        first = stage.signal(number, at_share(channel, end if channel.f_high > channel.f_low else 1 - end))
        speed = hertz(stage.at(stage.running(station).after("", first.lines)).outcome.frequency)
        yield Draft(
            f"skip.{name}.{way}",
            f"Skip band {plain(low)} to {plain(high)} Hz",
            stage.running(station).after(
                f"in {NAMES[station]}, running at {speed} ({first.words})", first.lines
            ),
            f"set {into.words} (asks for {hertz(middle)}), {STEADY}",
            into.lines,
            "hz",
            at=f"{_signal_words(into)} from {way}",
        )
