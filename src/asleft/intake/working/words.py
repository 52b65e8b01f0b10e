"""The words of the guide beside answers: what each does, and its line of help."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

from asleft.intake.keypad.answers import Answer
from asleft.intake.keypad.asking import Reply
from asleft.intake.keypad.calling import Called, called, meant
from asleft.intake.keypad.rows import Row
from asleft.intake.keypad.screen import about, wrapped
from asleft.intake.working import screen
from asleft.intake.working.asking import Asked

if TYPE_CHECKING:
    from asleft.intake.working.tasks import Task
    from asleft.intake.working.work import Work

MOST_NAMED = 12


class Word(NamedTuple):
    """``takes`` names what may stand behind the word; empty where nothing may."""

    run: Callable[[Work, str], Reply]
    takes: str
    help: str


def command_of(text: str) -> Called[Work] | None:
    """The word of the guide a line calls, or None where the line is an answer."""
    return called(WORDS, text)


def meant_word(text: str) -> str:
    """A question naming the word that was meant; empty where none is near."""
    return meant((*WORDS, "done"), text)


def _skip(work: Work, reason: str) -> Reply:
    task = work.task
    if task is None:
        return work.refuse("Nothing is left to skip.")

    def then(why: str) -> Reply:
        work.asked = None
        lines = _waiting(work, task)
        return work.accept(Answer(task.id, "skipped", reason=why), lines=(f"  left out: {why}", *lines))

    def give_up() -> Reply:
        work.asked = None
        work.show_again()
        return Reply()

    asked = Asked("Why is it left out?", then, give_up)
    if reason:
        return asked.take(reason)
    work.asked = asked
    return Reply()


def _waiting(work: Work, task: Task) -> tuple[str, ...]:
    """What comes after an entry that is left out, and may be refused or come out otherwise for it."""
    if task.step is None or task.kind != "entry":
        return ()
    later = [
        str(one.step.number)
        for one in work.tasks
        if one.step is not None and task.step.number in one.step.needs
    ]
    if not later:
        return ()
    more = f" and {len(later) - MOST_NAMED} more" if len(later) > MOST_NAMED else ""
    return (f"  It has to stand before step {', '.join(later[:MOST_NAMED])}{more}: look closely there.",)


def _back(work: Work, steps: str) -> Reply:
    if steps and not (steps.isdecimal() and int(steps)):
        return work.refuse("Type back, or back and how many tasks: back 3.")
    here = work.at if work.at is not None else len(work.tasks)
    places = {task.id: place for place, task in enumerate(work.tasks)}
    for _ in range(int(steps or 1)):
        known = work.trail.pop() if work.trail else ""
        here = places.get(known, max(here - 1, 0))
    return work.jump(here)


def _go(work: Work, wanted: str) -> Reply:
    for place, task in enumerate(work.tasks):
        if task.step is not None and wanted.lower() in (str(task.step.number), task.step.native.lower()):
            return work.jump(place)
    return work.refuse("Type go and the number of a step, or an id: go 12.")


def _next(work: Work, _: str) -> Reply:
    if work.at is None:
        return work.refuse("All is answered.")
    work.trail.append(work.tasks[work.at].id)
    work.move_on(work.at)
    return Reply()


def _list(work: Work, _: str) -> Reply:
    here = work.at if work.at is not None else len(work.tasks) - 1
    return Reply(screen.listed(work.tasks, work.answers, here))


def _left(work: Work, _: str) -> Reply:
    return Reply(screen.summary(work.tasks, work.answers))


def _about(work: Work, _: str) -> Reply:
    task = work.task
    if task is None:
        return _help(work, "")
    if task.step is not None and task.kind == "entry":
        return Reply(about(Row(work.model.natives[task.step.native])))
    return Reply(screen.screen(task, work.done, len(work.tasks), whole=True))


def _stop(work: Work, _: str) -> Reply:
    return Reply(end="stopped")


def _help(work: Work, _: str) -> Reply:
    lines = ["Enter        shows the step again"]
    lines += [f"{f'{name} {word.takes}':<12} {word.help}" for name, word in WORDS.items() if word.help]
    return Reply(wrapped(lines))


WORDS = {
    "?": Word(_about, "", "all about this step: meaning, range, choices"),
    "skip": Word(_skip, "REASON", "left out; the reason is asked if missing"),
    "back": Word(_back, "N", "to the task before, or N tasks"),
    "next": Word(_next, "", "on to the next open task; nothing is said of this one"),
    "go": Word(_go, "WHERE", "to a step by its number, or to an id"),
    "list": Word(_list, "", "the tasks around this one and what was said"),
    "left": Word(_left, "", "how many entries are made, and what was left out"),
    "stop": Word(_stop, "", "stop for now; all is kept, go on with --resume"),
    "help": Word(_help, "", ""),
}
