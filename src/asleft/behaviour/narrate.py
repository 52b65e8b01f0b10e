"""A witness as one sentence for a technician."""

from __future__ import annotations

import re
from collections.abc import Sequence

from asleft.behaviour.causes import Replayed
from asleft.behaviour.config import DriveConfig
from asleft.behaviour.differs import NONE
from asleft.behaviour.events import Alphabet, lasting
from asleft.behaviour.inputs import BUS_RUN, COMMAND_GROUP, FUNCTION_GROUP, Event
from asleft.behaviour.search import Move
from asleft.behaviour.state import Outcome
from asleft.behaviour.words import event_words, hertz, outcome_words, sentence

RUN_FUNCTIONS = ("run_forward", "run_reverse", "run")


def told(
    alphabet: Alphabet,
    configs: tuple[DriveConfig, DriveConfig],
    moves: Sequence[Move],
    seen: tuple[Replayed, Replayed],
    sides: tuple[str, str],
    kind: str,
) -> str:
    """``Remote select opens while running: before it stays at rest, now it starts by itself.``"""
    events = [lasting(alphabet, alphabet.events[m.event]) for m in moves]
    begun = _last_common_run(seen, moves)
    happens = _happens(configs, events, moves, begun)
    happens += _still_closed(alphabet, configs, events, begun)
    old, new = _ends(seen, kind, events, configs, moves)
    return sentence(f"{happens}: {sides[0]} {old}, {sides[1]} {new}")


def _last_common_run(seen: tuple[Replayed, Replayed], moves: Sequence[Move]) -> int:
    """How many moves lead to the last settled point at which both drives run alike; 0 for none."""
    a, b = seen
    for n in range(len(moves) - 1, 0, -1):
        if moves[n].moment:
            continue
        if (
            a.outcomes[n].turning
            and b.outcomes[n].turning
            and a.outcomes[n].direction == b.outcomes[n].direction
        ):
            return n
    return 0


def _happens(
    configs: tuple[DriveConfig, DriveConfig], events: Sequence[Event], moves: Sequence[Move], begun: int
) -> str:
    if not events:
        return "at power-up"
    lines = [event_words(e, *configs) for e in events[begun:]]
    if begun:
        lines[0] += " while running"
    told = [lines[0]]
    for line, move in zip(lines[1:], moves[begun + 1 :], strict=True):
        told.append(_joined(told[-1], line) + (f" {move.moment}" if move.moment else ""))
    return "".join(told)


def _joined(before: str, line: str) -> str:
    last = re.sub(r" while running$", "", before.removeprefix(", then ").removeprefix(" and "))
    again = re.fullmatch(r"(.+) (opens|closes)", line)
    if again and last == f"{again[1]} {'closes' if again[2] == 'opens' else 'opens'}":
        return f" and {again[2]} again"
    return f", then {line}"


def _still_closed(
    alphabet: Alphabet, configs: tuple[DriveConfig, DriveConfig], events: Sequence[Event], begun: int
) -> str:
    """That the run contact stands closed, where nothing of the tale has moved it."""
    if len(events) - begun < 2:
        return ""
    closed = dict(enumerate(alphabet.levels[i][n] for i, n in enumerate(alphabet.start)))
    for event in events:
        closed |= dict(event.changes)
    moved = {index for event in events[begun:] for index, _ in event.changes}
    for function in RUN_FUNCTIONS:
        for index, inverted in configs[0].contacts.get(function, ()):
            if index not in moved and bool(closed[index]) != inverted:
                return f" with the run contact still {'open' if inverted else 'closed'}"
    return ""


def _ends(
    seen: tuple[Replayed, Replayed],
    kind: str,
    events: Sequence[Event],
    configs: tuple[DriveConfig, DriveConfig],
    moves: Sequence[Move],
) -> tuple[str, str]:
    settled = len(moves) - 1
    while settled > 0 and moves[settled].moment:
        settled -= 1
    commanded = any(is_start(e, configs) for e in events[max(settled, 0) :])
    ends = []
    for replayed in seen:
        end, halt = replayed.outcomes[-1], replayed.halts[-1]
        was = replayed.outcomes[settled] if moves else None
        ends.append(end_words(end, halt, was, commanded))
    if ends[0] == ends[1]:
        ends = [f"{w}, {_detail(r.outcomes[-1], kind)}" for w, r in zip(ends, seen, strict=True)]
    return ends[0], ends[1]


def is_start(event: Event, configs: Sequence[DriveConfig]) -> bool:
    """Whether an event is a start command that a person or the plant gives."""
    if event.kind == "key":
        return event.value in ("run", "run_reverse")
    if event.index == BUS_RUN:
        return bool(event.value)
    functions = {
        f
        for c in configs
        for index, level in event.changes
        for f, inverted in c.functions_at(index)
        if event.kind == "set" or bool(level) != inverted
    }
    return any(FUNCTION_GROUP.get(f) == COMMAND_GROUP and f != "stop_pulse" for f in functions)


def end_words(end: Outcome, halt: str, was: Outcome | None, commanded: bool) -> str:
    """How a drive ends up, with how it came to it."""
    if end.turning and was is not None and not was.output and not commanded:
        fault = "".join(f", {w}" for w in outcome_words(end).split(", ")[1:])
        return f"starts by itself and runs {end.direction} at {hertz(end.frequency)}{fault}"
    if end.output and halt in ("restarts", "onto a turning shaft") and was is not None and was.output:
        turning = " while the shaft may still turn" if halt == "onto a turning shaft" else ""
        return f"goes off and starts again by itself{turning}, and " + outcome_words(end)
    if end.turning and was is not None and was.turning and end.frequency == was.frequency:
        return "keeps running at" + outcome_words(end).removeprefix(f"runs {end.direction} at")
    begun = ""
    if was is not None and not was.output and not end.output:
        begun = "starts, then " if commanded else "starts by itself, then "
    if halt == "starts in between":
        return f"goes off, starts again by itself in between, and in the end {outcome_words(end)}"
    if not end.output and halt == "coast":
        rest = outcome_words(end).partition(", ")[2]
        at_once = f"{begun}has its output off{'' if begun else ' at once'} and the shaft runs down by itself"
        return at_once + (f", {rest}" if rest else "")
    if not end.output and halt in ("ramp", "quick ramp", "dc"):
        how = {
            "ramp": "stops by its ramp",
            "quick ramp": "stops by the quick ramp",
            "dc": "stops by ramp and DC",
        }
        rest = outcome_words(end).partition(", ")[2]
        return begun + how[halt] + (f", {rest}" if rest else "")
    return outcome_words(end) + (
        ", onto a shaft that may still turn" if halt == "onto a turning shaft" else ""
    )


def _detail(o: Outcome, kind: str) -> str:
    """What tells two outcomes apart whose main words are the same."""
    if kind == "relays":
        on = [n.replace("_", " ") for n, v in o.relays.items() if v]
        pulled = [n.replace("_", " ") for n, v in o.contacts.items() if v]
        return f"{' and '.join(on) or 'no relay'} on, {' and '.join(pulled) or 'none'} energised"
    if kind == "station":
        return f"station {o.station}"
    if kind == "direction":
        return o.direction or "no direction"
    brake = "brake lifted" if o.brake_lifted else "brake closed"
    return f"output {'on' if o.output else 'off'}, {brake}" if kind != NONE else ""
