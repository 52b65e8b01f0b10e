"""What was typed, as the observations a file of them would hold."""

from __future__ import annotations

from collections.abc import Mapping

from asleft.intake.keypad.answers import Answer
from asleft.intake.walking.walk import Walk, mark
from asleft.prove.judge import NOT_DONE
from asleft.prove.observed import Observed
from asleft.prove.sheet import Step


def observed(walk: Walk) -> tuple[Observed, ...]:
    """Every step something was said of, in the order of the sheet."""
    return tuple(_one(step, walk.answers) for step in walk.steps if mark(step) in walk.answers)


def _one(step: Step, answers: Mapping[str, Answer]) -> Observed:
    answer = answers[mark(step)]
    text = answer.value if answer.is_read else f"{NOT_DONE}: {answer.reason}"
    return Observed(step.number, text, id=step.id)
