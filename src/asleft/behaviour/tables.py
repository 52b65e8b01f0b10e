"""Three tables a person asks for: who can do what, what a broken wire does, what each loss does."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from asleft.behaviour.drive import Drive
from asleft.behaviour.events import FUNCTIONS_WITHOUT_EFFECT, Wanted
from asleft.behaviour.inputs import (
    AI1,
    AI2,
    ANALOG,
    BUS_HZ,
    BUS_LOST,
    BUS_RUN,
    KEYPAD,
    POWER,
    TORQUE_SAFE,
    Event,
)
from asleft.behaviour.narrate import end_words
from asleft.behaviour.reach import Node, Reach, breaks_wire
from asleft.behaviour.state import Outcome
from asleft.behaviour.words import contact_name, functions_at


@dataclass(frozen=True, slots=True)
class StationRow:
    """At one station: who can start, stop, reverse and set the speed (contacts, keypad, signals, bus)."""

    station: str
    start: tuple[str, ...]
    stop: tuple[str, ...]
    reverse: tuple[str, ...]
    speed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WireRow:
    """One wire breaks: what the drive does while running, and at rest, in words."""

    terminal: str
    running: str
    at_rest: str


@dataclass(frozen=True, slots=True)
class LossRow:
    """One loss while running: what the drive does, and what it does when the loss is over."""

    loss: str
    does: str
    on_return: str


@dataclass(frozen=True, slots=True)
class Tables:
    """All three."""

    stations: tuple[StationRow, ...]
    wires: tuple[WireRow, ...]
    losses: tuple[LossRow, ...]


def tables_of(drive: Drive) -> Tables:
    """The three tables of a drive, from everything it can come to."""
    reach = Reach(drive, Wanted(keypad_speed=True))
    return Tables(stations=_stations(reach), wires=_wires(reach), losses=_losses(reach))


def _actor(reach: Reach, event: Event) -> str:
    """Who makes an event happen, in a word; "" for supply, faults and the like."""
    if event.kind in ("key", "keypad_hz"):
        return "keypad"
    if event.kind == "turn":
        return event.words.partition(" turns to ")[0]
    if event.kind != "set":
        return ""
    if event.index < AI1:
        return contact_name(event.index, reach.drive.config)
    if event.index in (AI1, AI2):
        return f"analog {event.index - AI1 + 1}"
    return "bus" if event.index in (BUS_RUN, BUS_HZ) else ""


def _stations(reach: Reach) -> tuple[StationRow, ...]:
    found: dict[str, dict[str, set[str]]] = {}
    for node in reach.parents:
        was = reach.outcome(node)
        if was.station == "no power" or was.fault:
            continue
        row = found.setdefault(was.station, {"start": set(), "stop": set(), "reverse": set(), "speed": set()})
        for number, after, _ in reach.edges(node):
            event, now = reach.events[number], reach.outcome(after)
            what = _change(was, now, number, reach)
            if what:
                row[what].add(_actor(reach, event))
    return tuple(
        StationRow(station, *(tuple(sorted(row[w] - {""})) for w in ("start", "stop", "reverse", "speed")))
        for station, row in sorted(found.items())
    )


def _change(was: Outcome, now: Outcome, number: int, reach: Reach) -> str:
    if now.fault or now.station != was.station or _is_loss(reach.events[number], reach):
        return ""
    if now.output and not was.output:
        return "start" if reach.commands[number] else ""
    if was.output and not now.output:
        return "stop"
    if was.turning and now.turning and was.direction != now.direction:
        return "reverse"
    return "speed" if was.output and now.frequency != was.frequency else ""


def _is_loss(event: Event, reach: Reach) -> bool:
    """A signal that falls out of its live zone sets no speed."""
    if event.kind != "set" or event.index not in (AI1, AI2):
        return False
    channel = reach.drive.config.reference.channels[event.index - AI1 + 1]
    return channel.live_zero and min(event.value, event.old) < channel.loss_low


def _wires(reach: Reach) -> tuple[WireRow, ...]:
    rows = []
    indexes = [i for i in range(AI1) if functions_at(reach.drive.config, i)]
    indexes += [i for i in (AI1, AI2) if len(reach.letters.levels[i]) > 1]
    for index in indexes:
        functions = functions_at(reach.drive.config, index)
        if functions and all(f in FUNCTIONS_WITHOUT_EFFECT for f in functions):
            continue
        rows.append(
            WireRow(_terminal(reach, index), _broken(reach, index, True), _broken(reach, index, False))
        )
    return tuple(rows)


def _terminal(reach: Reach, index: int) -> str:
    return contact_name(index, reach.drive.config) if index < AI1 else f"analog {index - AI1 + 1}"


def _broken(reach: Reach, index: int, running: bool) -> str:
    for node in reach.parents:
        was = reach.outcome(node)
        if was.station == "no power" or was.fault or was.output != running or _both_ways(reach, node):
            continue
        for number, after, how in reach.edges(node):
            if reach.events[number].index == index and breaks_wire(reach.events[number]):
                return end_words(reach.outcome(after), how, was, commanded=False)
    return "the contact is open then: a broken wire changes nothing and is not noticed"


def _both_ways(reach: Reach, node: Node) -> bool:
    """Both direction contacts act: no state to judge a broken wire by."""
    contacts = reach.drive.config.contacts
    return all(
        any(bool(reach.letters.levels[i][node[0][i]]) != inverted for i, inverted in contacts.get(f, ()))
        for f in ("run_forward", "run_reverse")
    )


Lost = tuple[str, Event, Event]

LOSSES: Final[tuple[Lost, ...]] = (
    ("supply", Event("set", POWER, 0), Event("set", POWER, 1)),
    ("safe torque off opens", Event("set", TORQUE_SAFE, 0), Event("set", TORQUE_SAFE, 1)),
    ("keypad pulled out", Event("set", KEYPAD, 0), Event("set", KEYPAD, 1)),
    ("bus", Event("set", BUS_LOST, 1), Event("set", BUS_LOST, 0)),
)


def _losses(reach: Reach) -> tuple[LossRow, ...]:
    drive = reach.drive
    node = next((n for n in reach.parents if reach.outcome(n).turning and not reach.outcome(n).fault), None)
    if node is None:
        return ()
    losses = list(LOSSES if len(reach.letters.levels[BUS_LOST]) > 1 else LOSSES[:3])
    for number, channel in drive.config.reference.channels.items():
        index = ANALOG[number]
        if len(reach.letters.levels[index]) > 1:
            healthy = reach.letters.levels[index][node[0][index]]
            losses.append(
                (
                    f"analog {number} signal",
                    Event("set", index, channel.low * 0),
                    Event("set", index, healthy),
                )
            )
    for function in ("run_enable", "external_fault"):
        for index, inverted in drive.config.contacts.get(function, ()):
            bad = int(inverted) if function == "run_enable" else int(not inverted)
            losses.append(
                (function.replace("_", " "), Event("set", index, bad), Event("set", index, 1 - bad))
            )
    return tuple(_loss_row(reach, node, *loss) for loss in losses)


def _loss_row(reach: Reach, node: Node, name: str, gone: Event, back: Event) -> LossRow:
    was, first, second = reach.outcome(node), reach.then(node, (gone,)), reach.then(node, (gone, back))
    return LossRow(
        name, end_words(first[0], first[1], was, False), end_words(second[0], second[1], first[0], False)
    )
