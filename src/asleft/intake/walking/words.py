"""The words of the walk beside what was seen: what each does, and its line of help."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

from asleft.intake.keypad.answers import Answer
from asleft.intake.keypad.asking import Reply
from asleft.intake.keypad.calling import Called, called, meant
from asleft.intake.keypad.screen import wrapped
from asleft.intake.walking import screen
from asleft.intake.working.asking import Asked

if TYPE_CHECKING:
    from asleft.intake.walking.walk import Walk


class Word(NamedTuple):
    """``takes`` names what may stand behind the word; empty where nothing may."""

    run: Callable[[Walk, str], Reply]
    takes: str
    help: str


def command_of(text: str) -> Called[Walk] | None:
    """The word of the walk a line calls, or None where the line is what was seen."""
    return called(WORDS, text)


def meant_word(text: str) -> str:
    """A question naming the word that was meant; empty where none is near."""
    return meant(WORDS, text)


def _skip(walk: Walk, reason: str) -> Reply:
    step = walk.step
    if step is None:
        return walk.refuse("Nothing is left to skip.")

    def then(why: str) -> Reply:
        return walk.skip(why)

    return _why(walk, f"Why is step {step.number} not done?", then, reason)


def _why(walk: Walk, question: str, then: Callable[[str], Reply], reason: str = "") -> Reply:
    """Ask for a reason, or take the one given. A word of the walk is none."""

    def checked(why: str) -> Reply:
        called = command_of(why)
        if called is not None and not called.argument:
            return walk.refuse("Type a reason first, or back.")
        walk.asked = None
        return then(why)

    asked = Asked(question, checked, walk.give_up)
    if reason:
        return asked.take(reason)
    walk.asked = asked
    return Reply()


def _keep(walk: Walk, _: str) -> Reply:
    text = walk.refused_text
    if walk.step is None or not text:
        return walk.refuse("There is nothing to keep: type what you saw first.")
    return walk.take(text)


def _back(walk: Walk, steps: str) -> Reply:
    if steps and not (steps.isdecimal() and int(steps)):
        return walk.refuse("Type back, or back and how many steps: back 3.")
    here = walk.at if walk.at is not None else len(walk.steps)
    for _ in range(min(int(steps or 1), len(walk.steps))):
        here = walk.trail.pop() if walk.trail else max(here - 1, 0)
    return walk.jump(here)


def _go(walk: Walk, wanted: str) -> Reply:
    for place, step in enumerate(walk.steps):
        if wanted == str(step.number):
            return walk.jump(place)
    return walk.refuse(f"Type go and the number of a step of this sheet, up to {walk.steps[-1].number}.")


def _next(walk: Walk, _: str) -> Reply:
    return walk.refuse("All is answered.") if walk.at is None else walk.next()


def _list(walk: Walk, _: str) -> Reply:
    here = walk.at if walk.at is not None else len(walk.steps) - 1
    return Reply(screen.listed(walk.steps, walk.said, here))


def _left(walk: Walk, _: str) -> Reply:
    return Reply(screen.summary(walk.steps, walk.said))


def _finish(walk: Walk, _: str) -> Reply:
    still = walk.open
    if not still:
        walk.at = None
        return Reply()

    def then(why: str) -> Reply:
        return walk.finish(tuple(Answer(name, "skipped", reason=why) for name in still))

    return _why(walk, f"{len(still)} steps are open. Why are they not done?", then)


def _stop(walk: Walk, _: str) -> Reply:
    return Reply(end="stopped")


def _help(walk: Walk, _: str) -> Reply:
    lines = [
        "Enter        shows the step again; leaves what was said of it before",
        "VALUE        what you read, with its unit: 45.0 Hz, 7.2 s",
        "yes          as expected. no and what it did, where it did something else",
        "left out WHY the step does not belong to this machine: it need not be done",
    ]
    lines += [f"{f'{name} {word.takes}':<12} {word.help}" for name, word in WORDS.items() if word.help]
    return Reply(wrapped(lines, " " * 13))


WORDS = {
    "skip": Word(_skip, "REASON", "not done, which is never passed; the reason is asked if missing"),
    "keep": Word(_keep, "", "take what was refused: that is what you saw"),
    "back": Word(_back, "N", "to the step before, to correct it, or N steps"),
    "next": Word(_next, "", "on to the next open step; nothing is said of this one"),
    "go": Word(_go, "N", "to a step by its number"),
    "list": Word(_list, "", "the steps around this one and what was said"),
    "left": Word(_left, "", "how many passed, and each that did not"),
    "finish": Word(_finish, "", "end here; what is open is not done"),
    "stop": Word(_stop, "", "stop for now; all is kept, go on with --resume"),
    "help": Word(_help, "", ""),
    "?": Word(_help, "", ""),
}
