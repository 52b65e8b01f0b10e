"""Deciding what a unit cannot hold: which way out, by whom, why."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from asleft.intake.keypad.answers import Answer
from asleft.intake.keypad.asking import Reply
from asleft.intake.working.asking import Asked
from asleft.record import Value
from asleft.replace import Decision, Option

if TYPE_CHECKING:
    from asleft.intake.working.tasks import Task
    from asleft.intake.working.work import Work

OPTION, LEAVE, WORDS = "option", "leave", "words"


def values(decisions: Mapping[str, Decision], answers: Mapping[str, Answer]) -> dict[str, Value]:
    """The values chosen instead, by neutral key; what was decided otherwise changes nothing in the list."""
    found: dict[str, Value] = {}
    for key, one in decisions.items():
        answer = answers.get(f"decide:{key}")
        how, _, chosen = answer.value.partition("=") if answer is not None else ("", "", "")
        for option in one.options:
            if how == OPTION and str(option.value) == chosen:
                found[key] = option.value
    return found


def choose(work: Work, task: Task, one: Decision, text: str) -> Reply:
    """A number of the screen, a way out by its name, or words of one's own."""
    if text.isdecimal():
        place = int(text)
        if place > len(one.options):
            return work.refuse(f"Type a number from 0 to {len(one.options)}, or what is done instead.")
        return _who(work, task, LEAVE if place == 0 else _of(one.options[place - 1]))
    named = next((option for option in one.options if text.lower() == str(option.value)), None)
    if named is not None:
        return _who(work, task, _of(named))
    if " " not in text or not any(letter.isalpha() for letter in text):
        return work.refuse("Type a number of the list, or what is done instead in some words.")
    return _who(work, task, f"{WORDS}={text}")


def _of(option: Option) -> str:
    return f"{OPTION}={option.value}"


def _who(work: Work, task: Task, value: str) -> Reply:
    def by(person: str) -> Reply:
        work.asked = Asked("Why?", lambda why: _keep(work, task, value, person, why), lambda: _give_up(work))
        return Reply()

    question = f"Who decides it? Enter: {work.by}"
    work.asked = Asked(question, by, lambda: _give_up(work), work.by)
    return Reply()


def _keep(work: Work, task: Task, value: str, person: str, why: str) -> Reply:
    work.asked = None
    return work.accept(Answer(task.id, "typed", value, why), Answer(f"by:{task.id}", "typed", person))


def _give_up(work: Work) -> Reply:
    work.asked = None
    work.show_again()
    return Reply()
