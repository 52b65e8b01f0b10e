"""What came of working through a list, for the record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from asleft.intake.keypad.answers import Answer
from asleft.intake.working.screen import title
from asleft.intake.working.tasks import Task

if TYPE_CHECKING:
    from asleft.intake.working.work import Work


@dataclass(frozen=True, slots=True)
class Decided:
    """A decision: ``how`` is option, leave, words or open; ``chosen`` the value or the words; open: nothing
    was decided, for the reason ``why``."""

    key: str
    wanted: str
    how: str
    chosen: str
    by: str
    why: str


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A step that was not done. ``native`` is empty for work that is no entry."""

    text: str
    why: str
    native: str = ""
    enter: str = ""


@dataclass(frozen=True, slots=True)
class Worked:
    """``answers`` are of the questions before energising, by question; ``open_questions`` their reasons.

    ``wires`` give wire number, old and new terminal; ``switches`` name and position of switches and links;
    ``made`` counts entries made and read back.
    """

    decided: tuple[Decided, ...]
    answers: Mapping[str, str]
    open_questions: Mapping[str, str]
    wires: tuple[tuple[str, str, str], ...]
    switches: tuple[tuple[str, str], ...]
    no_wires: str
    left_out: tuple[LeftOut, ...]
    made: int


def worked(work: Work) -> Worked:
    """The outcome as it stands."""
    answers = work.answers
    asked = [(task, answers[task.id]) for task in work.tasks if task.id in answers]
    questions = [(task.question, answer) for task, answer in asked if task.kind == "ask"]
    wires = answers.get("wires")
    return Worked(
        decided=tuple(_decided(task, answer, answers) for task, answer in asked if task.kind == "decide"),
        answers={question: answer.value for question, answer in questions if answer.is_read},
        open_questions={question: answer.reason for question, answer in questions if not answer.is_read},
        wires=tuple(_three(value) for value in _values(answers, "wire:")),
        switches=tuple(_two(value) for value in _values(answers, "switch:")),
        no_wires="" if wires is None or wires.is_read else wires.reason,
        left_out=tuple(_left(task, answer) for task, answer in asked if task.step and not answer.is_read),
        made=sum(1 for task, answer in asked if task.kind == "entry" and answer.is_read),
    )


def _decided(task: Task, answer: Answer, answers: Mapping[str, Answer]) -> Decided:
    assert task.decision is not None
    by = answers.get(f"by:{task.id}")
    how, _, chosen = answer.value.partition("=") if answer.is_read else ("open", "", "")
    wanted = task.decision.wanted
    return Decided(
        key=task.decision.key,
        wanted=", ".join(wanted) if isinstance(wanted, tuple) else str(wanted),
        how=how,
        chosen=chosen,
        by=by.value if by else "",
        why=answer.reason,
    )


def _left(task: Task, answer: Answer) -> LeftOut:
    assert task.step is not None
    return LeftOut(title(task), answer.reason, task.step.native, task.step.enter)


def _values(answers: Mapping[str, Answer], start: str) -> list[str]:
    return [answer.value for name, answer in answers.items() if name.startswith(start)]


def _three(value: str) -> tuple[str, str, str]:
    number, old, new = value.split("\t")
    return number, old, new


def _two(value: str) -> tuple[str, str]:
    name, position = value.split("\t")
    return name, position
