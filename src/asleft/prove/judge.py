"""What was observed against what was predicted."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, Literal

from asleft.files.entry import convert, split_number
from asleft.prove.sheet import Step
from asleft.record import step_of

Result = Literal["pass", "fail", "cannot_tell", "left_out", "not_done"]

YES: Final = frozenset({"yes", "y", "ok", "pass", "passed", "as predicted"})
NO: Final = frozenset({"no", "n", "fail", "failed", "not as predicted"})
LEFT_OUT: Final = frozenset({"left out", "n/a", "not applicable"})
NOT_DONE: Final = "not done"
PAIRS: Final = (("energised", "released"), ("lifted", "closed"))
"""What is seen of a relay and of a brake: one word of two says all."""


@dataclass(frozen=True, slots=True)
class Judged:
    """A judgement and why, in words; the reason is empty where the result says it all."""

    result: Result
    because: str = ""


def judge(step: Step, observed: str) -> Judged:
    """Judges one observation, as a person wrote it: a number with or without its unit, yes, no, or words."""
    text = " ".join(observed.split())
    first = re.split(r"[,;:.]? ", f"{text} ".casefold(), maxsplit=1)[0]
    if not text or text.casefold().startswith(NOT_DONE):
        return Judged("not_done", text[len(NOT_DONE) :].lstrip(" ,;:."))
    if any(text.casefold().startswith(word) for word in LEFT_OUT):
        return Judged("left_out", text)
    if step.value is not None and (number := split_number(text)) is not None:
        return _number(step, *number)
    if text.casefold() in YES or first in YES:
        return _yes(step)
    if text.casefold() in NO or first in NO:
        return Judged("fail", text if text.casefold() not in NO else "it did not do so")
    if step.says and text.casefold().rstrip(".") == step.says.casefold():
        return Judged("pass")
    if text.casefold() in pair_of(step):
        return Judged("fail", f"it is {text.casefold()}")
    if step.cannot:
        return Judged("cannot_tell", f"noted; {step.cannot}")
    wanted = "yes or no first, then what it did" if step.value is None else f"the value in {step.unit}, or no"
    return Judged("cannot_tell", f"write {wanted}")


def pair_of(step: Step) -> tuple[str, ...]:
    """The two words of which one says all that is seen at a step; none where more is to be said."""
    return next((pair for pair in PAIRS if step.says in pair), ())


def _yes(step: Step) -> Judged:
    if step.value is not None:
        return Judged("cannot_tell", f"write the value that was read, in {step.unit}")
    return Judged("pass", "judged by the tester" if step.cannot else "")


def observed_value(step: Step, observed: str) -> Decimal | None:
    """The observed number in the step's unit; None where it is none."""
    parts = split_number(observed)
    if parts is None:
        return None
    number, unit = parts
    if unit in ("", step.unit):
        return number
    try:
        return convert(number, unit, step.unit)
    except ValueError:
        return None


def _number(step: Step, number: Decimal, unit: str) -> Judged:
    assert step.value is not None and step.tolerance is not None
    own = unit in ("", step.unit)
    try:
        value = number if own else convert(number, unit, step.unit)
        half = (step_of(number) if own else convert(step_of(number), unit, step.unit)) / 2
    except ValueError as problem:
        return Judged("cannot_tell", str(problem))
    off = abs(value - step.value)
    within = f"{step.value} {step.unit} ± {step.tolerance} {step.unit}"
    coarse = half > step.tolerance
    if off - (half if coarse else 0) > step.tolerance:
        return Judged("fail", f"predicted {within}")
    if coarse:
        return Judged("cannot_tell", f"read too coarsely for {within}; write every digit shown")
    return Judged("pass")
