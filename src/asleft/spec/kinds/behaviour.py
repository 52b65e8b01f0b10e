"""What the drive does: a sequence and what must be seen (``steps``), or what always holds (``holds``).

A step is a line of a scenario (``asleft.behaviour.scenario``): something that happens, a wait, ``expect``
with what must be seen, ``given`` with what must come about before the rule says anything. ``if fitted:``
before a line leaves it out where no terminal has the function. ``run closes`` and ``run opens`` are a start
and a stop pulse of 1 s where the drive is wired three-wire. ``holds`` names a rule over everything the drive
can come to, tried exhaustively, which takes seconds: ``after``, ``speed``, ``low`` and ``high`` go with
some of them. A precondition that never comes about is not met: the rule cannot be shown.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from typing import TYPE_CHECKING

from asleft.record import Selector, Value, shown
from asleft.spec.operands import operand
from asleft.spec.quantities import read_quantity
from asleft.spec.rules import Outcome, sentence
from asleft.spec.subject import View
from asleft.spec.table import Table

if TYPE_CHECKING:
    from asleft.behaviour import Coverage, Drive, ScenarioRun, ScenarioVerdict, Verdict

FIELDS = ("steps", "holds", "after", "speed", "low", "high")
OUTCOME = "behaviour.outcome"
IF_FITTED = "if fitted:"
PULSES = {
    "run closes": ("start pulse acts", "wait 1 s", "start pulse acts no longer"),
    "run opens": ("stop pulse acts", "wait 1 s", "stop pulse acts no longer"),
}
HOLDS = {
    "no_keypad_start_in_remote": "while remote is selected no keypad key starts the motor",
    "no_start_without_command": "nothing but a new start command starts the motor after {after}",
    "never_rests_in_band": "the motor never runs steadily {band}",
    "no_faster_on_wire_break": "no broken wire raises the speed above {speed}",
}
AFTER = {
    "external_fault": "an external fault",
    "fault": "a fault",
    "power_return": "the return of the mains",
    "dip": "a power dip",
    "station_change": "a change of station",
    "enable_return": "the return of the run enable",
    "torque_off_return": "the end of safe torque off",
}

Values = tuple[tuple[str, Value], ...]


@dataclass(frozen=True, slots=True)
class Behaviour:
    """What the drive must do when these things happen, or what must hold whatever happens."""

    steps: tuple[str, ...] = ()
    holds: str = ""
    after: str = ""
    speed: Decimal | None = None
    band: tuple[Decimal, Decimal] | None = None

    def judge(self, view: View) -> Iterator[Outcome]:
        """One outcome; of a breach the words are its witness."""
        model, found = view.subject.model, view.subject.set
        if model is None:
            words = "It cannot be shown: the drive model is not known."
            yield Outcome("cannot_tell", required=self._required(), words=words)
            return
        values = tuple(sorted({**model.fixed, **found.values}.items()))
        options = tuple(sorted(model.behaviour.items()))
        yield _outcome(self, values, options, tuple(sorted(found.not_read)), view.asset.selectors)

    def _required(self) -> str:
        if self.holds:
            return self.aloud()
        wanted = [line.removeprefix("expect ") for line in self.steps if line.startswith("expect ")]
        return ", then ".join(dict.fromkeys(wanted))

    def aloud(self) -> str:
        """``after run closes: it must be running; after …``, or what holds."""
        if not self.holds:
            return "; ".join(_said(self.steps))
        speed = "the speed set for a lost signal" if self.speed is None else f"{shown(self.speed)} Hz"
        band = "inside a skip band that is set"
        if self.band is not None:
            band = f"between {shown(self.band[0])} and {shown(self.band[1])} Hz"
        return HOLDS[self.holds].format(after=AFTER.get(self.after, ""), speed=speed, band=band)

    def names(self) -> tuple[str, ...]:
        """None by name: the whole set decides."""
        return ()


@lru_cache(maxsize=512)
def _outcome(
    body: Behaviour,
    values: Values,
    options: tuple[tuple[str, str], ...],
    not_read: tuple[str, ...],
    selectors: tuple[Selector, ...],
) -> Outcome:
    """The outcome of one set on one model, worked out once in a process."""
    from asleft.behaviour import Drive

    required = body._required()
    try:
        drive = Drive.of(dict(values), dict(options), not_read, selectors)
        unread = _numbers_not_read(drive)
        if unread:
            return Outcome("cannot_tell", required=required, words=unread)
        verdict, found = _always(body, drive, required) if body.holds else _sequence(body, drive, required)
        decided = found.result in ("met", "breached")
        return replace(found, notes=(_how_far(verdict.coverage),)) if decided else found
    except ValueError as problem:
        return Outcome("cannot_tell", required=required, words=f"It cannot be shown: {problem}.")


def _how_far(coverage: Coverage) -> str:
    """What the executable model follows of this set."""
    parts = [f"{len(coverage.modelled)} settings followed", f"{len(coverage.limited)} in part"]
    parts += [f"{len(coverage.not_modelled)} not modelled"] if coverage.not_modelled else []
    parts += [f"{len(coverage.assumed)} taken for granted"] if coverage.assumed else []
    return f"Shown on a model of the drive, not at the drive: {', '.join(parts)}."


def _numbers_not_read(drive: Drive) -> str:
    """Choices that were not read are tried one by one; numbers cannot be, so they leave the answer open."""
    from asleft.behaviour.unread import unread_that_count, values_of

    keys = [key for key in sorted(unread_that_count(drive)) if not values_of(key)]
    if not keys:
        return ""
    more = f" and {len(keys) - 3} more" if len(keys) > 3 else ""
    return f"Not read, and it may decide: {' and '.join(_label(key) for key in keys[:3])}{more}."


def _always(body: Behaviour, drive: Drive, required: str) -> tuple[Verdict, Outcome]:
    from fractions import Fraction

    from asleft.behaviour import Invariant, check_invariant

    speed = None if body.speed is None else Fraction(body.speed)
    bands = None if body.band is None else ((Fraction(body.band[0]), Fraction(body.band[1])),)
    verdict = check_invariant(drive, Invariant(body.holds, body.after, speed, bands))
    if verdict.result == "breached":
        *happened, seen = [step.rstrip(".") for step in verdict.witness]
        return verdict, _breach(happened, seen, required, f"the rule is that {required}")
    return verdict, _plain(verdict.result, verdict.words, required)


def _plain(result: str, words: str, required: str) -> Outcome:
    """What a verdict that is no breach comes to."""
    if result == "met":
        return Outcome("met", found="as required", required=required, words=sentence(words))
    said = _not_told(words) if result == "cannot tell" else f"It cannot be shown: {words}."
    return Outcome("cannot_tell", required=required, words=said)


def _not_told(words: str) -> str:
    """The reason with the setting named as people name it."""
    key, mark, rest = words.partition(" was not read")
    return sentence(f"{_label(key)}{mark}{rest}") if mark else f"It cannot be told: {words}."


def _sequence(body: Behaviour, drive: Drive, required: str) -> tuple[ScenarioVerdict, Outcome]:
    from asleft.behaviour import Scenario, check_scenario

    verdict = check_scenario(drive, Scenario("rule", tuple(_fitting(body.steps, drive))))
    missed = None if verdict.result == "cannot tell" else _missed(verdict.run, required)
    return verdict, missed or _plain(verdict.result, verdict.words, required)


def _missed(run: ScenarioRun, required: str) -> Outcome | None:
    """The breach at the first expectation that was missed; a precondition missed later does not undo it."""
    from asleft.behaviour import outcome_words

    happened: list[str] = []
    for step in run.steps:
        words = step.sentence.rstrip(".")
        if step.missed and words.lower().startswith("expect"):
            seen = f"the drive {outcome_words(step.outcome)}"
            return _breach(happened, seen, required, f"required: {', '.join(step.missed)}")
        if not words.lower().startswith(("wait", "expect", "given")):
            happened.append(words)
    return None


def _breach(happened: list[str], seen: str, required: str, wanted: str) -> Outcome:
    way = ", then ".join(_begun(words) for words in happened) or "nothing"
    plain = _begun(seen)
    words, found = sentence(f"after {way}: {plain}; {wanted}"), plain.removeprefix("the drive ")
    return Outcome("breached", (OUTCOME,), {OUTCOME: found}, found, required, words)


def _fitting(steps: tuple[str, ...], drive: Drive) -> Iterator[str]:
    from asleft.behaviour.scenario import CannotBeShown, read_event

    for line in steps:
        bare = line.removeprefix(IF_FITTED).strip()
        if bare != line:
            try:
                read_event(drive, bare)
            except CannotBeShown:
                continue
        yield from PULSES[bare] if bare in PULSES and _is_pulsed(drive) else (bare,)


def _is_pulsed(drive: Drive) -> bool:
    fitted = drive.config.contacts
    return (
        {"start_pulse", "stop_pulse"} <= set(fitted) and "run_forward" not in fitted and "run" not in fitted
    )


def _said(steps: tuple[str, ...]) -> Iterator[str]:
    happened: list[str] = []
    for line in steps:
        word, _, rest = line.partition(" ")
        if word == "expect":
            yield f"after {', '.join(happened)}: it must be {rest}" if happened else f"it must be {rest}"
            happened = []
        elif line.startswith(IF_FITTED):
            happened.append(f"{line.removeprefix(IF_FITTED).strip()} (where fitted)")
        else:
            happened.append(f"with the drive {rest}" if word == "given" else line)


def _label(key: str) -> str:
    found = operand(key)
    return f"the {found.label}" if found else key


def _begun(words: str) -> str:
    return words if words[:2].isupper() else words[:1].lower() + words[1:]


def read(table: Table) -> Behaviour | None:
    """Steps, of which one at least says what is expected; or the name of what holds."""
    if ("steps" in table) == ("holds" in table):
        table.fault(
            "", "what is required is missing.", 'Give steps = ["run closes", "expect running"], or holds.'
        )
        return None
    return _read_steps(table) if "steps" in table else _read_holds(table)


def _read_holds(table: Table) -> Behaviour | None:
    holds = table.choice("holds", HOLDS, "")
    if not holds:
        return None
    if ("after" in table) != (holds == "no_start_without_command"):
        table.fault(
            "after",
            "after goes with no_start_without_command, and only there.",
            f"One of {', '.join(AFTER)}.",
        )
        return None
    for name, owner in _OWNERS.items():
        if name in table and holds != owner:
            table.fault(name, f"{name} goes with {owner} alone.")
            return None
    hertz = {name: _hertz(table, name) for name in _OWNERS if name in table}
    if None in hertz.values():
        return None
    band = _band(table, hertz.get("low"), hertz.get("high"))
    after = table.choice("after", AFTER, "fault") if "after" in table else ""
    return Behaviour((), holds, after, hertz.get("speed"), band)


_OWNERS = {
    "speed": "no_faster_on_wire_break",
    "low": "never_rests_in_band",
    "high": "never_rests_in_band",
}
"""Each speed, and the rule it belongs to."""


def _hertz(table: Table, name: str) -> Decimal | None:
    try:
        return read_quantity(table.data[name], "Hz")
    except ValueError as problem:
        table.fault(name, str(problem))
        return None


def _band(table: Table, low: Decimal | None, high: Decimal | None) -> tuple[Decimal, Decimal] | None:
    if low is None and high is None:
        return None
    if low is None or high is None or not low < high:
        table.fault(
            "low", "low and high go together, low below high.", 'Write low = "31 Hz", high = "34 Hz".'
        )
        return None
    return low, high


def _read_steps(table: Table) -> Behaviour | None:
    steps = table.words("steps")
    if not any(one.startswith("expect ") for one in steps):
        table.fault("steps", "nothing is expected.", 'End with a step "expect …".')
        return None
    for line in (one.removeprefix(IF_FITTED).strip() for one in steps):
        problem = _problem(line)
        if problem:
            table.fault("steps", f"{problem}.")
    return Behaviour(tuple(steps))


def _problem(line: str) -> str:
    """Why a line cannot be understood, tried on a drive without settings."""
    from asleft.behaviour import Drive, Scenario, ScenarioFault, run_scenario
    from asleft.behaviour.scenario import CannotBeShown, is_event, read_event

    drive = Drive.of({}, {})
    try:
        if is_event(line):
            read_event(drive, line)
        else:
            run_scenario(drive, Scenario("line", (line,)))
    except CannotBeShown:
        return ""
    except ScenarioFault as problem:
        return str(problem)
    return ""
