"""A sequence and the outcome required: ``steps``, carried out on the drive as an executable model.

A step is a line of a scenario (``asleft.behaviour.scenario``): something that happens, a wait, ``expect``
with what must be seen, ``given`` with what must come about before the rule says anything. ``if fitted:``
before a line leaves it out where no terminal has the function. A sequence whose precondition never comes
about is not met: it cannot be shown.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from asleft.record import Value
from asleft.spec.operands import operand
from asleft.spec.rules import Outcome, sentence
from asleft.spec.subject import View
from asleft.spec.table import Table

FIELDS = ("steps",)
IF_FITTED = "if fitted:"


@dataclass(frozen=True, slots=True)
class Behaviour:
    """What the drive must do when these things happen one after another."""

    steps: tuple[str, ...]

    def judge(self, view: View) -> Iterator[Outcome]:
        """One outcome: the steps up to what was missed are its witness."""
        values = dict(view.subject.set.values)
        model = view.subject.model
        if model is None:
            words = "It cannot be shown: the drive model is not known."
            yield Outcome("cannot_tell", required=self._required(), words=words)
            return
        values = {**model.fixed, **values}
        yield self._run(values, dict(model.behaviour), tuple(view.subject.set.not_read))

    def _run(self, values: dict[str, Value], options: dict[str, str], not_read: tuple[str, ...]) -> Outcome:
        from asleft.behaviour import Drive, Scenario, run_scenario
        from asleft.behaviour.scenario import ScenarioFault

        required = self._required()
        try:
            drive = Drive.of(values, options, not_read)
            done = run_scenario(drive, Scenario("rule", tuple(self._fitting(drive))))
        except (ScenarioFault, ValueError) as problem:
            return Outcome("cannot_tell", required=required, words=f"It cannot be shown: {problem}.")
        unread = sorted(drive.settings.unread)
        missed = [step for step in done.steps if step.missed and step.sentence.lower().startswith("expect")]
        if unread:
            named = " and ".join(_label(key) for key in unread[:3])
            more = f" and {len(unread) - 3} more" if len(unread) > 3 else ""
            return Outcome(
                "cannot_tell", required=required, words=f"Not read, and it may decide: {named}{more}."
            )
        if missed:
            return self._missed(done, missed[0], required)
        if done.result == "met":
            return Outcome("met", found="as required", required=required, words="It does what is required.")
        return Outcome("cannot_tell", required=required, words=f"It cannot be shown: {done.because}.")

    def _missed(self, done: Any, step: Any, required: str) -> Outcome:
        from asleft.behaviour.words import outcome_words

        happened = [one.sentence for one in done.steps[: done.steps.index(step)] if _happens(one.sentence)]
        seen = outcome_words(step.outcome)
        way = ", then ".join(_begun(words.rstrip(".")) for words in happened)
        words = sentence(f"after {way or 'nothing'}: the drive {seen}; it must be {', '.join(step.missed)}")
        return Outcome("breached", found=seen, required=required, words=words)

    def _fitting(self, drive: Any) -> Iterator[str]:
        from asleft.behaviour.scenario import CannotBeShown, read_event

        for line in self.steps:
            if not line.startswith(IF_FITTED):
                yield line
                continue
            bare = line.removeprefix(IF_FITTED).strip()
            try:
                read_event(drive, bare)
            except CannotBeShown:
                continue
            yield bare

    def _required(self) -> str:
        wanted = [line.removeprefix("expect ") for line in self.steps if line.startswith("expect ")]
        return ", then ".join(dict.fromkeys(wanted))

    def aloud(self) -> str:
        """``after run closes: it must be running; after …``."""
        return "; ".join(_said(self.steps))

    def names(self) -> tuple[str, ...]:
        """None by name: the whole set decides."""
        return ()


def _said(steps: tuple[str, ...]) -> Iterator[str]:
    happened: list[str] = []
    for line in steps:
        word, _, rest = line.partition(" ")
        if word == "expect":
            yield f"after {', '.join(happened)}: it must be {rest}" if happened else f"it must be {rest}"
            happened = []
        elif line.startswith(IF_FITTED):
            happened.append(f"{line.removeprefix(IF_FITTED).strip()} (where fitted)")
        elif word == "given":
            happened.append(f"with the drive {rest}")
        else:
            happened.append(line)


def _label(key: str) -> str:
    found = operand(key)
    return f"the {found.label}" if found else key


def _begun(words: str) -> str:
    return words[:1].lower() + words[1:] if not words[:3].isupper() and not words.startswith("DI") else words


def _happens(words: str) -> bool:
    return not words.lower().startswith(("wait", "expect", "given"))


def read(table: Table) -> Behaviour | None:
    """Steps, of which one at least says what is expected."""
    steps = table.data.get("steps")
    if not isinstance(steps, list) or not all(isinstance(one, str) for one in steps):
        table.fault("steps", "what happens is missing.", 'Give steps = ["run closes", "expect running"].')
        return None
    if not any(one.startswith("expect ") for one in steps):
        table.fault("steps", "nothing is expected.", 'End with a step "expect …".')
        return None
    _check_lines(table, steps)
    return Behaviour(tuple(steps))


def _check_lines(table: Table, steps: list[str]) -> None:
    from asleft.behaviour import Drive, Scenario, run_scenario
    from asleft.behaviour.scenario import CannotBeShown, ScenarioFault, is_event, read_event

    drive = Drive.of({}, {})
    for line in (one.removeprefix(IF_FITTED).strip() for one in steps):
        try:
            if is_event(line):
                read_event(drive, line)
            else:
                run_scenario(drive, Scenario("line", (line,)))
        except CannotBeShown:
            continue
        except ScenarioFault as problem:
            table.fault("steps", f"{problem}.")
