"""Scenarios as lines a person can read aloud: what happens, how long to wait, what is expected.

Lines (units always; a terminal is named by its number or by its function)::

    remote select closes            DI5 opens               external fault acts / acts no longer
    wire of DI5 breaks              wire of analog 1 breaks analog 1 = 12 mA
    keypad run pressed              keypad reference = 30 Hz
    supply goes off / comes back    supply dips 0.4 s       safe torque off opens / closes
    bus commands forward            bus reference = 30 Hz   bus goes silent / speaks again
    fault overcurrent comes and goes                        fault overload stands / fault cause is gone
    shaft turns at 20 Hz            shaft is not found
    wait 15 s                       wait until settled
    expect 45 Hz, relay 1 on, no fault                      given running

``given`` is a precondition: where it does not come about, the scenario cannot be shown.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

from asleft.behaviour.drive import Drive, Run
from asleft.behaviour.events import closed_in
from asleft.behaviour.inputs import AI1, ANALOG, BUS_HZ, CAUSE, SHAFT, Event
from asleft.behaviour.state import Outcome
from asleft.behaviour.words import KEYS, LASTING, outcome_words, sentence


class ScenarioFault(ValueError):
    """A line that cannot be understood."""


class CannotBeShown(Exception):
    """A line that this drive cannot carry out: no terminal has the function, or a precondition fails."""


@dataclass(frozen=True, slots=True)
class Scenario:
    """A name and its lines."""

    name: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """One line carried out: its sentence, the time in s it ended at, what was seen, what was missed."""

    sentence: str
    at: Fraction
    outcome: Outcome
    missed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ScenarioRun:
    """A scenario carried out. ``result``: met, breached, or cannot be shown (with ``because``)."""

    result: str
    steps: tuple[Step, ...]
    because: str = ""


NUMBER: Final = r"(-?\d+(?:\.\d+)?)"
_FIXED: Final[dict[str, Event]] = {
    **{words: Event("set", i, v) for i, m in LASTING.items() for v, words in m.items()},
    **{words: Event("key", value=key) for key, words in KEYS.items()},
    "fault cause is gone": Event("set", CAUSE, 0),
    "shaft is not found": Event("set", SHAFT, "not found"),
    "bus reset": Event("bus_reset"),
}

Make = Callable[[Drive, "re.Match[str]"], Event]


def _contact(drive: Drive, m: re.Match[str]) -> Event:
    index = terminal(drive, m[1])
    if m[2] in ("opens", "closes"):
        return Event("set", index, int(m[2] == "closes"))
    inverted = any((index, True) in t for t in drive.config.contacts.values())
    return Event("set", index, int((m[2] == "acts") != inverted))


def terminal(drive: Drive, name: str) -> int:
    """The input index of ``DI5``, ``remote select`` or ``remote select (DI3)``. Raises CannotBeShown."""
    numbered = re.search(r"\bDI([1-8])\b", name)
    if numbered:
        return int(numbered[1]) - 1
    function = name.strip().replace(" ", "_")
    terminals = drive.config.contacts.get(function)
    if terminals is None and function == "run":
        terminals = drive.config.contacts.get("run_forward")
    if terminals is None:
        raise CannotBeShown(f"no input carries {name}")
    return terminals[0][0]


def _turn(drive: Drive, m: re.Match[str]) -> Event:
    for selector in drive.selectors:
        places = closed_in(selector)
        if selector.name == m[1] and m[2] in places:
            contacts = sorted(set().union(*places.values()))
            return Event("turn", value=tuple((i, int(i in places[m[2]])) for i in contacts), words=m[0])
    raise CannotBeShown(f"the slot declares no selector {m[1]} with a position {m[2]}")


def _fault_name(text: str) -> str:
    return text.replace(" ", "_")


_PATTERNS: Final[tuple[tuple[re.Pattern[str], Make], ...]] = tuple(
    (re.compile(pattern + r"$"), make)
    for pattern, make in (
        (r"wire of DI([1-8]) breaks", lambda d, m: Event("set", int(m[1]) - 1, 0)),
        (r"wire of analog ([12]) breaks", lambda d, m: Event("set", AI1 + int(m[1]) - 1, Fraction(0))),
        (rf"analog ([12]) = {NUMBER} (?:mA|V)", lambda d, m: Event("set", ANALOG[int(m[1])], Fraction(m[2]))),
        (rf"keypad reference = {NUMBER} Hz", lambda d, m: Event("keypad_hz", value=Fraction(m[1]))),
        (rf"bus reference = {NUMBER} Hz", lambda d, m: Event("set", BUS_HZ, Fraction(m[1]))),
        (rf"supply dips {NUMBER} s", lambda d, m: Event("dip", value=Fraction(m[1]))),
        (rf"shaft turns at {NUMBER} Hz", lambda d, m: Event("set", SHAFT, Fraction(m[1]))),
        (r"fault (.+) comes and goes", lambda d, m: Event("fault", value=_fault_name(m[1]))),
        (r"fault (.+) stands", lambda d, m: Event("set", CAUSE, _fault_name(m[1]))),
        (r"selector (\S+) turns to (\S+)", _turn),
        (r"(.+?) (opens|closes|acts no longer|acts)", _contact),
    )
)


def read_event(drive: Drive, line: str) -> Event:
    """The event a line names on this drive. Raises ScenarioFault or CannotBeShown."""
    fixed = _FIXED.get(line)
    if fixed is not None:
        return fixed
    for pattern, make in _PATTERNS:
        found = pattern.match(line)
        if found:
            return make(drive, found)
    raise ScenarioFault(f"{line!r} is no scenario line")


def is_event(line: str) -> bool:
    """Whether a line names something that happens."""
    return not line.startswith(("wait ", "expect ", "given "))


_Check = Callable[[Outcome, Any, "_Clock"], bool]


@dataclass(slots=True)
class _Clock:
    """Times an expectation may ask for: of the last event, and of the last change of speed."""

    acted: Fraction = Fraction(0)
    moved: Fraction = Fraction(0)


def _relay(o: Outcome, m: re.Match[str], clock: _Clock) -> bool:
    name = m[1].replace(" ", "_")
    source = o.contacts if m[2] else o.relays
    if name not in source:
        raise CannotBeShown(f"this drive has no {m[1]} in its set")
    return source[name] == (m[3] in ("on", "energised"))


def _near(a: Fraction, text: str) -> bool:
    """Equal to half the last digit written."""
    places = len(text.partition(".")[2])
    return abs(a - Fraction(text)) <= Fraction(1, 2 * 10**places)


_EXPECTED: Final[tuple[tuple[re.Pattern[str], _Check], ...]] = tuple(
    (re.compile(pattern + r"$"), check)
    for pattern, check in (
        (rf"{NUMBER} Hz", lambda o, m, k: _near(o.frequency, m[1])),
        (rf"above {NUMBER} Hz", lambda o, m, k: o.frequency > Fraction(m[1])),
        (rf"not above {NUMBER} Hz", lambda o, m, k: o.frequency <= Fraction(m[1])),
        (rf"speed reached after {NUMBER} s", lambda o, m, k: _near(k.moved - k.acted, m[1])),
        (r"running", lambda o, m, k: o.turning),
        (r"not running", lambda o, m, k: not o.turning),
        (r"output (on|off)", lambda o, m, k: o.output == (m[1] == "on")),
        (r"at rest", lambda o, m, k: not o.output and not o.coasting),
        (r"coasting", lambda o, m, k: o.coasting),
        (r"(forward|reverse)", lambda o, m, k: o.direction == m[1]),
        (r"station (.+)", lambda o, m, k: o.station == m[1]),
        (r"no fault", lambda o, m, k: not o.fault),
        (r"fault (.+)", lambda o, m, k: o.fault == _fault_name(m[1])),
        (r"no warning", lambda o, m, k: not o.warnings),
        (r"warning (.+)", lambda o, m, k: m[1] in o.warnings),
        (r"(relay [12]|do [12])( contact)? (on|off|energised|de-energised)", _relay),
        (r"stop by (.+)", lambda o, m, k: o.stop == m[1]),
        (r"(awake|asleep)", lambda o, m, k: o.asleep == (m[1] == "asleep")),
        (r"brake (lifted|closed)", lambda o, m, k: o.brake_lifted == (m[1] == "lifted")),
        (r"onto a turning shaft", lambda o, m, k: o.onto_turning_shaft),
        (r"a clean start", lambda o, m, k: not o.onto_turning_shaft),
        (r"an endless cycle", lambda o, m, k: o.cycling),
    )
)


def missed(outcome: Outcome, text: str, clock: _Clock) -> tuple[str, ...]:
    """Which of the comma-separated expectations do not hold. Raises ScenarioFault."""
    return tuple(part for part in text.split(", ") if not _holds(outcome, part, clock))


def _holds(outcome: Outcome, part: str, clock: _Clock) -> bool:
    for pattern, check in _EXPECTED:
        found = pattern.match(part)
        if found:
            return check(outcome, found, clock)
    raise ScenarioFault(f"{part!r} is nothing that can be expected")


def run_scenario(drive: Drive, scenario: Scenario) -> ScenarioRun:
    """Carries the lines out on a drive at rest with every input inactive. Raises ScenarioFault."""
    run, clock = Run(drive), _Clock()
    steps: list[Step] = []
    breached = False
    for line in scenario.lines:
        try:
            lacking = _carry_out(run, line, clock)
        except CannotBeShown as reason:
            return ScenarioRun("cannot be shown", tuple(steps), str(reason))
        steps.append(Step(sentence(line), run.at, run.outcome, lacking))
        if lacking and line.startswith("given "):
            seen = outcome_words(run.outcome)
            return ScenarioRun(
                "cannot be shown", tuple(steps), f"given {', '.join(lacking)}: the drive {seen}"
            )
        breached = breached or bool(lacking)
    return ScenarioRun("breached" if breached else "met", tuple(steps))


def _carry_out(run: Run, line: str, clock: _Clock) -> tuple[str, ...]:
    word, _, rest = line.partition(" ")
    if word == "wait":
        _wait(run, rest)
    elif word in ("expect", "given"):
        clock.moved = _last_move(run)
        return missed(run.outcome, rest, clock)
    else:
        run.do(read_event(run.drive, line))
        clock.acted = run.at
    return ()


def _last_move(run: Run) -> Fraction:
    """When the speed last changed."""
    later = run.curve[-1]
    for point in reversed(run.curve):
        if point.hz != later.hz:
            break
        later = point
    return later.at


def _wait(run: Run, text: str) -> None:
    if text == "until settled":
        run.settle()
        return
    found = re.fullmatch(rf"{NUMBER} s", text)
    if found is None:
        raise ScenarioFault(f"'wait {text}': wait for seconds, or until settled")
    run.wait(Fraction(found[1]))


def read_scenario(name: str, lines: Iterable[str]) -> Scenario:
    """A scenario from its lines; blank ones are left out."""
    return Scenario(name, tuple(line.strip() for line in lines if line.strip()))
