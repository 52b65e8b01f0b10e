"""Behaviour rules over everything a drive can come to: met, breached with a witness, or left open."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import Final

from asleft.behaviour.config import DriveConfig
from asleft.behaviour.coverage import Coverage, coverage_of
from asleft.behaviour.drive import Drive
from asleft.behaviour.events import Wanted, source_names
from asleft.behaviour.inputs import POWER, TORQUE_SAFE, Event
from asleft.behaviour.levels import Bands, asked_speeds, inside, marks, rests, stretches
from asleft.behaviour.reach import Node, Reach, breaks_wire
from asleft.behaviour.scenario import Scenario, ScenarioRun, run_scenario
from asleft.behaviour.search import Budget
from asleft.behaviour.state import Outcome
from asleft.behaviour.unread import unread_that_count, values_of, with_value
from asleft.behaviour.words import outcome_words
from asleft.record import Selector, Value

KINDS: Final = (
    "no_keypad_start_in_remote",
    "no_start_without_command",
    "never_rests_in_band",
    "no_faster_on_wire_break",
)


AFTER: Final = (
    "external_fault",
    "fault",
    "power_return",
    "dip",
    "station_change",
    "enable_return",
    "torque_off_return",
)


@dataclass(frozen=True, slots=True)
class Invariant:
    """A rule over every reachable settled state.

    ``no_keypad_start_in_remote``: in remote and at rest, no sequence of keypad keys starts the motor.
    ``no_start_without_command``: after ``after`` (one of AFTER) nothing starts it but a new start command.
    ``never_rests_in_band``: the output never rests inside ``bands`` (Hz; the set's own where None).
    ``no_faster_on_wire_break``: no broken wire raises the speed above ``hz`` (the loss preset where None).
    """

    kind: str
    after: str = ""
    hz: Fraction | None = None
    bands: Bands | None = None


@dataclass(frozen=True, slots=True)
class Verdict:
    """``result``: met, breached, cannot tell, or cannot be shown. ``witness``: the steps, in sentences."""

    result: str
    words: str
    witness: tuple[str, ...]
    coverage: Coverage
    states: int


Breach = tuple[list[int], Outcome]


def check_invariant(drive: Drive, invariant: Invariant, budget: Budget | None = None) -> Verdict:
    """Checks a rule on a drive; entries that were not read are tried at every choice."""
    return check_invariants(drive, (invariant,), budget)[0]


def check_invariants(
    drive: Drive, invariants: Iterable[Invariant], budget: Budget | None = None
) -> tuple[Verdict, ...]:
    """Checks several rules, in their order, over one walk of what the drive can come to."""
    rules = tuple(invariants)
    verdicts = _check_all(drive, rules, budget)
    for key in sorted(unread_that_count(drive)):
        for value in values_of(key):
            others = _check_all(with_value(drive, key, value), rules, budget)
            verdicts = [_left_open(v, o, key, value) for v, o in zip(verdicts, others, strict=True)]
    return tuple(verdicts)


def _left_open(verdict: Verdict, other: Verdict, key: str, value: Value) -> Verdict:
    if "cannot tell" in (verdict.result, other.result) or other.result == verdict.result:
        return verdict
    choice = str(value).replace("_", " ")
    words = f"{key} was not read; with {choice} the rule is {other.result}: {other.words}"
    return replace(verdict, result="cannot tell", words=words, witness=other.witness)


def _check_all(drive: Drive, rules: tuple[Invariant, ...], budget: Budget | None) -> list[Verdict]:
    entries = (
        tuple(drive.values.items()),
        tuple(drive.options.items()),
        tuple(sorted(drive.not_read)),
        drive.selectors,
    )
    verdicts = []
    for rule in rules:
        bands = _bands(drive, rule) if rule.kind == "never_rests_in_band" else None
        slow = rule.kind == "no_faster_on_wire_break"
        wanted = Wanted(bands, rule.after == "torque_off_return", slow)
        verdicts.append(_check(_walked(*entries, wanted, budget or Budget()), rule))
    return verdicts


@lru_cache(maxsize=4)
def _walked(
    values: tuple[tuple[str, Value], ...],
    options: tuple[tuple[str, str], ...],
    not_read: tuple[str, ...],
    selectors: tuple[Selector, ...],
    wanted: Wanted,
    budget: Budget,
) -> Reach:
    """The walk of a drive, kept for the next rule on the same one."""
    return Reach(Drive.of(dict(values), dict(options), not_read, selectors), wanted, budget)


def _check(reach: Reach, invariant: Invariant) -> Verdict:
    drive = reach.drive
    shown, breach = _RULES[invariant.kind](reach, invariant)
    coverage, count = coverage_of(drive), len(reach.parents)
    if breach is not None:
        steps = reach.told(*breach)
        return Verdict("breached", " ".join(steps), steps, coverage, count)
    untried = _speeds_not_tried(reach, invariant) if invariant.kind == "never_rests_in_band" else None
    if untried is not None:
        return Verdict("cannot tell", untried, (), coverage, count)
    if not reach.complete:
        return Verdict("cannot tell", f"given up after {count} states", (), coverage, count)
    if not shown:
        return Verdict(
            "cannot be shown", "its precondition never comes about on this drive", (), coverage, count
        )
    return Verdict("met", f"holds in all {count} states the drive can come to", (), coverage, count)


def _no_keypad_start(reach: Reach, rule: Invariant) -> tuple[bool, Breach | None]:
    remote = [n for n in reach.parents if reach.outcome(n).station == "remote"]
    shown = any(reach.outcome(n).output for n in remote)
    for node in remote:
        if reach.outcome(node).output:
            continue
        found = _by_keys(reach, node)
        if found is not None:
            return True, found
    return shown, None


def _by_keys(reach: Reach, start: Node) -> Breach | None:
    """The shortest sequence of keypad keys alone that starts the motor."""
    queue: deque[tuple[Node, list[int]]] = deque([(start, [])])
    seen = {start}
    while queue:
        node, keys = queue.popleft()
        for event, after, _ in reach.edges(node):
            if reach.events[event].kind != "key" or after in seen:
                continue
            if reach.outcome(after).output:
                return [*reach.way(start), *keys, event], reach.outcome(after)
            seen.add(after)
            queue.append((after, [*keys, event]))
    return None


Happens = Callable[[Reach, Node, Event, Node, str], bool]
"""Whether what a rule names happens by an event: the walk, the node before, the event, after, how."""

RESTARTS: Final = ("restarts", "onto a turning shaft", "starts in between")


def _fault_came(reach: Reach, before: Node, event: Event, after: Node, how: str, name: str = "") -> bool:
    was, now = reach.outcome(before).fault, reach.outcome(after).fault
    if now and now != was and name in ("", now):
        return True
    if event.kind == "fault":
        return name in ("", event.value)
    return how in RESTARTS and _turned(reach, event, "external_fault", True) and name in ("", "external")


def _turned(reach: Reach, event: Event, function: str, acts: bool) -> bool:
    """Whether an event moves a contact of a function so that it acts, or acts no longer."""
    changes = dict(event.changes)
    terminals = reach.drive.config.contacts.get(function, ())
    return any(i in changes and (bool(changes[i]) != inverted) == acts for i, inverted in terminals)


_HAPPENS: Final[dict[str, Happens]] = {
    "external_fault": lambda r, b, e, a, how: _fault_came(r, b, e, a, how, "external"),
    "fault": _fault_came,
    "power_return": lambda r, b, e, a, how: e.kind == "set" and e.index == POWER,
    "dip": lambda r, b, e, a, how: e.kind == "dip",
    "station_change": lambda r, b, e, a, how: (
        r.outcome(b).station != r.outcome(a).station
        and "no power" not in (r.outcome(b).station, r.outcome(a).station)
    ),
    "enable_return": lambda r, b, e, a, how: _turned(r, e, "run_enable", False),
    "torque_off_return": lambda r, b, e, a, how: e.kind == "set" and e.index == TORQUE_SAFE,
}


def _no_start_without(reach: Reach, rule: Invariant) -> tuple[bool, Breach | None]:
    """Follows each node twice: before what the rule names, and after it ended a run; a command leads back."""
    happens = _HAPPENS[rule.after]
    first = next(iter(reach.parents))
    queue: deque[tuple[Node, bool]] = deque([(first, False)])
    back: dict[tuple[Node, bool], tuple[tuple[Node, bool], int] | None] = {(first, False): None}
    shown = False
    while queue:
        node, armed = here = queue.popleft()
        for number, after, how in reach.edges(node):
            event = reach.events[number]
            came = happens(reach, node, event, after, how)
            shown = shown or came
            arms = came and reach.outcome(node).output
            commanded = reach.commands[number]
            if _starts_itself(reach, node, after, how) and (armed or came) and not commanded:
                return True, ([*_way(back, here), number], reach.outcome(after))
            then = (after, (armed or arms) and not commanded)
            if then not in back:
                back[then] = (here, number)
                queue.append(then)
    return shown, None


def _starts_itself(reach: Reach, before: Node, after: Node, how: str) -> bool:
    if how == "starts in between":
        return True
    if not reach.outcome(after).output:
        return False
    return not reach.outcome(before).output or how in RESTARTS


def _way(
    back: dict[tuple[Node, bool], tuple[tuple[Node, bool], int] | None], here: tuple[Node, bool]
) -> list[int]:
    events: list[int] = []
    step = back[here]
    while step is not None:
        events.insert(0, step[1])
        step = back[step[0]]
    return events


def _bands(drive: Drive, rule: Invariant) -> Bands:
    return drive.config.limits.bands if rule.bands is None else rule.bands


def _speeds_not_tried(reach: Reach, rule: Invariant) -> str | None:
    """Why the speed may come to rest in a band although no state shows it."""
    c, bands = reach.drive.config, _bands(reach.drive, rule)
    if reach.drive.values.get("process.pid_mode") == "trim":
        return "the controller that corrects the speed is not modelled"
    added = c.reference.second != "none" and c.reference.combination in ("sum", "difference")
    if added and asked_speeds((c,), bands):
        return "two references are put together, and not every pair of them can be tried"
    if "pid" in source_names(c) and _controller_rests(c, bands):
        return "the process controller may come to rest at any speed its process asks for"
    return None


def _controller_rests(c: DriveConfig, bands: Bands) -> bool:
    low, high = c.sleep.output_min, c.sleep.output_max
    tried = stretches({low, high, *(mark for mark in marks(c, bands) if low < mark < high)})
    return any(inside(rests(c, hz, "pid"), bands) for hz in tried)


def _never_in_band(reach: Reach, rule: Invariant) -> tuple[bool, Breach | None]:
    bands = _bands(reach.drive, rule)
    shown = False
    for node in reach.parents:
        seen = reach.outcome(node)
        shown = shown or seen.output
        if seen.output and inside((seen.frequency,), bands):
            return True, (reach.way(node), seen)
    return shown and bool(bands), None


def _no_faster(reach: Reach, rule: Invariant) -> tuple[bool, Breach | None]:
    most = reach.drive.config.loss.preset_hz if rule.hz is None else rule.hz
    shown = False
    for node in reach.parents:
        seen = reach.outcome(node)
        if not seen.output:
            continue
        shown = True
        for number, after, _ in reach.edges(node):
            if not breaks_wire(reach.events[number]):
                continue
            now = reach.outcome(after)
            if now.output and now.frequency > max(most, seen.frequency):
                return True, ([*reach.way(node), number], now)
    return shown, None


Rule = Callable[[Reach, Invariant], tuple[bool, Breach | None]]


_RULES: Final[dict[str, Rule]] = {
    "no_keypad_start_in_remote": _no_keypad_start,
    "no_start_without_command": _no_start_without,
    "never_rests_in_band": _never_in_band,
    "no_faster_on_wire_break": _no_faster,
}


@dataclass(frozen=True, slots=True)
class ScenarioVerdict:
    """A scenario as a rule: met, breached, cannot tell, cannot be shown, with the run and the coverage."""

    result: str
    words: str
    run: ScenarioRun
    coverage: Coverage


def check_scenario(drive: Drive, scenario: Scenario) -> ScenarioVerdict:
    """Carries a scenario out; entries that were not read are tried at every choice. Raises ScenarioFault."""
    run, coverage = run_scenario(drive, scenario), coverage_of(drive)
    for key in sorted(unread_that_count(drive)):
        for value in values_of(key):
            other = run_scenario(with_value(drive, key, value), scenario)
            if other.result != run.result:
                words = f"{key} was not read; with {str(value).replace('_', ' ')} it is {other.result}"
                return ScenarioVerdict("cannot tell", words, other, coverage)
    return ScenarioVerdict(run.result, _scenario_words(run), run, coverage)


def _scenario_words(run: ScenarioRun) -> str:
    if run.because:
        return run.because
    missed = [s for s in run.steps if s.missed]
    if not missed:
        return "comes out as required"
    step = missed[0]
    return f"{', '.join(step.missed)} expected; the drive {outcome_words(step.outcome)}"
