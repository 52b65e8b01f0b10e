"""The screen of one step, and of the whole walk: lines of 79 columns, each readable aloud."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Final

from asleft.explain import capital
from asleft.intake.keypad.answers import Answer
from asleft.intake.keypad.screen import wrapped
from asleft.prove.cautions import told
from asleft.prove.judge import Result, judge, pair_of
from asleft.prove.sheet import LOADS, Step
from asleft.prove.verdict import not_done

_LISTED: Final = 16
_COUNTED: Final[tuple[tuple[Result, str], ...]] = (
    ("pass", "passed"),
    ("fail", "failed"),
    ("cannot_tell", "cannot be told"),
    ("left_out", "left out"),
    ("not_done", "not done"),
)
_SHOWN: Final[tuple[tuple[Result, str], ...]] = (
    ("fail", "Failed"),
    ("cannot_tell", "Cannot tell"),
    ("left_out", "Left out"),
)


def screen(step: Step, done: int, total: int) -> tuple[str, ...]:
    """What is shown before the prompt: what to heed, where to start, what to do, what to expect."""
    stop = "" if step.words.endswith("?") else "."
    supply = "supply switched in this step" if step.supply else "supply on"
    return wrapped(
        [
            "",
            f"-- {step.topic}: step {step.number}, {done} of {total} done in all --",
            *(f"  {line}" for line in told(step)),
            f"  Start: {step.start}; {LOADS[step.load]}, {supply}.",
            f"  Do: {step.words}{stop}",
            f"  {expected(step)}",
            *((f"  {step.note}",) if step.note else ()),
        ],
        "    ",
    )


def expected(step: Step) -> str:
    """What is to be seen, within what; or why that cannot be told."""
    if step.cannot:
        return f"Cannot tell: {step.cannot}. Note what you see."
    if step.value is None:
        return f"Expect: it {'is ' * bool(pair_of(step))}{step.says}."
    return f"Expect: {step.value} {step.unit} ± {step.tolerance} {step.unit} ({step.says})."


def prompt(step: Step) -> str:
    """The line behind which the person types."""
    if step.value is not None or (step.cannot and step.unit):
        return f"What did you read, in {step.unit} > "
    if pair_of(step):
        return f"{' or '.join(pair_of(step))} > "
    return "yes if right, no and why, or what you see > " if step.cannot else "yes, or no and what it did > "


def state(answer: Answer | None) -> str:
    """What was said of a step."""
    if answer is None:
        return "open"
    return answer.value if answer.is_read else f"not done: {answer.reason}"


def result(step: Step, answer: Answer | None) -> Result:
    """How a step stands; one that nothing was said of is not done."""
    return judge(step, answer.value).result if answer is not None and answer.is_read else "not_done"


def title(step: Step) -> str:
    """A step in one line."""
    return f"{step.number}. {capital(step.start)}: {step.words}"


def listed(steps: Sequence[Step], answers: Sequence[Answer | None], here: int) -> tuple[str, ...]:
    """The steps around one, with what was said of each."""
    first = max(0, min(here - _LISTED // 2, len(steps) - _LISTED))
    lines = []
    for place in range(first, min(first + _LISTED, len(steps))):
        step = steps[place]
        said = state(answers[place])
        lines.append(f"{'>' if place == here else ' '} {step.number} {step.words[:44]}: {said}"[:78])
    return tuple(lines)


def summary(steps: Sequence[Step], answers: Sequence[Answer | None]) -> tuple[str, ...]:
    """How many passed, and each that did not."""
    results = [result(step, answer) for step, answer in zip(steps, answers, strict=True)]
    counts = Counter(results)
    parts = [f"{counts[name]} {words}" for name, words in _COUNTED if counts[name]]
    lines = ["", f"{len(steps)} steps: {', '.join(parts)}."]
    for name, words in _SHOWN:
        held = [place for place, one in enumerate(results) if one == name]
        told = [f"  {title(steps[place])}: {state(answers[place])}" for place in held]
        lines += _headed(words, len(held), told)
    why = {
        steps[place].number: _why(answers[place]) for place, one in enumerate(results) if one == "not_done"
    }
    return wrapped([*lines, *_headed("Not done", len(why), [f"  {text}" for text in not_done(why)])], "    ")


def _headed(words: str, number: int, lines: Sequence[str]) -> list[str]:
    more = [f"  and {len(lines) - _LISTED} more"] if len(lines) > _LISTED else []
    return [f"{words} ({number}):", *lines[:_LISTED], *more] if number else []


def _why(answer: Answer | None) -> str:
    return "" if answer is None else answer.reason
